// Four straight sides in the rim of a shape that may have notches, round corners and parts that
// stand out over it.
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <optional>
#include <vector>

namespace etchback::copper::eye::detail {

struct Quadrilateral {
    std::array<cv::Point2d, 4> corners;  // clockwise on the screen, the first nearest upper left
    std::array<double, 4> support{};     // side i goes from corner i to i + 1: the part of it seen
    double fill = 0.0;                   // part of it that the mask fills
    double score = 0.0;                  // 3.6 at best: all sides seen, all filled, nothing outside
};

// Turns the quadrilateral's numbering so that it begins with the corner that is most to the upper
// left, clockwise on the screen.
void begin_upper_left(Quadrilateral& quad);

// Of all sets of four lines that many rim points or edges of the picture lie on, the one whose
// sides are best seen and which holds the mask best. `mask` is CV_8U, 255 inside; `bgr` is the
// picture that it was cut from: where the mask is wrong, a straight edge may still be seen.
std::optional<Quadrilateral> find_quadrilateral(const cv::Mat& mask, const cv::Mat& bgr);

}  // namespace etchback::copper::eye::detail
