#include "board-photographer/pours.h"

#include <algorithm>
#include <map>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "board-photographer/draw.h"

namespace etchback::photographer {
namespace {

constexpr double px_per_mm = 40.0;
constexpr double edge_mm = 0.5;
constexpr double thinnest_mm = 0.25;

// 255 beyond `distance_mm` from everything that is drawn in `drawn`.
cv::Mat beyond(const cv::Mat& drawn, double distance_mm) {
    cv::Mat apart;
    cv::distanceTransform(~drawn, apart, cv::DIST_L2, cv::DIST_MASK_5);
    return apart > distance_mm * px_per_mm;
}

cv::Mat inside_of_board(const Layout& layout, const Raster& raster) {
    cv::Mat board = cv::Mat::zeros(raster.height + 2, raster.width + 2, CV_8U);
    cv::Mat inner = board(cv::Rect(1, 1, raster.width, raster.height));
    fill(inner, raster, layout.board.outline, 255, false);
    for (const Polyline& cut : layout.board.cut_outs) {
        fill(inner, raster, cut, 0, false);
    }
    for (const Slot& slot : layout.board.slots) {
        fill_line(inner, raster, slot.along, slot.width_mm, 0, false);
    }
    for (const BoardHole& hole : layout.board.holes) {
        fill(inner, raster, circle(hole.at, hole.diameter_mm / 2.0), 0, false);
    }
    const cv::Mat off_edge = beyond(~board, edge_mm);
    return off_edge(cv::Rect(1, 1, raster.width, raster.height)).clone();
}

void cut_thermals(const Layout& layout, const Pour& pour, const Raster& raster, cv::Mat& area) {
    for (const Pad& pad : pads_of(layout)) {
        const Shape shape = shape_of(pad, layout.board);
        if (pad.net != pour.net || !shape.on(pour.side)) {
            continue;
        }
        cv::Mat spokes = cv::Mat::zeros(area.size(), CV_8U);
        const double half = std::max(pad.width_mm, pad.height_mm) / 2.0 + 0.6;
        for (const double turn : {0.0, std::numbers::pi / 2.0}) {
            fill(spokes, raster, rectangle(pad.at, half, 0.25, turn + shape.turn_rad), 255, false);
        }
        cv::bitwise_and(spokes, area, spokes);
        fill(area, raster, ring_of(shape, 0.35), 0, false);
        cv::bitwise_or(area, spokes, area);
    }
}

// Leaves out slivers, and pieces that touch nothing of their own net.
cv::Mat attached(const cv::Mat& area, const cv::Mat& own) {
    const int size = static_cast<int>(thinnest_mm * px_per_mm) | 1;
    cv::Mat smooth;
    cv::morphologyEx(
        area, smooth, cv::MORPH_OPEN, cv::getStructuringElement(cv::MORPH_ELLIPSE, {size, size}));
    cv::Mat labels;
    const int count = cv::connectedComponents(smooth, labels, 8);
    std::vector<bool> keep(static_cast<std::size_t>(count), false);
    for (int y = 0; y < labels.rows; ++y) {
        for (int x = 0; x < labels.cols; ++x) {
            if (own.at<uchar>(y, x) != 0) {
                keep[static_cast<std::size_t>(labels.at<int>(y, x))] = true;
            }
        }
    }
    keep[0] = false;
    for (int y = 0; y < labels.rows; ++y) {
        for (int x = 0; x < labels.cols; ++x) {
            if (!keep[static_cast<std::size_t>(labels.at<int>(y, x))]) {
                smooth.at<uchar>(y, x) = 0;
            }
        }
    }
    return smooth;
}

std::vector<copper::Polygon> polygons_of(const cv::Mat& area, const Raster& raster) {
    std::vector<std::vector<cv::Point>> contours;
    std::vector<cv::Vec4i> order;
    cv::findContours(area.clone(), contours, order, cv::RETR_CCOMP, cv::CHAIN_APPROX_SIMPLE);
    const auto ring = [&](const std::vector<cv::Point>& contour) {
        Polyline points;
        for (const cv::Point& p : contour) {
            points.push_back({(p.x + 0.5) / px_per_mm + raster.origin.x_mm,
                              (p.y + 0.5) / px_per_mm + raster.origin.y_mm});
        }
        return points;
    };
    std::vector<copper::Polygon> polygons;
    for (std::size_t i = 0; i < contours.size(); ++i) {
        if (order[i][3] >= 0 || contours[i].size() < 3) {
            continue;
        }
        copper::Polygon polygon{ring(contours[i]), {}};
        for (int hole = order[i][2]; hole >= 0; hole = order[static_cast<std::size_t>(hole)][0]) {
            if (contours[static_cast<std::size_t>(hole)].size() >= 3) {
                polygon.holes.push_back(ring(contours[static_cast<std::size_t>(hole)]));
            }
        }
        polygons.push_back(std::move(polygon));
    }
    return polygons;
}

}  // namespace

std::vector<PouredCopper> pour_all(const Layout& layout) {
    std::vector<PouredCopper> done;
    const Raster raster = raster_of(layout.board, px_per_mm);
    std::vector<Shape> shapes = shapes_of(layout);
    for (const Pour& pour : layout.pours) {
        cv::Mat area = cv::Mat::zeros(raster.height, raster.width, CV_8U);
        fill(area, raster, pour.outline, 255, false);
        area &= inside_of_board(layout, raster);
        cv::Mat own = cv::Mat::zeros(area.size(), CV_8U);
        std::map<double, cv::Mat> others;  // by clearance
        const auto keep_off = [&](const std::string& net) -> cv::Mat& {
            const double apart =
                std::max(pour.clearance_mm, clearance_between(layout, pour.net, net));
            cv::Mat& mask = others[apart];
            if (mask.empty()) {
                mask = cv::Mat::zeros(area.size(), CV_8U);
            }
            return mask;
        };
        for (const Shape& shape : shapes) {
            if (shape.on(pour.side)) {
                cv::Mat& mask = shape.net == pour.net ? own : keep_off(shape.net);
                fill(mask, raster, ring_of(shape), 255, false);
            }
        }
        for (const PouredCopper& before : done) {
            if (before.side == pour.side && before.net != pour.net) {
                for (const copper::Polygon& piece : before.pieces) {
                    std::vector<Polyline> rings{piece.outer};
                    rings.insert(rings.end(), piece.holes.begin(), piece.holes.end());
                    fill(keep_off(before.net), raster, rings, 255, false);
                }
            }
        }
        for (const auto& [apart, mask] : others) {
            area &= beyond(mask, apart);
        }
        if (pour.thermal) {
            cut_thermals(layout, pour, raster, area);
        }
        area = attached(area, own);
        done.push_back({pour.net, pour.side, polygons_of(area, raster)});
    }
    return done;
}

}  // namespace etchback::photographer
