// One line of a pen over many places.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace etchback::tracing {

// A line that passes the `right` places, one after the other, always on to the nearest, then in the
// same way the `others`, and keeps off the `wrong` ones by more than a hand's error and what the
// program allows for it. Raster pixels. Ends where it would grow longer than `longest_mm`, or no
// more can be reached. Empty: there is none.
std::vector<cv::Point> sweep_over(const std::vector<cv::Point2d>& right,
                                  const std::vector<cv::Point2d>& others,
                                  const std::vector<cv::Point2d>& wrong,
                                  cv::Size size,
                                  double px_per_mm,
                                  double longest_mm);

}  // namespace etchback::tracing
