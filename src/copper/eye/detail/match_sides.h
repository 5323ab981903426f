// Which spot of one side is which of the other.
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <utility>
#include <vector>

#include "copper/eye/detail/spot_grid.h"

namespace etchback::copper::eye::detail {

struct SideMatch {
    std::vector<std::pair<int, int>> pairs;  // indices into a and b
    cv::Matx33d b_to_a = cv::Matx33d::eye();
    double by_chance = 0.0;  // how many pairs the same search finds with b turned inside out
    // So many more than by chance that the sides are surely matched.
    bool sure() const {
        return pairs.size() >= 6 && static_cast<double>(pairs.size()) > 1.4 * by_chance + 2.0;
    }
    double margin() const { return static_cast<double>(pairs.size()) - by_chance; }
};

// Both sides lie in one frame, up to `window_mm` and some shear: an outline may have been misled by
// parts that stand over it. Two spots may be one if both are dark or both bright and their radii
// are alike. Pairs that their neighbours support are drawn three at a time (RANSAC, with a seed of
// its own: the same spots give the same match), the best affinity is refined to a homography.
// `tolerance_mm`: how far apart matched spots may lie at the end.
SideMatch match_sides(const std::vector<SideSpot>& a,
                      const std::vector<SideSpot>& b,
                      cv::Size2d board,
                      double window_mm,
                      double tolerance_mm);

}  // namespace etchback::copper::eye::detail
