// Between board mm and pixels of the raster as OpenCV counts them: a pixel's middle is a whole
// number.
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

}  // namespace etchback::copper::eye::detail
