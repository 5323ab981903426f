// Copper that the person follows below what hides it.
#pragma once

#include <opencv2/core.hpp>
#include <set>
#include <utility>
#include <vector>

#include "copper/eye/surface.h"
#include "copper/islands.h"

namespace etchback::copper::eye::detail {

// Lines of `hidden copper`: where one leads from an island that it follows below a part, print or
// glare and out of there onto another, both are one. Everywhere else it says nothing, and may so
// run on to the next such place. `labels`: CV_32S, with the islands of other strokes.
void join_passages(const std::vector<RasterStroke>& strokes,
                   const SidePicture& side,
                   const Raster& raster,
                   const cv::Mat& labels,
                   std::vector<Joint>& joints);

// Islands that a line follows one after the other, however far apart: each pair once, the lower
// first.
std::set<std::pair<int, int>> followed_in_turn(const RasterStroke& stroke,
                                               const cv::Mat& labels,
                                               double px_per_mm);

}  // namespace etchback::copper::eye::detail
