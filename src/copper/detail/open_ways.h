// Places where copper may go on, weighed by what lies at both ends. A stroke of print across a
// track says little by itself; that a pin would hang on nothing and a track end in nothing says
// much.
#pragma once

#include <vector>

#include "copper/board_picture.h"
#include "copper/islands.h"
#include "copper/nets.h"

namespace etchback::copper::detail {

// What is known of the best way between two pieces of copper that nothing else joins. A piece is
// what sure joints hold together; `few` is the one with fewer pins, `many` the other.
struct OpenWay {
    int joint = -1;       // the likeliest of Islands::joints between both
    double gap = 0.0;     // its probability by what is seen there alone; 0: there is none
    double gap_mm = 0.0;  // its width
    double path = 0.0;    // the same of a hidden path
    double path_mm = 0.0;
    bool below_part = false;  // the hidden path leads below a part
    bool in_print = false;    // the gap lies there
    bool in_body = false;
    int pads_near = 0;  // of the two ends, those within a millimetre of a pad
    int few_pins = 0;
    int many_pins = 0;
    double few_share = 0.0;  // of the odds of all ways out of the piece
    double many_share = 0.0;
    // Of pins that it would join, without those that strokes join to either end: that they are one
    // makes nothing elsewhere less sure.
    int pairs = 0;
};

// Of each pair of pieces between which there is a gap or a hidden path.
std::vector<OpenWay> open_ways(const Islands& islands,
                               const std::vector<Pad>& pads,
                               const BoardPicture& picture);

// Sets `joined` of the gaps and hidden paths of photographs, the likeliest first: what it joins
// needs no other way. A path below a part stays less likely than not, since nobody
// sees it, and so does what would join many pins with many. What strokes join elsewhere makes no
// way less likely that would be taken without them.
void weigh_open_ways(Islands& islands, const std::vector<Pad>& pads, const BoardPicture& picture);

}  // namespace etchback::copper::detail
