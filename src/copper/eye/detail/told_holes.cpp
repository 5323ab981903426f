#include "copper/eye/detail/told_holes.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/hole_joints.h"
#include "copper/eye/detail/raster_pixels.h"
#include "copper/eye/detail/stroke_islands.h"

namespace etchback::copper::eye::detail {

namespace {

constexpr double least_real = 0.2;

Hole hole_at(cv::Point2d at, const std::vector<Hole>& seen, const Raster& raster) {
    Hole told;
    told.at = board_of(at, raster);
    double nearest = hand_mm;
    for (const Hole& hole : seen) {
        const double off = std::hypot(hole.at.x_mm - told.at.x_mm, hole.at.y_mm - told.at.y_mm) -
                           0.5 * hole.diameter_mm;
        if (hole.real >= least_real && hole.slot.empty() && off < nearest) {
            nearest = off;
            told = hole;
        }
    }
    told.plated = 1.0;
    told.real = 1.0;
    return told;
}

// The island that surrounds a hole, however wide it truly is: a drilled hole that was not found, or
// one that is covered. -1: none does, no further off than the ring of a usual hole is.
int island_around(const Hole& hole, const cv::Mat& labels, const Raster& raster) {
    constexpr double farthest_mm = 0.7;
    constexpr double step_mm = 0.05;
    constexpr double least_share = 0.6;
    for (double radius = 0.5 * hole.diameter_mm; radius <= farthest_mm; radius += step_mm) {
        Hole wider = hole;
        wider.diameter_mm = 2.0 * radius;
        const std::vector<Rim> rim = rim_of(wider, labels, raster);
        if (!rim.empty() && rim.front().share >= least_share) {
            return rim.front().island;
        }
    }
    return -1;
}

// The island about a hole; -1: none. Some of its ring may be covered, so that the nearest counts.
int island_about(const Hole& hole, const cv::Mat& labels, const Raster& raster) {
    constexpr double ring_mm = 0.4;  // radius of the least
    if (const int around = island_around(hole, labels, raster); around >= 0) {
        return around;
    }
    const double reach = std::max(ring_mm, 0.5 * hole.diameter_mm + hand_mm);
    return island_near(pixel_of(hole.at, raster), labels, reach * raster.px_per_mm);
}

}  // namespace

std::vector<Hole> told_holes(const std::vector<RasterStroke>& top,
                             const std::vector<RasterStroke>& bottom,
                             const std::vector<Hole>& seen,
                             const Raster& raster) {
    std::vector<Hole> told;
    for (const std::vector<RasterStroke>* strokes : {&top, &bottom}) {
        for (const RasterStroke& stroke : *strokes) {
            if (stroke.says != RasterStroke::Says::plated_hole) {
                continue;
            }
            for (const cv::Point2f& at : stroke.along) {
                told.push_back(hole_at(at, seen, raster));
            }
        }
    }
    return told;
}

void join_told(const std::vector<Hole>& told,
               const Raster& raster,
               const cv::Mat& top,
               const cv::Mat& bottom,
               std::vector<Joint>& joints) {
    if (top.empty() || bottom.empty()) {
        return;
    }
    for (const Hole& hole : told) {
        const int above = island_about(hole, top, raster);
        const int below = island_about(hole, bottom, raster);
        if (above < 0 || below < 0) {
            continue;
        }
        Joint joint;
        joint.kind = Joint::Kind::bridge;
        joint.a = std::min(above, below);
        joint.b = std::max(above, below);
        joint.joined = 1.0;
        joint.at = hole.at;
        joint.width_mm = hole.diameter_mm;
        joint.why = "your stroke 'plated hole'";
        joints.push_back(std::move(joint));
    }
}

}  // namespace etchback::copper::eye::detail
