// A photo laid onto the board's raster.
#pragma once

#include <opencv2/core.hpp>

#include "copper/board_picture.h"
#include "copper/eye/detail/bundle.h"

namespace etchback::copper::eye::detail {

// Pixels of the photo per mm in the middle of the board.
double resolution(const FittedPhoto& photo, const BundleFit& fit);

// A raster over the board and a margin around it, of at most `most_pixels` and at most
// `most_px_per_mm`, and no finer than `photo_px_per_mm` asks for.
Raster raster_for(const BundleFit& fit,
                  double margin_mm,
                  double photo_px_per_mm,
                  double most_px_per_mm,
                  double most_pixels);

struct Warped {
    cv::Mat bgr;   // CV_8UC3; black where the photo has nothing
    cv::Mat seen;  // CV_8U, 255 where the photo reaches
};

Warped warp(const cv::Mat& photo, const FittedPhoto& fitted, const Raster& raster);

inline cv::Point2d raster_to_mm(const Raster& raster, cv::Point2d px) {
    return {raster.origin.x_mm + px.x / raster.px_per_mm,
            raster.origin.y_mm + px.y / raster.px_per_mm};
}
cv::Point2d mm_to_raster(const Raster& raster, cv::Point2d mm);

}  // namespace etchback::copper::eye::detail
