// Copper that may run on below what hides it: a part, a stroke of print, glare.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/board_picture.h"
#include "copper/islands.h"

namespace etchback::copper::eye::detail {

// Adds a joint for each pair of islands that face each other across a hidden place, or lie beside
// each other with a narrow cover between. `labels`: index of the island at each pixel of the side,
// or -1. How likely copper runs on follows from how both ends face each other, how far they are
// apart, what lies between, and what the other face shows: `glow`, see Glow; may be empty. That is
// what is seen there alone; copper/detail/open_ways.h weighs it by what lies at both ends, and
// keeps what lies below a part from being assumed. Only the first `count` islands are looked at:
// behind them come those of strokes, which say themselves where they lead. No path goes across
// `walls` (CV_8U; may be empty).
void join_hidden(const SidePicture& side,
                 const cv::Mat& labels,
                 int count,
                 const cv::Mat& walls,
                 const Raster& raster,
                 const std::vector<std::int8_t>& glow,
                 std::vector<Joint>& joints);

}  // namespace etchback::copper::eye::detail
