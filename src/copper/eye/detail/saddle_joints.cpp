#include "copper/eye/detail/saddle_joints.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "copper/eye/detail/raster_pixels.h"

namespace etchback::copper::eye::detail {

namespace {

// Width of the copper (or, from outside copper, of what lies between) about a pixel.
double width_at(const cv::Mat& copper, cv::Point at, bool of_copper, const Raster& raster) {
    const int reach = cvCeil(0.5 * raster.px_per_mm) + 2;
    double nearest = reach;
    int squared = reach * reach;
    for (int dy = -reach; dy <= reach; ++dy) {
        for (int dx = -reach; dx <= reach; ++dx) {
            if (dx * dx + dy * dy > squared) {
                continue;
            }
            const cv::Point p(at.x + dx, at.y + dy);
            const bool inside = p.x >= 0 && p.y >= 0 && p.x < copper.cols && p.y < copper.rows;
            if ((inside && copper.at<std::uint8_t>(p) >= 128) != of_copper) {
                squared = dx * dx + dy * dy;
                nearest = std::min(nearest, std::hypot(dx, dy));
            }
        }
    }
    return (2.0 * nearest - 1.0) / raster.px_per_mm;
}

// The pixel nearest to `at` that is copper or is not, as wanted: a saddle may lie one beside.
cv::Point nearest(const cv::Mat& copper, cv::Point at, bool of_copper) {
    for (int reach = 0; reach <= 3; ++reach) {
        for (int dy = -reach; dy <= reach; ++dy) {
            for (int dx = -reach; dx <= reach; ++dx) {
                const cv::Point p(at.x + dx, at.y + dy);
                if (p.x >= 0 && p.y >= 0 && p.x < copper.cols && p.y < copper.rows &&
                    (copper.at<std::uint8_t>(p) >= 128) == of_copper) {
                    return p;
                }
            }
        }
    }
    return at;
}

// How many of the necks of a width truly join, on invented boards (tests/tracing).
double share_by_width(double width_mm) {
    return std::clamp(0.58 + 1.6 * (width_mm - 0.1), 0.55, 0.97);
}

// How likely a saddle joins. The averaged level falls with the width of a neck and with doubt; it
// never contradicts what is seen at the pixels.
double chance_of(const Saddle& saddle) {
    const double level = saddle.level / 255.0;
    return saddle.joined ? std::clamp(0.55 + 0.75 * (level - 0.25), 0.55, 0.98)
                         : std::clamp(0.45 * level / 0.6, 0.03, 0.45);
}

}  // namespace

Joint joint_of(
    const Saddle& saddle, const cv::Mat& copper, int first, const Raster& raster, bool sharp) {
    Joint joint;
    joint.kind = saddle.joined ? Joint::Kind::neck : Joint::Kind::gap;
    joint.a = first + saddle.a;
    joint.b = first + saddle.b;
    joint.joined = chance_of(saddle);
    joint.at = board_of(saddle.at, raster);
    joint.width_mm =
        width_at(copper, nearest(copper, saddle.at, saddle.joined), saddle.joined, raster);
    if (saddle.joined && !sharp) {
        joint.joined = std::min(joint.joined, share_by_width(joint.width_mm));
    }
    joint.why = saddle.joined ? fmt::format("a neck of copper, {:.2f} mm wide", joint.width_mm)
                              : fmt::format("a gap of {:.2f} mm that is not clear", joint.width_mm);
    return joint;
}

}  // namespace etchback::copper::eye::detail
