#include "copper/eye/detail/work_picture.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/raster_pixels.h"

namespace etchback::copper::eye::detail {

namespace {

// Fine enough for the narrowest tracks of usual boards (0.2 mm are three pixels).
constexpr double wanted_px_per_mm = 16.0;

cv::Mat log_colours(const cv::Mat& bgr) {
    std::array<float, 256> logs{};
    for (int i = 0; i < 256; ++i) {
        logs[static_cast<std::size_t>(i)] = static_cast<float>(std::log(i + 6.0));
    }
    cv::Mat out(bgr.size(), CV_32FC3);
    for (int y = 0; y < bgr.rows; ++y) {
        const auto* p = bgr.ptr<cv::Vec3b>(y);
        auto* q = out.ptr<cv::Vec3f>(y);
        for (int x = 0; x < bgr.cols; ++x) {
            const float b = logs[p[x][0]];
            const float g = logs[p[x][1]];
            const float r = logs[p[x][2]];
            q[x] = {(b + 2 * g + r) / 4, r - g, b - g};
        }
    }
    return out;
}

void draw_hole(const Hole& hole, const Raster& raster, double scale, cv::Mat& mask) {
    constexpr int shift = 4;
    const auto at = [&](Point p) {
        const cv::Point2d px = pixel_of(p, raster) * scale;
        return cv::Point(cvRound(px.x * (1 << shift)), cvRound(px.y * (1 << shift)));
    };
    const double width = hole.diameter_mm * raster.px_per_mm * scale;
    if (hole.slot.size() < 2) {
        cv::circle(mask,
                   at(hole.at),
                   cvRound(0.5 * width * (1 << shift)),
                   cv::Scalar(255),
                   cv::FILLED,
                   cv::LINE_8,
                   shift);
        return;
    }
    for (std::size_t i = 0; i + 1 < hole.slot.size(); ++i) {
        cv::line(mask,
                 at(hole.slot[i]),
                 at(hole.slot[i + 1]),
                 cv::Scalar(255),
                 std::max(1, cvRound(width)),
                 cv::LINE_8,
                 shift);
    }
}

}  // namespace

WorkPicture work_picture(const StraightSide& side,
                         const Raster& raster,
                         const std::vector<Hole>& holes) {
    WorkPicture work;
    work.scale = std::min(1.0, wanted_px_per_mm / raster.px_per_mm);
    const cv::Size size(std::max(1, cvRound(raster.width * work.scale)),
                        std::max(1, cvRound(raster.height * work.scale)));
    work.px_per_mm = raster.px_per_mm * work.scale;
    cv::Mat small;
    cv::resize(side.bgr, small, size, 0, 0, cv::INTER_AREA);
    cv::resize(side.inside, work.inside, size, 0, 0, cv::INTER_NEAREST);
    work.colour = log_colours(small);
    work.holes = cv::Mat(size, CV_8U, cv::Scalar(0));
    for (const Hole& hole : holes) {
        if (hole.real >= 0.5) {
            draw_hole(hole, raster, work.scale, work.holes);
        }
    }
    cv::Mat padded;
    cv::copyMakeBorder(work.inside, padded, 1, 1, 1, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
    // The raster's edge is the board's edge, too; openings inside the board count as holes.
    cv::Mat depth;
    cv::distanceTransform(padded, depth, cv::DIST_L2, cv::DIST_MASK_3);
    work.depth = depth(cv::Rect({1, 1}, size)) / work.px_per_mm;
    return work;
}

void draw_stroke(const RasterStroke& stroke, double scale, double value, cv::Mat& picture) {
    const int width = std::max(1, cvRound(stroke.width_px * scale));
    for (std::size_t i = 0; i < stroke.along.size(); ++i) {
        const cv::Point a = stroke.along[i] * static_cast<float>(scale);
        const cv::Point b =
            stroke.along[std::min(i + 1, stroke.along.size() - 1)] * static_cast<float>(scale);
        cv::line(picture, a, b, cv::Scalar(value), width, cv::LINE_8);
    }
}

}  // namespace etchback::copper::eye::detail
