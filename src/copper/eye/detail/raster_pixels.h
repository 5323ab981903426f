// Between board mm and pixels of the raster as OpenCV counts them: a pixel's middle is a whole
// number. Boxes of pixels.
#pragma once

#include <opencv2/core/types.hpp>

#include "copper/board_picture.h"

namespace etchback::copper::eye::detail {

inline cv::Point2d pixel_of(Point p, const Raster& raster) {
    return {(p.x_mm - raster.origin.x_mm) * raster.px_per_mm - 0.5,
            (p.y_mm - raster.origin.y_mm) * raster.px_per_mm - 0.5};
}

inline Point board_of(cv::Point2d p, const Raster& raster) {
    return {raster.origin.x_mm + (p.x + 0.5) / raster.px_per_mm,
            raster.origin.y_mm + (p.y + 0.5) / raster.px_per_mm};
}

// A box with some room about it, as far as the picture goes.
inline cv::Rect grown(cv::Rect box, int by, cv::Size within) {
    box -= cv::Point(by, by);
    box += cv::Size(2 * by, 2 * by);
    return box & cv::Rect({0, 0}, within);
}

}  // namespace etchback::copper::eye::detail
