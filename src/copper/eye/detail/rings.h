// From a map of islands to polygons.
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <vector>

#include "copper/board_picture.h"
#include "copper/plane.h"

namespace etchback::copper::eye::detail {

// A closed walk along the edges of pixels: corners only, in raster corners. The copper lies to the
// right of the walk on the screen: outer rings run clockwise, rings of holes the other way.
struct Ring {
    int island = 0;
    std::vector<cv::Point> corners;
    // Twice the enclosed area in pixels, positive for an outer ring.
    std::int64_t doubled_area() const;
    // About the pixels within it.
    cv::Rect box() const;
};

// All rings of a CV_32S map, -1 standing for no island. Pixels that touch at a corner only are
// apart. Sorted by island, then by where the ring is first met, row by row.
std::vector<Ring> trace_rings(const cv::Mat& islands);

// Takes away corners as long as the ring stays within `tolerance_px` of the pixels' edges and no
// corner of any ring changes sides: what was apart stays apart, what was one stays one.
void simplify(std::vector<Ring>& rings, cv::Size map, double tolerance_px);

// Outer rings with the holes that lie in them, as polygons in mm, one for each island in order. An
// island has one outer ring.
std::vector<Polygon> polygons_of(const std::vector<Ring>& rings, int islands, const Raster& raster);

}  // namespace etchback::copper::eye::detail
