// Plated holes that the person tells: one at each point of a stroke of `plated hole`, also where
// the mask or a part hides it. The copper of both sides about one is one piece.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/surface.h"
#include "copper/islands.h"

namespace etchback::copper::eye::detail {

// The holes that strokes of either side tell, in their order. A point that lies in a hole that is
// seen, or no further off than a hand is, means that hole; of another one the diameter is 0.
std::vector<Hole> told_holes(const std::vector<RasterStroke>& top,
                             const std::vector<RasterStroke>& bottom,
                             const std::vector<Hole>& seen,
                             const Raster& raster);

// Joins the copper of both sides about each hole, where there is any on both: what was read, or a
// line of copper that leads there. `top`, `bottom`: labels with the strokes' islands (CV_32S); that
// of a side without a picture is empty, and nothing is joined.
void join_told(const std::vector<Hole>& told,
               const Raster& raster,
               const cv::Mat& top,
               const cv::Mat& bottom,
               std::vector<Joint>& joints);

}  // namespace etchback::copper::eye::detail
