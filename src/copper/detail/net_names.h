// Names of traced nets: the person's where the pins carry one.
#pragma once

#include <vector>

#include "copper/nets.h"
#include "copper/trace.h"
#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::copper::detail {

// A net gets the name that most of its pins carry, and each name is given once, to the net where
// most pins carry it; the others get N1, N2 ... by size, passing over names that are taken. What
// the person wrote and copper does not bear out is told.
void name_nets(Nets& nets,
               const std::vector<Pad>& pads,
               const dossier::Dossier& dossier,
               const parts::Catalogue& catalogue,
               std::vector<Remark>& remarks);

}  // namespace etchback::copper::detail
