#include "board-photographer/draw.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace etchback::photographer {
namespace {

constexpr int shift = 4;

std::vector<cv::Point> fixed(const Raster& raster, const Polyline& ring) {
    std::vector<cv::Point> points;
    points.reserve(ring.size());
    for (const Point& p : ring) {
        const cv::Point2d at = pixel_of(raster, p) * (1 << shift);
        points.emplace_back(static_cast<int>(std::lround(at.x)),
                            static_cast<int>(std::lround(at.y)));
    }
    return points;
}

void arc(Polyline& ring, Point centre, double radius, double from, double to, int steps) {
    for (int i = 0; i <= steps; ++i) {
        const double angle = from + (to - from) * i / steps;
        ring.push_back(
            {centre.x_mm + radius * std::cos(angle), centre.y_mm + radius * std::sin(angle)});
    }
}

}  // namespace

Raster raster_of(const BoardShape& board, double px_per_mm, double margin_mm) {
    double x0 = 1e9, y0 = 1e9, x1 = -1e9, y1 = -1e9;
    for (const Point& p : board.outline) {
        x0 = std::min(x0, p.x_mm);
        y0 = std::min(y0, p.y_mm);
        x1 = std::max(x1, p.x_mm);
        y1 = std::max(y1, p.y_mm);
    }
    Raster raster;
    raster.px_per_mm = px_per_mm;
    raster.origin = {x0 - margin_mm, y0 - margin_mm};
    raster.width = static_cast<int>(std::ceil((x1 - x0 + 2.0 * margin_mm) * px_per_mm - 1e-6));
    raster.height = static_cast<int>(std::ceil((y1 - y0 + 2.0 * margin_mm) * px_per_mm - 1e-6));
    return raster;
}

cv::Point2d pixel_of(const Raster& raster, Point p) {
    return {(p.x_mm - raster.origin.x_mm) * raster.px_per_mm - 0.5,
            (p.y_mm - raster.origin.y_mm) * raster.px_per_mm - 0.5};
}

Polyline circle(Point centre, double radius_mm, int corners) {
    Polyline ring;
    const int n = corners > 0 ? corners : std::clamp(static_cast<int>(radius_mm * 40.0), 16, 96);
    arc(ring, centre, radius_mm, 0.0, 2.0 * std::numbers::pi * (n - 1) / n, n - 1);
    return ring;
}

Polyline rectangle(Point centre, double half_x, double half_y, double turn_rad) {
    const double c = std::cos(turn_rad);
    const double s = std::sin(turn_rad);
    Polyline ring;
    for (const auto& [x, y] : {std::pair(-1.0, -1.0), {1.0, -1.0}, {1.0, 1.0}, {-1.0, 1.0}}) {
        ring.push_back({centre.x_mm + c * x * half_x - s * y * half_y,
                        centre.y_mm + s * x * half_x + c * y * half_y});
    }
    return ring;
}

Polyline ring_of(const Shape& shape, double grow_mm) {
    if (shape.kind == Shape::Kind::box) {
        return rectangle(
            shape.a, shape.half_width_mm + grow_mm, shape.half_height_mm + grow_mm, shape.turn_rad);
    }
    const double radius = shape.radius_mm + grow_mm;
    if (shape.a == shape.b) {
        return circle(shape.a, radius);
    }
    const double along = std::atan2(shape.b.y_mm - shape.a.y_mm, shape.b.x_mm - shape.a.x_mm);
    constexpr double quarter = std::numbers::pi / 2.0;
    const int steps = std::clamp(static_cast<int>(radius * 20.0), 8, 48);
    Polyline ring;
    arc(ring, shape.b, radius, along - quarter, along + quarter, steps);
    arc(ring, shape.a, radius, along + quarter, along + 3.0 * quarter, steps);
    return ring;
}

void fill(cv::Mat& mask,
          const Raster& raster,
          const std::vector<Polyline>& rings,
          double value,
          bool soft) {
    std::vector<std::vector<cv::Point>> all;
    for (const Polyline& ring : rings) {
        if (ring.size() >= 3) {
            all.push_back(fixed(raster, ring));
        }
    }
    if (!all.empty()) {
        cv::fillPoly(mask, all, cv::Scalar::all(value), soft ? cv::LINE_AA : cv::LINE_8, shift);
    }
}

void fill(cv::Mat& mask, const Raster& raster, const Polyline& ring, double value, bool soft) {
    fill(mask, raster, std::vector<Polyline>{ring}, value, soft);
}

void fill_line(cv::Mat& mask,
               const Raster& raster,
               const Polyline& along,
               double width_mm,
               double value,
               bool soft) {
    for (std::size_t i = 0; i < std::max<std::size_t>(along.size(), 2) - 1; ++i) {
        Shape shape;
        shape.a = along[i];
        shape.b = along[std::min(i + 1, along.size() - 1)];
        shape.radius_mm = width_mm / 2.0;
        fill(mask, raster, ring_of(shape), value, soft);
    }
}

}  // namespace etchback::photographer
