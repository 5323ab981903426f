// Vias that the mask covers: a track that ends in nothing goes on on the other side.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/islands.h"

namespace etchback::copper::eye::detail {

// Where a narrow track below the mask ends with nothing around it, and there is copper on the other
// side, the two are likely joined by a hole that cannot be seen; more so where the other side's
// track ends there, too. Labels: CV_32S, -1 without copper.
void join_track_ends(const BoardPicture& picture,
                     const cv::Mat& top,
                     const cv::Mat& bottom,
                     std::vector<Joint>& joints);

}  // namespace etchback::copper::eye::detail
