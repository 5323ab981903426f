// From evidence to a dossier's file.
#pragma once

#include <string>
#include <string_view>

#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::dossier {

// A whole new file, in the order and manner of docs/dossier-format.md.
std::string write(const Dossier& dossier, const parts::Catalogue& catalogue);

// `text` is a file that reads as `before`; the result reads as `after`, and everything that is the
// same in both (order, comments, spelling of values) stands as it stood. A removed key takes the
// comment on its line along; comments on lines of their own stay. Only where the tables of `text`
// are too entangled to be moved is the result a whole new file.
std::string rewrite(std::string_view text,
                    const Dossier& before,
                    const Dossier& after,
                    const parts::Catalogue& catalogue);

// The commented file that `etchback new` starts with.
std::string blank_dossier(std::string_view item_name);

}  // namespace etchback::dossier
