// Likely ways of copper below what hides it.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/islands.h"

namespace etchback::copper::eye::detail {

// Where tracks run under a part or into glare, proposes that they go on to a track that comes out
// straight across: the likelier, the better they face each other and the more alike their widths.
// Ends that look soldered are pads of the part itself and are rather not joined.
void join_hidden(const SidePicture& side,
                 const cv::Mat& labels,
                 const Raster& raster,
                 std::vector<Joint>& joints);

}  // namespace etchback::copper::eye::detail
