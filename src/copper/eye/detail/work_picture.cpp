#include "copper/eye/detail/work_picture.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
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

// Distance to the edge in mm, as far as `seen_mm`; further in it is only large. Most of a board
// lies further in: only squares near an edge are measured.
cv::Mat depth_at_edges(const cv::Mat& inside, double px_per_mm) {
    constexpr double seen_mm = 0.5;
    constexpr int square = 64;
    const int margin = cvCeil(seen_mm * px_per_mm) + 1;
    // The raster's edge is the board's edge, too; openings inside the board count as holes.
    cv::Mat padded;
    cv::copyMakeBorder(
        inside, padded, margin, margin, margin, margin, cv::BORDER_CONSTANT, cv::Scalar(0));
    cv::Mat depth(inside.size(), CV_32F, cv::Scalar(std::numeric_limits<float>::max()));
    for (int y = 0; y < inside.rows; y += square) {
        for (int x = 0; x < inside.cols; x += square) {
            const cv::Rect box = cv::Rect(x, y, square, square) & cv::Rect({0, 0}, inside.size());
            const cv::Mat about =
                padded({box.x, box.y, box.width + 2 * margin, box.height + 2 * margin});
            if (cv::countNonZero(about) == static_cast<int>(about.total())) {
                continue;
            }
            cv::Mat measured;
            cv::distanceTransform(about, measured, cv::DIST_L2, cv::DIST_MASK_3);
            measured(cv::Rect({margin, margin}, box.size()))
                .convertTo(depth(box), CV_32F, 1.0 / px_per_mm);
        }
    }
    return depth;
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
    work.depth = depth_at_edges(work.inside, work.px_per_mm);
    return work;
}

namespace {

// How far a pad of a part that lies flat may reach: to half the way to the next one, and of two
// pins no further than the body is wide.
void limit_pad(const copper::detail::PlacedPart& part,
               const Pad& pad,
               double px_per_mm,
               KnownPad& known) {
    constexpr double widest_mm = 1.4;
    constexpr double over_body_mm = 0.05;
    constexpr double apart_mm = 0.1;
    if (part.body.size() != 4) {
        return;
    }
    const auto way = [](const Point& a, const Point& b) {
        return cv::Point2d(b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    };
    const cv::Point2d side = way(part.body[0], part.body[1]);
    known.axis = side / std::max(1e-6, cv::norm(side));
    const cv::Point2d square(-known.axis.y, known.axis.x);
    double along = widest_mm;
    double across = widest_mm;
    if (part.pads.size() == 2) {
        const cv::Point2d pins = way(part.pads[0].at, part.pads[1].at);
        const double half_along = 0.5 * cv::norm(side) + over_body_mm;
        const double half_across = 0.5 * cv::norm(way(part.body[1], part.body[2])) + over_body_mm;
        (std::abs(pins.dot(known.axis)) > std::abs(pins.dot(square)) ? across : along) =
            std::abs(pins.dot(known.axis)) > std::abs(pins.dot(square)) ? half_across : half_along;
    }
    for (const Pad& other : part.pads) {
        const cv::Point2d to = way(pad.at, other.at);
        const double u = std::abs(to.dot(known.axis));
        const double v = std::abs(to.dot(square));
        if (std::max(u, v) > 0.3) {
            double& reach = u > v ? along : across;
            reach = std::min(reach, 0.5 * std::max(u, v) - apart_mm);
        }
    }
    known.reach_along = along * px_per_mm;
    known.reach_across = across * px_per_mm;
}

// Beside a small part between its two pins there is print that looks as its solder does.
void add_flanks(const copper::detail::PlacedPart& part, const Raster& raster, WorkPicture& work) {
    constexpr double wide_mm = 0.35;
    constexpr double share = 0.4;  // of the way between the pins
    const cv::Point2d a = pixel_of(part.pads[0].at, raster) * work.scale;
    const cv::Point2d b = pixel_of(part.pads[1].at, raster) * work.scale;
    const double length = cv::norm(b - a);
    if (length < 1.0) {
        return;
    }
    const cv::Point2d way = (b - a) / length;
    const cv::Point2d square(-way.y, way.x);
    double half = 0.0;
    for (const Point& corner : part.body) {
        const cv::Point2d at = pixel_of(corner, raster) * work.scale;
        half = std::max(half, std::abs((at - a).dot(square)));
    }
    half += wide_mm * work.px_per_mm;
    std::vector<cv::Point> ring;
    for (const auto& [u, v] :
         {std::pair(-1, -1), std::pair(1, -1), std::pair(1, 1), std::pair(-1, 1)}) {
        const cv::Point2d at = 0.5 * (a + b) + 0.5 * share * length * u * way + half * v * square;
        ring.emplace_back(cvRound(at.x), cvRound(at.y));
    }
    cv::fillConvexPoly(work.bodies, ring, cv::Scalar(255));
}

// The wires of a lying part run from its joints to its body, above whatever lies between.
void add_leads(const copper::detail::PlacedPart& part, const Raster& raster, WorkPicture& work) {
    constexpr double joint_mm = 0.85;  // from the middle of a joint: it ends about there
    constexpr double thick_mm = 1.0;
    const cv::Point2d a = pixel_of(part.pads[0].at, raster) * work.scale;
    const cv::Point2d b = pixel_of(part.pads[1].at, raster) * work.scale;
    const double length = cv::norm(b - a);
    const double joint = joint_mm * work.px_per_mm;
    if (length > 2.0 * joint) {
        const cv::Point2d way = (b - a) / length;
        cv::line(work.bodies,
                 a + joint * way,
                 b - joint * way,
                 cv::Scalar(255),
                 std::max(1, cvRound(thick_mm * work.px_per_mm)));
    }
}

}  // namespace

void mark_parts(const std::vector<copper::detail::PlacedPart>& parts,
                Side side,
                const Raster& raster,
                WorkPicture& work) {
    work.bodies = cv::Mat(work.inside.size(), CV_8U, cv::Scalar(0));
    for (const copper::detail::PlacedPart& part : parts) {
        for (const Pad& pad : part.pads) {
            if (!pad.side || *pad.side == side) {
                KnownPad known;
                known.at = pixel_of(pad.at, raster) * work.scale;
                known.drilled = !pad.side;
                known.part = static_cast<int>(&part - parts.data());
                known.covered = !pad.side && !part.known && part.fitted && side == Side::top;
                if (part.flat) {
                    limit_pad(part, pad, work.px_per_mm, known);
                }
                work.pads.push_back(known);
            }
        }
        if (part.side != side || part.body.size() < 3) {
            continue;
        }
        std::vector<cv::Point> ring;
        for (const Point& corner : part.body) {
            const cv::Point2d px = pixel_of(corner, raster) * work.scale;
            ring.emplace_back(cvRound(px.x), cvRound(px.y));
        }
        cv::fillConvexPoly(work.bodies, ring, cv::Scalar(255));
        if (part.pads.size() > 2) {
            // Shadow and print run between its pins along it.
            constexpr double beside_mm = 0.2;
            cv::polylines(work.bodies,
                          ring,
                          true,
                          cv::Scalar(255),
                          std::max(1, cvRound(2.0 * beside_mm * work.px_per_mm)));
        }
        if (part.flat && part.pads.size() == 2) {
            add_flanks(part, raster, work);
        }
        if (!part.flat && part.pads.size() == 2) {
            add_leads(part, raster, work);
        }
    }
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
