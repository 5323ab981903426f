// Lines of a pen along copper that is hidden, from what was read of it to what was read again.
#pragma once

#include <optional>
#include <vector>

#include "tracing/pen_wishes.h"

namespace etchback::tracing {

// All known copper below parts, print or glare that leads from one net, as it was read, to another
// that is the same, and if asked for all places in doubt where it does, by one line; and what lies
// on the left or the right half of the board alone, should that be too much at once.
std::vector<Wish> wish_passages(const Lookout& view, copper::Side side, bool also_places);

// The wish's passages, one after the other, always on to the nearest, and around whatever hides the
// board in between. Raster pixels. Ends where it would grow longer than `longest_mm`. Empty: none
// can be drawn.
std::vector<cv::Point> along_passages(const Lookout& view, const Wish& wish, double longest_mm);

}  // namespace etchback::tracing
