// The middle of the widest place of each island.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace etchback::copper::eye::detail {

inline const cv::Point no_middle(-1, -1);

// Fills in the middles that are not known yet: pixels of the islands, of wide ones to two pixels.
// Each depends on its own island alone. `islands`: CV_32S, -1: none; `boxes`, `middles`: one for
// each island.
void find_middles(const cv::Mat& islands,
                  const std::vector<cv::Rect>& boxes,
                  std::vector<cv::Point>& middles);

}  // namespace etchback::copper::eye::detail
