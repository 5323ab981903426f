// A picture of levels divided into basins, all of it at once.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/detail/basins.h"

namespace etchback::copper::eye::detail {

struct Division {
    cv::Mat labels;               // CV_32S: indices of seeds, -1: no copper
    std::vector<Seed> seeds;      // in order; see Seed
    std::vector<Saddle> saddles;  // sorted by a, b
};

// `level`: CV_8U, 128 and more is copper. Specks that are too small for an island lose their level.
Division divide(cv::Mat& level, const BasinLimits& limits);

}  // namespace etchback::copper::eye::detail
