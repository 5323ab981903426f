// A dossier from two tables: which pins lie on which net, and what each part is. This is how a
// board that somebody already traced, or a bare-board test netlist, comes in.
#pragma once

#include <string>
#include <string_view>

#include "base/error.h"
#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::dossier {

// `nets_csv` has the columns net, part, pin and may have side, x_mm, y_mm; `parts_csv` has part,
// value, body and may have kind and title. Columns that are not known are passed over. Kinds that
// are not given are guessed from the letters of the part's name, its value and body, and marked
// as assumed; a part whose kind stays unknown becomes a box. A row `via` or without part is a point
// on a net, no part. Names of both tables must agree: a part without pins and pins without a part
// are errors. The item is called "unnamed board" until somebody names it.
base::Result<Dossier> from_tables(std::string_view nets_csv,
                                  const std::string& nets_file,
                                  std::string_view parts_csv,
                                  const std::string& parts_file,
                                  const parts::Catalogue& catalogue);

}  // namespace etchback::dossier
