#include "board-photographer/detail/side_maps.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "board-photographer/detail/stroke_font.h"
#include "board-photographer/detail/texture.h"
#include "board-photographer/draw.h"
#include "board-photographer/random.h"
#include "board-photographer/truth.h"

namespace etchback::photographer {
namespace {

cv::Mat blank(const Raster& raster) {
    return cv::Mat::zeros(raster.height, raster.width, CV_8U);
}

void blur(cv::Mat& mat, const Raster& raster, double sigma_mm) {
    const double sigma = sigma_mm * raster.px_per_mm;
    if (sigma > 0.3) {
        cv::GaussianBlur(mat, mat, {}, sigma, sigma, cv::BORDER_REPLICATE);
    }
}

cv::Mat board_mask(const Layout& layout, const Raster& raster) {
    cv::Mat mask = blank(raster);
    fill(mask, raster, layout.board.outline, 255, true);
    for (const Polyline& cut : layout.board.cut_outs) {
        fill(mask, raster, cut, 0, true);
    }
    for (const TruthHole& hole : holes_of(layout)) {
        if (!hole.open) {
            continue;
        }
        if (hole.slot.empty()) {
            fill(mask, raster, circle(hole.at, hole.diameter_mm / 2.0), 0, true);
        } else {
            fill_line(mask, raster, hole.slot, hole.diameter_mm, 0, true);
        }
    }
    return mask;
}

void draw_openings(const Layout& layout, Side side, SideMaps& maps) {
    constexpr double margin_mm = 0.06;
    for (const Pad& pad : pads_of(layout)) {
        const Shape shape = shape_of(pad, layout.board);
        if (!shape.on(side)) {
            continue;
        }
        fill(maps.open, maps.raster, ring_of(shape, margin_mm), 255, true);
        if (pad.soldered) {
            fill(maps.solder, maps.raster, ring_of(shape, -0.02), 255, true);
        }
    }
    for (const Via& via : layout.vias) {
        if (!via.tented && (side == Side::bottom || layout.board.sides == 2)) {
            fill(maps.open,
                 maps.raster,
                 circle(via.at, via.diameter_mm / 2.0 + margin_mm),
                 255,
                 true);
        }
    }
    for (const Blob& blob : layout.blobs) {
        if (blob.side == side) {
            fill_line(maps.open, maps.raster, blob.along, blob.width_mm, 255, true);
            fill_line(maps.solder, maps.raster, blob.along, blob.width_mm, 255, true);
        }
    }
}

void draw_legend(const Layout& layout, Side side, SideMaps& maps) {
    for (const Legend& legend : layout.legends) {
        if (legend.side != side) {
            continue;
        }
        if (!legend.along.empty()) {
            fill_line(maps.legend, maps.raster, legend.along, legend.width_mm, 255, true);
        }
        for (const Polyline& line : strokes_of(
                 legend.text, legend.at, legend.height_mm, legend.turn_deg, side == Side::bottom)) {
            fill_line(maps.legend, maps.raster, line, legend.height_mm * 0.15, 255, true);
        }
    }
    // Printers keep off the pads, and ink is a little ragged.
    maps.legend.setTo(0, maps.open > 64);
    blur(maps.legend, maps.raster, 0.015);
}

// Where there is no solder mask, molten solder does not run along tracks; joints sit on top.
cv::Mat solder_height(const SideMaps& maps, Random& random) {
    cv::Mat depth;
    cv::distanceTransform(maps.solder > 127, depth, cv::DIST_L2, cv::DIST_MASK_5);
    const float px = static_cast<float>(maps.raster.px_per_mm);
    constexpr float ridge_mm = 0.85F;
    cv::Mat height(depth.size(), CV_32F);
    for (int y = 0; y < depth.rows; ++y) {
        const float* d = depth.ptr<float>(y);
        float* h = height.ptr<float>(y);
        for (int x = 0; x < depth.cols; ++x) {
            const float in = std::min(d[x] / px, ridge_mm);
            h[x] = 0.95F * (in - in * in / (2.0F * ridge_mm));
        }
    }
    blur(height, maps.raster, 0.07);
    cv::Mat bumps = smooth_noise(depth.size(), maps.raster.px_per_mm * 0.35, random);
    cv::Mat weight;
    maps.solder.convertTo(weight, CV_32F, 0.018 / 255.0);
    height += bumps.mul(weight);
    return height;
}

void find_height(const Layout& layout, SideMaps& maps, Random& random) {
    const bool masked = layout.board.mask != Mask::none;
    cv::Mat step;
    maps.copper.convertTo(step, CV_32F, 0.035 / 255.0);
    blur(step, maps.raster, masked ? 0.06 : 0.02);
    maps.height = step + solder_height(maps, random);
    // Weave of the glass and waves of the mask, a few micrometres.
    cv::Mat weave(maps.height.size(), CV_32F);
    const double k = 2.0 * std::numbers::pi / (0.48 * maps.raster.px_per_mm);
    for (int y = 0; y < weave.rows; ++y) {
        float* row = weave.ptr<float>(y);
        const double sy = std::sin(k * y);
        for (int x = 0; x < weave.cols; ++x) {
            row[x] = static_cast<float>(sy * std::sin(k * x));
        }
    }
    const bool glass = layout.board.laminate == Laminate::fr4;
    maps.height += weave * (glass ? 0.0012 : 0.0003);
    maps.height += smooth_noise(weave.size(), maps.raster.px_per_mm * 1.2, random) * 0.004;
    maps.height += smooth_noise(weave.size(), maps.raster.px_per_mm * 9.0, random) * 0.02;
}

void add_dirt(const Layout& layout, const Nuisance& nuisance, SideMaps& maps, Random& random) {
    const double area =
        maps.raster.width * maps.raster.height / (maps.raster.px_per_mm * maps.raster.px_per_mm);
    const auto spot = [&] {
        return Point{
            maps.raster.origin.x_mm + random.unit() * maps.raster.width / maps.raster.px_per_mm,
            maps.raster.origin.y_mm + random.unit() * maps.raster.height / maps.raster.px_per_mm};
    };
    const auto curve = [&](double length) {
        Polyline line{spot()};
        double along = random.between(0.0, 2.0 * std::numbers::pi);
        const double bend = random.normal() * 0.25;
        for (int i = 0; i < 8; ++i) {
            along += bend;
            line.push_back({line.back().x_mm + length / 8.0 * std::cos(along),
                            line.back().y_mm + length / 8.0 * std::sin(along)});
        }
        return line;
    };
    for (int i = 0; i < static_cast<int>(area * 0.35 * nuisance.dirt); ++i) {
        fill(maps.dust,
             maps.raster,
             circle(spot(), random.between(0.02, 0.07), 8),
             random.between(60, 230),
             true);
    }
    for (int i = 0; i < static_cast<int>(area * 0.006 * nuisance.dirt); ++i) {
        fill_line(maps.dust, maps.raster, curve(random.between(1.0, 4.0)), 0.03, 190, true);
    }
    for (int i = 0; i < static_cast<int>(area * 0.02 * nuisance.scratches); ++i) {
        Polyline line = curve(random.between(2.0, 14.0));
        line.resize(random.chance(0.7) ? 2 : line.size());
        fill_line(maps.scratch,
                  maps.raster,
                  line,
                  random.between(0.02, 0.06),
                  random.between(40, 200),
                  true);
    }
    for (const Pad& pad : pads_of(layout)) {
        if (pad.soldered && random.chance(nuisance.flux)) {
            const double radius = random.between(0.8, 2.4);
            fill(maps.flux,
                 maps.raster,
                 circle({pad.at.x_mm + random.normal() * 0.5, pad.at.y_mm + random.normal() * 0.5},
                        radius),
                 random.between(40, 160),
                 true);
        }
    }
    blur(maps.flux, maps.raster, 0.4);
}

}  // namespace

SideMaps maps_of(const Layout& layout, Side side, double px_per_mm, const Nuisance& nuisance) {
    Random random(nuisance.seed * 2 + (side == Side::top ? 0 : 1));
    SideMaps maps;
    maps.raster = raster_of(layout.board, px_per_mm, 1.0);
    const std::vector<PouredCopper> poured = pour_all(layout);
    const Side other = side == Side::top ? Side::bottom : Side::top;
    maps.board = board_mask(layout, maps.raster);
    maps.copper = copper_of(layout, poured, side, maps.raster, true);
    maps.opposite = copper_of(layout, poured, other, maps.raster, true);
    blur(maps.opposite, maps.raster, layout.board.thickness_mm * 0.14);
    for (cv::Mat* map :
         {&maps.open, &maps.solder, &maps.legend, &maps.flux, &maps.dust, &maps.scratch}) {
        *map = blank(maps.raster);
    }
    draw_openings(layout, side, maps);
    draw_legend(layout, side, maps);
    const bool masked =
        layout.board.mask != Mask::none && (side == Side::bottom || layout.board.sides == 2);
    if (!masked) {
        maps.open.setTo(255);
    }
    find_height(layout, maps, random);
    add_dirt(layout, nuisance, maps, random);
    return maps;
}

}  // namespace etchback::photographer
