#include "copper/eye/detail/hole_joints.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/raster_pixels.h"

namespace etchback::copper::eye::detail {

namespace {

// A rim that is copper over this much belongs to a pad; less is copper that passes nearby.
constexpr double share_of_pad = 0.3;
// How far outside the drilled edge copper is looked for: drills wander, edges are soft.
constexpr double reach_mm = 0.12;

// Points along the rim of a hole, `outside_px` from its edge.
std::vector<cv::Point2d> rim_points(const Hole& hole, const Raster& raster, double outside_px) {
    const double r = 0.5 * hole.diameter_mm * raster.px_per_mm + outside_px;
    const auto ring = [&](cv::Point2d c, std::vector<cv::Point2d>& out) {
        const int n = std::clamp(static_cast<int>(2.0 * std::numbers::pi * r), 16, 240);
        for (int i = 0; i < n; ++i) {
            const double a = 2.0 * std::numbers::pi * i / n;
            out.emplace_back(c.x + r * std::cos(a), c.y + r * std::sin(a));
        }
    };
    std::vector<cv::Point2d> points;
    if (hole.slot.size() < 2) {
        ring(pixel_of(hole.at, raster), points);
        return points;
    }
    for (std::size_t i = 0; i + 1 < hole.slot.size(); ++i) {
        const cv::Point2d a = pixel_of(hole.slot[i], raster);
        const cv::Point2d b = pixel_of(hole.slot[i + 1], raster);
        const double length = std::max(1.0, std::hypot(b.x - a.x, b.y - a.y));
        const cv::Point2d across(-(b.y - a.y) / length * r, (b.x - a.x) / length * r);
        for (double t = 0.0; t <= length; t += 1.0) {
            const cv::Point2d on = a + (b - a) * (t / length);
            points.push_back(on + across);
            points.push_back(on - across);
        }
    }
    return points;
}

void cover(const Hole& hole, const Raster& raster, int island, cv::Mat& labels) {
    const double radius = 0.5 * hole.diameter_mm * raster.px_per_mm;
    const auto centre = pixel_of(hole.at, raster);
    const int r = static_cast<int>(std::ceil(radius)) + 1;
    for (int y = static_cast<int>(centre.y) - r; y <= static_cast<int>(centre.y) + r; ++y) {
        for (int x = static_cast<int>(centre.x) - r; x <= static_cast<int>(centre.x) + r; ++x) {
            if (x >= 0 && y >= 0 && x < labels.cols && y < labels.rows &&
                std::hypot(x - centre.x, y - centre.y) <= radius + 1.0 &&
                labels.at<int>(y, x) < 0) {
                labels.at<int>(y, x) = island;
            }
        }
    }
}

std::string words_of(const Hole& hole, double joined) {
    const char* kind = hole.slot.empty() ? "hole" : "slot";
    if (joined >= 0.9) {
        return fmt::format("a {} of {:.1f} mm with copper on both sides", kind, hole.diameter_mm);
    }
    return fmt::format("a {} of {:.1f} mm that may be plated through", kind, hole.diameter_mm);
}

}  // namespace

std::vector<Rim> rim_of(const Hole& hole, const cv::Mat& labels, const Raster& raster) {
    if (labels.empty()) {
        return {};
    }
    std::map<int, int> votes;
    int all = 0;
    // Three rings: the edge of a drilled hole is soft, and its ring of copper may be narrow.
    const double reach = std::max(1.5, reach_mm * raster.px_per_mm);
    for (const double outside : {0.35 * reach, 0.7 * reach, reach}) {
        for (const cv::Point2d& p : rim_points(hole, raster, outside)) {
            const int x = cvRound(p.x);
            const int y = cvRound(p.y);
            if (x >= 0 && y >= 0 && x < labels.cols && y < labels.rows) {
                ++all;
                if (const int island = labels.at<int>(y, x); island >= 0) {
                    ++votes[island];
                }
            }
        }
    }
    std::vector<Rim> rim;
    for (const auto& [island, count] : votes) {
        rim.push_back({island, static_cast<double>(count) / all});
    }
    std::ranges::stable_sort(rim, std::greater{}, &Rim::share);
    return rim;
}

void join_holes(const std::vector<Hole>& holes,
                const Raster& raster,
                cv::Mat& top,
                cv::Mat& bottom,
                std::vector<Joint>& joints) {
    for (const Hole& hole : holes) {
        if (hole.diameter_mm <= 0.0 || hole.real < 0.2) {
            continue;
        }
        std::vector<int> around;
        int sides = 0;
        for (cv::Mat* labels : {&top, &bottom}) {
            const std::vector<Rim> rim = rim_of(hole, *labels, raster);
            const std::size_t before = around.size();
            for (const Rim& r : rim) {
                if (r.share >= share_of_pad) {
                    around.push_back(r.island);
                }
            }
            sides += around.size() > before ? 1 : 0;
            if (!rim.empty() && rim.front().share >= share_of_pad && hole.slot.empty()) {
                cover(hole, raster, rim.front().island, *labels);
            }
        }
        const double joined = hole.plated * hole.real;
        if (sides < 2 || joined < 0.02) {
            continue;
        }
        for (std::size_t i = 1; i < around.size(); ++i) {
            Joint joint;
            joint.kind = Joint::Kind::hole;
            joint.a = std::min(around[0], around[i]);
            joint.b = std::max(around[0], around[i]);
            joint.joined = joined;
            joint.at = hole.at;
            joint.width_mm = hole.diameter_mm;
            joint.why = words_of(hole, joined);
            if (joint.a != joint.b) {
                joints.push_back(std::move(joint));
            }
        }
    }
}

}  // namespace etchback::copper::eye::detail
