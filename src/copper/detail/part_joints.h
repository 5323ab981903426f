// What parts add to the copper: pins that go through the board, and wire links.
#pragma once

#include <vector>

#include "copper/islands.h"
#include "copper/nets.h"
#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::copper::detail {

// A pin through the board is soldered on both sides where both have copper round it, and so joins
// them; a wire link or a resistor of zero ohms joins its two pads. No other part joins anything.
void add_part_joints(Islands& islands,
                     const std::vector<Pad>& pads,
                     const dossier::Dossier& dossier,
                     const parts::Catalogue& catalogue);

bool is_wire_link(const dossier::Part& part, const parts::Kind* kind);

// Whether a continuity tester beeps through the part: coils, fuses, shunts, closed contacts.
bool beeps_through(const dossier::Part& part, const parts::Kind* kind);

}  // namespace etchback::copper::detail
