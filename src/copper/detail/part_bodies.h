// Where parts stand on the board, as the dossier knows it: their pads, and the outline of the body
// where the catalogue has its size. What lies below a body is not seen, and a pad is copper.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "copper/nets.h"
#include "copper/plane.h"
#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::copper::detail {

struct PlacedPart {
    std::string name;
    std::vector<Pad> pads;
    Side side = Side::top;  // on which the body lies
    Polyline body;          // clockwise; empty: no body is there, or its size is not known
    bool flat = false;      // the body lies on the board: no pin goes through
    bool fitted = true;     // false: an empty place
    bool known = false;     // the catalogue has the body's size
};

// The catalogue's row for the part's body; of any family where the part's kind does not tell which.
const parts::Body* body_row(const dossier::Part& part, const parts::Catalogue& catalogue);

// Of every part with a pad. Sizes are the catalogue's; the body lies in the middle of its pins and
// turned as they are. Parts through the board stand on the top.
std::vector<PlacedPart> placed_parts(const dossier::Dossier& dossier,
                                     const parts::Catalogue& catalogue,
                                     const std::vector<Pad>& pads);

}  // namespace etchback::copper::detail
