// Where copper meets what hides it: a part, print, glare.
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <vector>

#include "copper/board_picture.h"

namespace etchback::copper::eye::detail {

enum Cover : std::uint8_t { seen = 0, print = 1, body = 2 };

// CV_8U, a Cover at each pixel. Print through which copper is read hides nothing.
cv::Mat covers_of(const SidePicture& side, const Raster& raster);

constexpr double deepest_mm = 2.0;

struct CoveredEnd {
    int island = -1;
    cv::Point2d at;
    cv::Point2d into;     // unit vector, the way copper goes on; zero: none
    double width = 0.0;   // pixels along the edge
    double solder = 0.0;  // share of it that is bare metal
    double depth = 0.0;   // pixels of copper behind it, up to `deepest_mm`
    bool pin = false;     // a pad that the part hides: tracks reach it from any side
};

// Sets `into` from the copper within `reach` pixels.
void aim(CoveredEnd& end, const cv::Mat& labels, const cv::Mat& covers, double reach);

// One for each stretch of about a millimetre, of the first `count` islands.
std::vector<CoveredEnd> covered_ends(const SidePicture& side,
                                     const cv::Mat& covers,
                                     const cv::Mat& labels,
                                     int count,
                                     double px_per_mm);

}  // namespace etchback::copper::eye::detail
