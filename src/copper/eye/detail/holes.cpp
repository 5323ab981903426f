#include "copper/eye/detail/holes.h"

#include <algorithm>
#include <cmath>
#include <tuple>

namespace etchback::copper::eye::detail {
namespace {

struct Candidate {
    cv::Point2d mm;
    double radius_mm = 0.0;
    double clear = 0.0;  // 0 to 1: how much it looks like a hole
    int view = 0;
    bool used = false;
};

std::vector<Candidate> candidates_of(const SideView& view, const FittedPhoto& fitted, int index) {
    std::vector<Candidate> out;
    for (const PhotoSpot& spot : view.spots) {
        if (!spot.spot.deep()) {
            continue;
        }
        const cv::Point2d mm = fitted.board(spot.px);
        const double radius =
            cv::norm(fitted.board(spot.px + cv::Point2d(spot.radius_px, 0.0)) - mm);
        const double calm = std::clamp(1.0 - spot.spot.unrest, 0.0, 1.0);
        const double depth = std::clamp(spot.spot.depth / 40.0, 0.0, 1.0);
        out.push_back({mm, radius, spot.spot.seen * calm * (0.4 + 0.6 * depth), index});
    }
    // Of circles within each other the clearest is the hole.
    std::stable_sort(out.begin(), out.end(), [](const Candidate& a, const Candidate& b) {
        return a.clear > b.clear;
    });
    std::vector<Candidate> kept;
    for (const Candidate& c : out) {
        const bool again = std::any_of(kept.begin(), kept.end(), [&](const Candidate& k) {
            return cv::norm(k.mm - c.mm) < std::max(k.radius_mm, c.radius_mm);
        });
        if (!again) {
            kept.push_back(c);
        }
    }
    return kept;
}

bool on_board(const BundleFit& fit, const Candidate& c) {
    for (int side = 0; side < 4; ++side) {
        if (beyond_side(fit, side, c.mm) > -0.3 * c.radius_mm) {
            return false;
        }
    }
    return true;
}

Hole hole_of(const Candidate& c, Side side, double real) {
    Hole hole;
    hole.at = {c.mm.x, c.mm.y};
    hole.diameter_mm = 2.0 * c.radius_mm;
    hole.real = real;
    hole.seen_top = side == Side::top;
    hole.seen_bottom = side == Side::bottom;
    return hole;
}

}  // namespace

std::vector<Hole> find_holes(const std::vector<SideView>& views,
                             const BundleFit& fit,
                             bool matched) {
    std::vector<Hole> holes;
    std::vector<std::vector<Candidate>> seen;
    for (std::size_t i = 0; i < views.size(); ++i) {
        seen.push_back(candidates_of(views[i], fit.photos[i], static_cast<int>(i)));
        std::erase_if(seen.back(), [&](const Candidate& c) { return !on_board(fit, c); });
    }
    if (seen.size() == 2 && matched) {
        for (Candidate& a : seen[0]) {
            Candidate* partner = nullptr;
            for (Candidate& b : seen[1]) {
                const double reach = 0.15 + 0.3 * std::min(a.radius_mm, b.radius_mm);
                if (!b.used && cv::norm(a.mm - b.mm) < reach &&
                    a.radius_mm < 1.6 * b.radius_mm + 0.05 &&
                    b.radius_mm < 1.6 * a.radius_mm + 0.05 &&
                    (partner == nullptr || cv::norm(a.mm - b.mm) < cv::norm(a.mm - partner->mm))) {
                    partner = &b;
                }
            }
            if (partner != nullptr) {
                a.used = true;
                partner->used = true;
                Hole hole = hole_of(a, Side::top, 0.97);
                hole.at = {0.5 * (a.mm.x + partner->mm.x), 0.5 * (a.mm.y + partner->mm.y)};
                hole.diameter_mm = a.radius_mm + partner->radius_mm;
                hole.seen_bottom = true;
                holes.push_back(hole);
            }
        }
    }
    for (const std::vector<Candidate>& side : seen) {
        for (const Candidate& c : side) {
            if (!c.used && c.clear > 0.5) {
                holes.push_back(hole_of(c, views[c.view].side, std::min(0.8, c.clear)));
            }
        }
    }
    std::sort(holes.begin(), holes.end(), [](const Hole& a, const Hole& b) {
        return std::tie(a.at.y_mm, a.at.x_mm, a.diameter_mm) <
               std::tie(b.at.y_mm, b.at.x_mm, b.diameter_mm);
    });
    return holes;
}

}  // namespace etchback::copper::eye::detail
