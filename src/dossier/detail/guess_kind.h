// What kind of part a name like "C12", a value like "100n" and a body like "0805" speak of.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "parts/catalogue.h"

namespace etchback::dossier::detail {

struct Guess {
    const parts::Kind* kind = nullptr;                // null: not known, drawn as a box
    base::Unit value_unit = base::Unit::none;         // that the name speaks of
    std::map<std::string, std::string> pins_renamed;  // "1" -> "cathode"
    std::string because;                              // for the part's note
};

// `pins` are the pins of the part as the table of nets has them. A kind whose pins they do not
// fit is not guessed.
Guess guess_kind(std::string_view name,
                 std::string_view value,
                 std::string_view body,
                 const std::vector<std::string>& pins,
                 const parts::Catalogue& catalogue);

// `text` as a quantity; 3v9 is read as 3V9.
base::Result<base::Quantity> value_in(std::string_view text, base::Unit unit);

// "NC", "DNP" and the like: the place on the board is empty.
bool means_not_fitted(std::string_view value);

}  // namespace etchback::dossier::detail
