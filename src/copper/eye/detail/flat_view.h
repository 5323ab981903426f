// A board as a small upright picture, by its four corners alone: exact enough to compare faces.
#pragma once

#include <opencv2/core.hpp>

#include "copper/eye/detail/side_view.h"

namespace etchback::copper::eye::detail {

// `picture` is the view's photo or one made of it, smaller by `shrink`; turned by `quarter`
// quarters.
cv::Mat flat_view(
    const cv::Mat& picture, double shrink, const SideView& view, int quarter, cv::Size size);

}  // namespace etchback::copper::eye::detail
