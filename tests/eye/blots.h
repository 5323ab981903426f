// Masks to try things on.
#pragma once

#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {

// Blots of any size, some of them at the edge.
inline cv::Mat blots(cv::RNG& random) {
    cv::Mat mask(random.uniform(1, 70), random.uniform(1, 70), CV_8U);
    random.fill(mask, cv::RNG::UNIFORM, 0, 256);
    cv::GaussianBlur(mask, mask, {}, random.uniform(0.4, 2.5));
    return mask > random.uniform(110, 145);
}

}  // namespace etchback::copper::eye::detail
