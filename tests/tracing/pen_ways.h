// Ways that a pen takes over pixels.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace etchback::tracing {

// The cheapest way over `walkable` (CV_8U) from a place to any of `goals` (CV_8U): along the middle
// of what may be walked on, since a hand keeps off edges. `depth`: see depth_in. Empty: there is
// none.
std::vector<cv::Point> way_over(const cv::Mat& walkable,
                                const cv::Mat& depth,
                                cv::Point from,
                                const cv::Mat& goals);

// CV_32F, at each pixel of a mask its distance to the nearest one outside.
cv::Mat depth_in(const cv::Mat& mask);

// The box of what is set in a mask with a margin, inside the picture.
cv::Rect around(const cv::Mat& mask, int margin);

}  // namespace etchback::tracing
