// A small correction of one view of the board against another.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <vector>

namespace etchback::copper::eye::detail {

struct PlacedPair {
    cv::Point2d from;
    cv::Point2d to;
};

std::array<cv::Point2d, 4> corners_of(cv::Size2d board);

// The homography near to nothing that carries `from` to `to` best by least squares. Its unknowns
// are shifts of the board's corners, of `corner_mm` standard deviation before the pairs (of
// `pair_mm`) are looked at, so that few pairs or pairs in one place bend nothing elsewhere.
cv::Matx33d corner_shifts(const std::vector<PlacedPair>& pairs,
                          cv::Size2d board,
                          double pair_mm,
                          double corner_mm);

}  // namespace etchback::copper::eye::detail
