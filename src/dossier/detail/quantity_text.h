// How a quantity is spelled in a dossier.
#pragma once

#include <string>

#include "base/quantity.h"

namespace etchback::dossier::detail {

// The plainest spelling that reads back as exactly `quantity` where the reader expects the unit
// `expected`: 4k7, 100n, 1.5 mH, 85-265 V, 230 V ±10 %, 50/60 Hz.
std::string quantity_text(const base::Quantity& quantity, base::Unit expected);

}  // namespace etchback::dossier::detail
