// Where a pen goes for a wish.
#pragma once

#include <vector>

#include "tracing/pen_wishes.h"

namespace etchback::tracing {

// Follows the wish's piece of copper from net to net, always to the nearest. Raster pixels; empty:
// there is nothing to be joined.
std::vector<cv::Point> along_copper(const Lookout& view, const Wish& wish);

// In the middle of the board between the copper of two nets, wherever that was taken for copper and
// joins them, one place after the other without lifting the pen: first about the net that is to be
// parted, then whatever else of these nets is near. Where all are to be parted from each other, it
// also goes on across a wide area of copper, from one gap to another where it has not been: such a
// slit parts nothing. Empty: there is no such place.
std::vector<cv::Point> along_gaps(const Lookout& view, const Wish& wish);

}  // namespace etchback::tracing
