#include "copper/eye/detail/warp.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {

cv::Point2d mm_to_raster(const Raster& raster, cv::Point2d mm) {
    return {(mm.x - raster.origin.x_mm) * raster.px_per_mm,
            (mm.y - raster.origin.y_mm) * raster.px_per_mm};
}

double resolution(const FittedPhoto& photo, const BundleFit& fit) {
    const cv::Point2d middle = fit.corner + cv::Point2d(0.5 * fit.width_mm, 0.5 * fit.height_mm);
    const double reach = 0.05 * (fit.width_mm + fit.height_mm);
    const cv::Point2d across(reach, 0.0);
    const cv::Point2d down(0.0, reach);
    const double x = cv::norm(photo.pixel(middle + across) - photo.pixel(middle - across));
    const double y = cv::norm(photo.pixel(middle + down) - photo.pixel(middle - down));
    return 0.5 * (x + y) / (2.0 * reach);
}

Raster raster_for(const BundleFit& fit,
                  double margin_mm,
                  double photo_px_per_mm,
                  double most_px_per_mm,
                  double most_pixels) {
    const double width = fit.width_mm + 2.0 * margin_mm;
    const double height = fit.height_mm + 2.0 * margin_mm;
    Raster raster;
    raster.px_per_mm = std::min(
        {photo_px_per_mm, most_px_per_mm, 0.998 * std::sqrt(most_pixels / (width * height))});
    raster.width = std::max(1, cvCeil(width * raster.px_per_mm));
    raster.height = std::max(1, cvCeil(height * raster.px_per_mm));
    raster.origin = {fit.corner.x - margin_mm, fit.corner.y - margin_mm};
    return raster;
}

namespace {

// Where each raster pixel's centre lies in a photo that was shrunk by `shrink`, as cv::remap
// counts: a pixel's centre is a whole number.
cv::Mat sources(const FittedPhoto& fitted, const Raster& raster, double shrink) {
    const cv::Matx33d h = fitted.to_board.inv();
    cv::Mat map(raster.height, raster.width, CV_32FC2);
    for (int y = 0; y < raster.height; ++y) {
        auto* out = map.ptr<cv::Vec2f>(y);
        for (int x = 0; x < raster.width; ++x) {
            const cv::Point2d mm = raster_to_mm(raster, {x + 0.5, y + 0.5});
            const cv::Point2d p = fitted.lens.distort(through(h, mm));
            out[x] = {static_cast<float>(p.x / shrink - 0.5),
                      static_cast<float>(p.y / shrink - 0.5)};
        }
    }
    return map;
}

}  // namespace

Warped warp(const cv::Mat& photo, const FittedPhoto& fitted, const Raster& raster) {
    // Where the photo is much finer than the raster, its pixels are averaged, not skipped.
    const cv::Point2d middle = raster_to_mm(raster, {0.5 * raster.width, 0.5 * raster.height});
    const cv::Point2d step(1.0 / raster.px_per_mm, 0.0);
    const double per_pixel = cv::norm(fitted.pixel(middle + step) - fitted.pixel(middle));
    cv::Mat source = photo;
    double shrink = 1.0;
    if (per_pixel > 1.4) {
        shrink = per_pixel;
        const cv::Size size(std::max(1, cvRound(photo.cols / shrink)),
                            std::max(1, cvRound(photo.rows / shrink)));
        shrink = static_cast<double>(photo.cols) / size.width;
        cv::resize(photo, source, size, 0, 0, cv::INTER_AREA);
    }
    const cv::Mat map = sources(fitted, raster, shrink);
    Warped out;
    cv::remap(source, out.bgr, map, {}, cv::INTER_LINEAR, cv::BORDER_CONSTANT, {});
    out.seen.create(raster.height, raster.width, CV_8U);
    const float right = static_cast<float>(source.cols) - 1.0F;
    const float lower = static_cast<float>(source.rows) - 1.0F;
    for (int y = 0; y < raster.height; ++y) {
        const auto* from = map.ptr<cv::Vec2f>(y);
        auto* to = out.seen.ptr<std::uint8_t>(y);
        for (int x = 0; x < raster.width; ++x) {
            const cv::Vec2f p = from[x];
            to[x] = p[0] >= 0.0F && p[1] >= 0.0F && p[0] <= right && p[1] <= lower ? 255 : 0;
        }
    }
    return out;
}

}  // namespace etchback::copper::eye::detail
