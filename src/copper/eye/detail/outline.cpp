#include "copper/eye/detail/outline.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/warp.h"

namespace etchback::copper::eye::detail {
namespace {

constexpr double px_per_mm_most = 8.0;

// A small picture of a view laid on the raster: 255 where it shows board.
cv::Mat board_of(const SideView& view, const FittedPhoto& fitted, const Raster& raster) {
    // Openings are background inside the outline; crumbs of it are glare or a light pad.
    cv::Mat solid = view.board.mask & ~view.board.background;
    cv::Mat out(raster.height, raster.width, CV_8U);
    for (int y = 0; y < raster.height; ++y) {
        auto* row = out.ptr<std::uint8_t>(y);
        for (int x = 0; x < raster.width; ++x) {
            const cv::Point2d px =
                fitted.pixel(raster_to_mm(raster, {x + 0.5, y + 0.5})) * (1.0 / view.board.shrink);
            const int c = cvFloor(px.x);
            const int r = cvFloor(px.y);
            row[x] = c >= 0 && r >= 0 && c < solid.cols && r < solid.rows
                         ? solid.at<std::uint8_t>(r, c)
                         : 0;
        }
    }
    return out;
}

// A little in from a straight side everything counts as board, unless the notch is deeper: the
// small pictures are not exact to a pixel.
void keep_straight_sides(cv::Mat& board, const Raster& raster, const BundleFit& fit) {
    const cv::Point2d a = mm_to_raster(raster, fit.corner);
    const cv::Point2d b =
        mm_to_raster(raster, fit.corner + cv::Point2d(fit.width_mm, fit.height_mm));
    const int reach = std::max(2, cvRound(0.8 * raster.px_per_mm));
    const cv::Rect rect(cv::Point(cvRound(a.x), cvRound(a.y)),
                        cv::Point(cvRound(b.x), cvRound(b.y)));
    cv::Mat inside = cv::Mat::zeros(board.size(), CV_8U);
    inside(rect & cv::Rect({0, 0}, board.size())) = 255;
    board &= inside;
    // Closing against a frame of board all around fills what is narrower than `reach` along it.
    cv::Mat framed = board | ~inside;
    const cv::Mat disc = cv::getStructuringElement(cv::MORPH_RECT, {2 * reach + 1, 2 * reach + 1});
    cv::morphologyEx(framed, framed, cv::MORPH_CLOSE, disc);
    board = framed & inside;
}

Polyline ring_of(const std::vector<cv::Point>& contour, const Raster& raster, bool clockwise) {
    std::vector<cv::Point> simple;
    cv::approxPolyDP(contour, simple, 0.12 * raster.px_per_mm + 0.8, true);
    Polyline ring;
    for (const cv::Point& p : simple) {
        const cv::Point2d mm = raster_to_mm(raster, cv::Point2d(p) + cv::Point2d(0.5, 0.5));
        ring.push_back({mm.x, mm.y});
    }
    if ((cv::contourArea(contour, true) > 0.0) != clockwise) {
        std::reverse(ring.begin(), ring.end());
    }
    return ring;
}

// A coordinate within reach of a straight side lies on it.
void snap(Polyline& ring, const BundleFit& fit) {
    constexpr double reach_mm = 0.5;
    const double right = fit.corner.x + fit.width_mm;
    const double lower = fit.corner.y + fit.height_mm;
    for (Point& p : ring) {
        for (const double x : {fit.corner.x, right}) {
            p.x_mm = std::abs(p.x_mm - x) < reach_mm ? x : p.x_mm;
        }
        for (const double y : {fit.corner.y, lower}) {
            p.y_mm = std::abs(p.y_mm - y) < reach_mm ? y : p.y_mm;
        }
    }
}

// A long opening as a slot: its middle line and width.
std::optional<Hole> slot_of(const std::vector<cv::Point>& contour, const Raster& raster) {
    const cv::RotatedRect box = cv::minAreaRect(contour);
    const double length = std::max(box.size.width, box.size.height) / raster.px_per_mm;
    const double width = std::min(box.size.width, box.size.height) / raster.px_per_mm;
    if (width < 0.4 || length < 1.8 * width || cv::contourArea(contour) < 0.7 * box.size.area()) {
        return std::nullopt;
    }
    const double angle =
        (box.size.width >= box.size.height ? box.angle : box.angle + 90.0F) * CV_PI / 180.0;
    const cv::Point2d middle =
        raster_to_mm(raster, cv::Point2d(box.center) + cv::Point2d(0.5, 0.5));
    const cv::Point2d half =
        cv::Point2d(std::cos(angle), std::sin(angle)) * (0.5 * (length - width));
    Hole slot;
    slot.at = {middle.x, middle.y};
    slot.diameter_mm = width;
    slot.slot = {{middle.x - half.x, middle.y - half.y}, {middle.x + half.x, middle.y + half.y}};
    slot.real = 0.8;
    return slot;
}

Polyline rectangle(const BundleFit& fit) {
    const double x = fit.corner.x;
    const double y = fit.corner.y;
    return {{x, y},
            {x + fit.width_mm, y},
            {x + fit.width_mm, y + fit.height_mm},
            {x, y + fit.height_mm}};
}

}  // namespace

Outline find_outline(const std::vector<SideView>& views, const BundleFit& fit) {
    const Raster raster = raster_for(fit, 1.0, px_per_mm_most, px_per_mm_most, 4e5);
    cv::Mat board = cv::Mat::zeros(raster.height, raster.width, CV_8U);
    for (std::size_t i = 0; i < views.size(); ++i) {
        board |= board_of(views[i], fit.photos[i], raster);
    }
    keep_straight_sides(board, raster, fit);
    cv::medianBlur(board, board, 5);

    std::vector<std::vector<cv::Point>> contours;
    std::vector<cv::Vec4i> tree;
    cv::findContours(board, contours, tree, cv::RETR_CCOMP, cv::CHAIN_APPROX_NONE);
    int outer = -1;
    for (std::size_t i = 0; i < contours.size(); ++i) {
        if (tree[i][3] < 0 &&
            (outer < 0 || contours[i].size() > contours[static_cast<std::size_t>(outer)].size())) {
            outer = static_cast<int>(i);
        }
    }
    Outline out;
    out.polygon.outer = rectangle(fit);
    if (outer < 0) {
        return out;
    }
    const double area_mm2 =
        cv::contourArea(contours[outer]) / (raster.px_per_mm * raster.px_per_mm);
    if (area_mm2 < 0.985 * fit.width_mm * fit.height_mm) {
        out.polygon.outer = ring_of(contours[outer], raster, true);
        snap(out.polygon.outer, fit);
    }
    for (std::size_t i = 0; i < contours.size(); ++i) {
        const double hole_mm2 =
            cv::contourArea(contours[i]) / (raster.px_per_mm * raster.px_per_mm);
        if (tree[i][3] != outer || hole_mm2 < 1.5) {
            continue;
        }
        if (auto slot = slot_of(contours[i], raster)) {
            for (const SideView& view : views) {
                (view.side == Side::top ? slot->seen_top : slot->seen_bottom) = true;
            }
            out.slots.push_back(*slot);
        }
        out.polygon.holes.push_back(ring_of(contours[i], raster, false));
    }
    return out;
}

}  // namespace etchback::copper::eye::detail
