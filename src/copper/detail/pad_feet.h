// On which copper a pad stands.
#pragma once

#include <vector>

#include "copper/islands.h"
#include "copper/nets.h"

namespace etchback::copper::detail {

struct PadFoot {
    int island = -1;      // -1: on no copper
    int other = -1;       // of a pad through the board: the island on the other side
    double off_mm = 0.0;  // how far from the pad's place the copper is
};

// The copper at the pad's place or, since clicks and bodies miss by a little and drills leave no
// copper in the middle, the nearest within half a millimetre (twice that through the board).
std::vector<PadFoot> feet_of(const Islands& islands, const std::vector<Pad>& pads);

// "R1.2", or of a pad without a part "the point at (12.3, 4.5) mm".
std::string name_of(const Pad& pad);
std::string words_of(Point at);  // "(12.3, 4.5) mm"

}  // namespace etchback::copper::detail
