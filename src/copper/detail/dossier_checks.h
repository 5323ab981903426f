// The dossier's continuity checks as checks between pads.
#pragma once

#include <vector>

#include "copper/nets.h"
#include "copper/trace.h"
#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::copper::detail {

// An end is "part.pin" or a net's name, which stands for a pad on whose pin the person wrote it.
// Checks of pins without a place on the board are passed over.
std::vector<Check> checks_of(const dossier::Dossier& dossier,
                             const parts::Catalogue& catalogue,
                             const std::vector<Pad>& pads);

// Without the beeps that go through parts: between nets that coils, fuses and the like join, a beep
// says nothing about copper. `nets` are those without any check.
void drop_beeps_through_parts(std::vector<Check>& checks,
                              const Nets& nets,
                              const std::vector<Pad>& pads,
                              const dossier::Dossier& dossier,
                              const parts::Catalogue& catalogue,
                              std::vector<Remark>& remarks);

}  // namespace etchback::copper::detail
