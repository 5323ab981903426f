#include "board-photographer/photograph.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "board-photographer/bodies.h"
#include "board-photographer/detail/forms.h"
#include "board-photographer/detail/lamps.h"
#include "board-photographer/detail/painter.h"
#include "board-photographer/detail/sensor.h"
#include "board-photographer/detail/shade.h"
#include "board-photographer/detail/side_maps.h"
#include "board-photographer/detail/texture.h"
#include "board-photographer/draw.h"
#include "board-photographer/random.h"

namespace etchback::photographer {
namespace {

// Board coordinates, as pixels of `raster`, for each pixel of the photo. The camera is asked every
// eighth pixel; between them the map is as good as straight.
cv::Mat raster_map(const Camera& camera, const Raster& raster) {
    constexpr int step = 8;
    const cv::Size size = camera.view().size;
    cv::Mat nodes(size.height / step + 2, size.width / step + 2, CV_32FC2);
    for (int y = 0; y < nodes.rows; ++y) {
        for (int x = 0; x < nodes.cols; ++x) {
            const cv::Point2d at = pixel_of(raster, camera.board({x * 1.0 * step, y * 1.0 * step}));
            nodes.at<cv::Vec2f>(y, x) = {static_cast<float>(at.x), static_cast<float>(at.y)};
        }
    }
    cv::Mat map(size, CV_32FC2);
    for (int y = 0; y < size.height; ++y) {
        const int ny = y / step;
        const float fy = static_cast<float>(y % step) / step;
        const auto* above = nodes.ptr<cv::Vec2f>(ny);
        const auto* below = nodes.ptr<cv::Vec2f>(ny + 1);
        auto* row = map.ptr<cv::Vec2f>(y);
        for (int x = 0; x < size.width; ++x) {
            const int nx = x / step;
            const float fx = static_cast<float>(x % step) / step;
            const cv::Vec2f left = above[nx] * (1.0F - fy) + below[nx] * fy;
            const cv::Vec2f right = above[nx + 1] * (1.0F - fy) + below[nx + 1] * fy;
            row[x] = left * (1.0F - fx) + right * fx;
        }
    }
    return map;
}

std::vector<cv::Point2d> seen(const Camera& camera, const Polyline& ring, double height_mm) {
    std::vector<cv::Point2d> flat;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        // Long edges are bent by the lens.
        const Point& a = ring[i];
        const Point& b = ring[(i + 1) % ring.size()];
        const int steps = std::clamp(static_cast<int>(distance(a, b) / 3.0), 1, 40);
        for (int k = 0; k < steps; ++k) {
            const double t = static_cast<double>(k) / steps;
            flat.push_back(camera.pixel(
                {a.x_mm + t * (b.x_mm - a.x_mm), a.y_mm + t * (b.y_mm - a.y_mm)}, height_mm));
        }
    }
    return flat;
}

// How high the board stands over the table: on its joints, or on its tallest parts.
double stand_of(const Layout& layout, Side side) {
    double stand = 0.4;
    const Side other = side == Side::top ? Side::bottom : Side::top;
    for (const Prism& prism : prisms_of(layout, other)) {
        stand = std::max(stand, prism.to_mm);
    }
    for (const Pad& pad : pads_of(layout)) {
        if (other == Side::bottom && pad.drill_mm > 0.0) {
            stand = std::max(stand, 1.6);
        }
    }
    return stand;
}

// The table with the board's shadow on it.
cv::Mat table(const Layout& layout,
              Side side,
              const Camera& camera,
              const Lighting& lighting,
              const Nuisance& nuisance) {
    const cv::Size size = camera.view().size;
    const cv::Size half((size.width + 1) / 2, (size.height + 1) / 2);
    Random random(nuisance.seed * 17 + 1);
    cv::Mat ground = backdrop(half, nuisance.background, camera.view().px_per_mm / 2.0, random);
    const double down = -(layout.board.thickness_mm + stand_of(layout, side));
    cv::Mat light(half, CV_32FC3);
    std::vector<cv::Mat> shadows;
    std::vector<Prism> prisms = prisms_of(layout, side);
    prisms.push_back({layout.board.outline, -layout.board.thickness_mm, 0.0});
    for (const Lamp& lamp : lighting.lamps) {
        cv::Mat lit(half, CV_8U, cv::Scalar::all(255));
        for (const Prism& prism : prisms) {
            const std::vector<cv::Point2d> ring =
                seen(camera, shadow_of(prism, lamp, camera, down), down);
            std::vector<cv::Point> corners;
            for (const cv::Point2d& p : ring) {
                corners.emplace_back(static_cast<int>(p.x / 2.0), static_cast<int>(p.y / 2.0));
            }
            cv::fillPoly(lit, std::vector<std::vector<cv::Point>>{corners}, cv::Scalar::all(0));
        }
        const double sigma = (0.3 - down * lamp.softness * 0.6) * camera.view().px_per_mm / 2.0;
        // A wide blur is taken on a small picture.
        const int shrink = std::max(1, static_cast<int>(sigma / 4.0));
        cv::Mat small;
        cv::resize(lit, small, {half.width / shrink, half.height / shrink}, 0, 0, cv::INTER_AREA);
        cv::GaussianBlur(small, small, {}, std::max(0.5, sigma / shrink));
        cv::resize(small, lit, half, 0, 0, cv::INTER_LINEAR);
        shadows.push_back(lit);
    }
    for (int y = 0; y < half.height; ++y) {
        auto* row = ground.ptr<Colour>(y);
        for (int x = 0; x < half.width; ++x) {
            // The far field is flat enough to take light where the board's plane would be.
            const double px = (2.0 * x - size.width / 2.0) / camera.view().px_per_mm;
            const double py = (2.0 * y - size.height / 2.0) / camera.view().px_per_mm;
            Colour sum = lighting.ambient;
            for (std::size_t i = 0; i < lighting.lamps.size(); ++i) {
                const Lamp& lamp = lighting.lamps[i];
                const cv::Vec3d to = lamp.at - cv::Vec3d(px, py, down);
                const double facing = to[2] / std::sqrt(to.dot(to));
                sum += lamp.colour *
                       (Lighting::fall_off(lamp, {px, py, down}) * static_cast<float>(facing) *
                        shadows[i].at<uchar>(y, x) / 255.0F);
            }
            row[x] = row[x].mul(sum);
        }
    }
    cv::Mat full;
    cv::resize(ground, full, size, 0, 0, cv::INTER_LINEAR);
    return full;
}

void lay_over(cv::Mat& photo, const cv::Mat& board) {
    for (int y = 0; y < photo.rows; ++y) {
        auto* row = photo.ptr<Colour>(y);
        const auto* b = board.ptr<cv::Vec4f>(y);
        for (int x = 0; x < photo.cols; ++x) {
            row[x] = row[x] * (1.0F - b[x][3]) + Colour(b[x][0], b[x][1], b[x][2]);
        }
    }
}

}  // namespace

View view_of(const Layout& layout, Side side, const Nuisance& nuisance) {
    View view;
    view.side = side;
    view.turned = nuisance.turned;
    view.distance_mm = nuisance.distance_mm;
    view.tilt_deg = nuisance.tilt_deg;
    view.tilt_towards_deg = nuisance.tilt_towards_deg;
    view.turn_deg = nuisance.turn_deg;
    view.k1 = nuisance.k1;
    view.k2 = nuisance.k2;
    view.size = nuisance.size;
    const Raster box = raster_of(layout.board, 10.0);
    const double width = box.width / 10.0;
    const double height = box.height / 10.0;
    view.centre = {box.origin.x_mm + width / 2.0, box.origin.y_mm + height / 2.0};
    const double turn = nuisance.turn_deg * std::numbers::pi / 180.0;
    const double wide = width * std::abs(std::cos(turn)) + height * std::abs(std::sin(turn));
    const double high = width * std::abs(std::sin(turn)) + height * std::abs(std::cos(turn));
    view.px_per_mm =
        nuisance.fill * std::min(nuisance.size.width / wide, nuisance.size.height / high);
    view.aim_off_px = {nuisance.off_centre * 0.5 * (nuisance.size.width - wide * view.px_per_mm),
                       nuisance.off_centre * -0.3 * (nuisance.size.height - high * view.px_per_mm)};
    return view;
}

Shot photograph(const Layout& layout, Side side, const Nuisance& nuisance) {
    const Camera camera(view_of(layout, side, nuisance));
    const Raster box = raster_of(layout.board, 1.0);
    const Lighting lighting = lighting_of(nuisance, camera, std::hypot(box.width, box.height));
    const SideMaps maps = maps_of(layout, side, camera.view().px_per_mm * 1.1, nuisance);
    const cv::Mat surface = shade(layout, side, maps, camera, lighting, nuisance);

    cv::Mat photo = table(layout, side, camera, lighting, nuisance);
    cv::Mat covered = cv::Mat::zeros(photo.size(), CV_8U);
    cv::Mat beside = covered.clone();  // hidden by the board where they lie below it
    draw_wires_below(layout, side, camera, lighting, photo, beside);
    Painter painter(photo, covered);
    // The cut edge of the board, then what is below its holes, in the dark.
    const Colour edge =
        colour_of(layout.board.laminate).mul(lighting.ambient + lighting.lamps[0].colour * 0.4F);
    painter.polygon(
        seen(camera, layout.board.outline, -layout.board.thickness_mm), edge, 1.0F, false);
    painter.polygon(seen(camera, layout.board.outline, 0.0), edge * 0.12F, 1.0F, false);
    for (const Slot& slot : layout.board.slots) {
        Shape shape;
        shape.a = slot.along.front();
        shape.b = slot.along.back();
        shape.radius_mm = slot.width_mm / 2.0;
        painter.polygon(
            seen(camera, ring_of(shape), -layout.board.thickness_mm), edge * 0.6F, 1.0F, false);
    }
    cv::Mat board;
    cv::remap(surface,
              board,
              raster_map(camera, maps.raster),
              {},
              cv::INTER_LINEAR,
              cv::BORDER_CONSTANT,
              cv::Scalar::all(0));
    lay_over(photo, board);
    draw_parts(layout, side, camera, lighting, photo, covered);

    const cv::Mat bgr = develop(std::move(photo), nuisance);
    Shot shot{jpeg_of(bgr, nuisance.jpeg_quality), {}, camera, covered};
    shot.bgr = cv::imdecode(shot.jpeg, cv::IMREAD_COLOR | cv::IMREAD_IGNORE_ORIENTATION);
    return shot;
}

cv::Mat hidden_on(const Shot& shot, const Raster& raster) {
    cv::Mat hidden(raster.height, raster.width, CV_8U, cv::Scalar::all(255));
    for (int y = 0; y < raster.height; ++y) {
        for (int x = 0; x < raster.width; ++x) {
            const Point p = {raster.origin.x_mm + (x + 0.5) / raster.px_per_mm,
                             raster.origin.y_mm + (y + 0.5) / raster.px_per_mm};
            const cv::Point2d at = shot.camera.pixel(p);
            const int px = static_cast<int>(std::lround(at.x));
            const int py = static_cast<int>(std::lround(at.y));
            if (px >= 0 && py >= 0 && px < shot.covered.cols && py < shot.covered.rows) {
                hidden.at<uchar>(y, x) = shot.covered.at<uchar>(py, px) > 127 ? 255 : 0;
            }
        }
    }
    return hidden;
}

}  // namespace etchback::photographer
