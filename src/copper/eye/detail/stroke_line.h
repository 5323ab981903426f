// The line of a stroke over the islands of a side.
#pragma once

#include <opencv2/core.hpp>
#include <set>
#include <vector>

#include "copper/eye/surface.h"

namespace etchback::copper::eye::detail {

constexpr double hand_mm = 0.2;  // how far a steady hand is off at most

inline bool is_inside(cv::Point p, const cv::Mat& picture) {
    return p.x >= 0 && p.y >= 0 && p.x < picture.cols && p.y < picture.rows;
}

// Draws a line into a mask (CV_8U, 255).
void draw(const std::vector<cv::Point2f>& along, double width_px, cv::Mat& mask);

// The box of a stroke with some room about it.
cv::Rect box_of(const RasterStroke& stroke, double room_px, cv::Size size);

// The pixels below a line that lie in `picture`, in order.
std::vector<cv::Point> pixels_along(const RasterStroke& stroke, const cv::Mat& picture);

// The islands that a line follows: it goes through their middle, or deeper into them than a hand is
// off, or along them for a while, or begins or ends there. `pixels` lie in `box`, with half a
// millimetre of room; `labels`: CV_32S.
std::set<int> followed_islands(const std::vector<cv::Point>& pixels,
                               const cv::Mat& labels,
                               cv::Rect box,
                               double px_per_mm);

}  // namespace etchback::copper::eye::detail
