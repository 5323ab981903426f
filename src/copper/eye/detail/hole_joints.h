// Holes that join islands of both sides.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/islands.h"

namespace etchback::copper::eye::detail {

// Copper around a hole on one side.
struct Rim {
    int island = -1;
    double share = 0.0;  // of the rim that it covers
};

// Islands along the rim of a hole, the largest share first. `labels`: CV_32S, -1 without copper.
std::vector<Rim> rim_of(const Hole& hole, const cv::Mat& labels, const Raster& raster);

// Joins the islands around each hole and covers the hole itself with the island that surrounds it,
// so that a pin in a hole lies on its copper. `labels` of a side that is missing is empty.
void join_holes(const std::vector<Hole>& holes,
                const Raster& raster,
                cv::Mat& top,
                cv::Mat& bottom,
                std::vector<Joint>& joints);

}  // namespace etchback::copper::eye::detail
