// What joins two basins of copper where they touch: a neck or a gap.
#pragma once

#include <opencv2/core.hpp>

#include "copper/eye/detail/basins.h"
#include "copper/islands.h"

namespace etchback::copper::eye::detail {

// `copper`: the picture that the basins were found in. `first`: the index of the first basin's
// island. `sharp`: the picture is sharp to the pixel, so that a narrow neck is none the less sure.
Joint joint_of(
    const Saddle& saddle, const cv::Mat& copper, int first, const Raster& raster, bool sharp);

}  // namespace etchback::copper::eye::detail
