// Vias that the mask covers: a track that ends in nothing goes on on the other side.
#pragma once

#include <limits>
#include <opencv2/core.hpp>
#include <vector>

#include "copper/islands.h"

namespace etchback::copper::eye::detail {

// How far a pixel of copper is from where there is none, counted as cv::distanceTransform counts
// with DIST_L2 and a mask of 3; but only where it is asked for, and only so far.
class CopperDepth {
public:
    static constexpr float beyond = std::numeric_limits<float>::max();

    explicit CopperDepth(double farthest_px);

    // `labels`: CV_32S, below 0 without copper. `beyond`: farther than `farthest_px`.
    float at(cv::Point p, const cv::Mat& labels) const;

private:
    struct Step {
        cv::Point by;
        float length;
    };
    std::vector<Step> steps_;  // nearest first
};

// Where a narrow track below the mask ends with nothing around it, and there is copper on the other
// side, the two are likely joined by a hole that cannot be seen; more so where the other side's
// track ends there, too. Labels: CV_32S, -1 without copper.
void join_track_ends(const BoardPicture& picture,
                     const cv::Mat& top,
                     const cv::Mat& bottom,
                     std::vector<Joint>& joints);

}  // namespace etchback::copper::eye::detail
