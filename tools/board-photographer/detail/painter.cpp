#include "board-photographer/detail/painter.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace etchback::photographer {
namespace {

constexpr int shift = 4;

std::vector<cv::Point> fixed(const std::vector<cv::Point2d>& points, cv::Point origin) {
    std::vector<cv::Point> rounded;
    for (const cv::Point2d& p : points) {
        rounded.emplace_back(static_cast<int>(std::lround((p.x - origin.x) * (1 << shift))),
                             static_cast<int>(std::lround((p.y - origin.y) * (1 << shift))));
    }
    return rounded;
}

cv::Rect around(const std::vector<cv::Point2d>& points, double margin, cv::Size size) {
    double x0 = 1e9, y0 = 1e9, x1 = -1e9, y1 = -1e9;
    for (const cv::Point2d& p : points) {
        x0 = std::min(x0, p.x);
        y0 = std::min(y0, p.y);
        x1 = std::max(x1, p.x);
        y1 = std::max(y1, p.y);
    }
    const cv::Rect box(cv::Point(cvFloor(x0 - margin), cvFloor(y0 - margin)),
                       cv::Point(cvCeil(x1 + margin) + 1, cvCeil(y1 + margin) + 1));
    return box & cv::Rect({}, size);
}

}  // namespace

void Painter::blend(
    const cv::Mat& mask, cv::Rect where, const Colour& colour, float alpha, bool covers) {
    for (int y = 0; y < where.height; ++y) {
        const uchar* m = mask.ptr<uchar>(y);
        auto* row = photo_.ptr<Colour>(where.y + y) + where.x;
        uchar* covered = covered_.ptr<uchar>(where.y + y) + where.x;
        for (int x = 0; x < where.width; ++x) {
            if (m[x] == 0) {
                continue;
            }
            row[x] = mix(row[x], colour, alpha * static_cast<float>(m[x]) / 255.0F);
            if (covers) {
                covered[x] = std::max(covered[x], m[x]);
            }
        }
    }
}

void Painter::polygon(const std::vector<cv::Point2d>& corners,
                      const Colour& colour,
                      float alpha,
                      bool covers) {
    const cv::Rect where = around(corners, 2.0, photo_.size());
    if (where.empty()) {
        return;
    }
    cv::Mat mask = cv::Mat::zeros(where.size(), CV_8U);
    const std::vector<std::vector<cv::Point>> rings = {fixed(corners, where.tl())};
    cv::fillPoly(mask, rings, cv::Scalar::all(255), cv::LINE_AA, shift);
    blend(mask, where, colour, alpha, covers);
}

void Painter::line(const std::vector<cv::Point2d>& along,
                   double width_px,
                   const Colour& colour,
                   float alpha,
                   bool covers) {
    const cv::Rect where = around(along, width_px + 2.0, photo_.size());
    if (where.empty() || along.empty()) {
        return;
    }
    cv::Mat mask = cv::Mat::zeros(where.size(), CV_8U);
    const double r = width_px / 2.0;
    for (std::size_t i = 0; i + 1 < along.size() || i == 0; ++i) {
        const cv::Point2d a = along[i];
        const cv::Point2d b = along[std::min(i + 1, along.size() - 1)];
        const double angle = std::atan2(b.y - a.y, b.x - a.x);
        std::vector<cv::Point2d> ring;
        for (int k = 0; k <= 8; ++k) {
            const double t = angle - CV_PI / 2.0 + CV_PI * k / 8.0;
            ring.emplace_back(b.x + r * std::cos(t), b.y + r * std::sin(t));
        }
        for (int k = 0; k <= 8; ++k) {
            const double t = angle + CV_PI / 2.0 + CV_PI * k / 8.0;
            ring.emplace_back(a.x + r * std::cos(t), a.y + r * std::sin(t));
        }
        const std::vector<std::vector<cv::Point>> rings = {fixed(ring, where.tl())};
        cv::fillPoly(mask, rings, cv::Scalar::all(255), cv::LINE_AA, shift);
    }
    blend(mask, where, colour, alpha, covers);
}

}  // namespace etchback::photographer
