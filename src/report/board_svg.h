// A side of the board with what was made of it: the straightened photo, the copper of each net, the
// pads, and the doubts.
//
// Doubts are marked by shape and number, not by colour alone: a diamond where copper is taken for
// joined that may not be, a ring where it is taken for parted that may be joined, a triangle where
// a pad lies on no copper. The bottom is shown as one looks at it, turned about its upright edge.
#pragma once

#include <string>

#include "base/error.h"
#include "copper/trace.h"

namespace etchback::report {

struct BoardSvgStyle {
    // Else for embedding in the page: without the style of its own, and copper can be touched.
    bool standalone = true;
    int longest_px = 1800;  // of the photo inside
    bool photo = true;
    double enlarge = 1.0;  // beyond the board's own size, where standalone
};

// Empty where the trace has no picture of the side.
base::Result<std::string> board_svg(const copper::Trace& trace,
                                    copper::Side side,
                                    const BoardSvgStyle& style = {});

// Whether a net stands for something: copper without pads does not.
bool is_shown(const copper::Net& net);

}  // namespace etchback::report
