#include "copper/eye/detail/match_in_place.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "copper/eye/detail/corner_shifts.h"
#include "copper/eye/detail/lens.h"

namespace etchback::copper::eye::detail {
namespace {

// Holes by size: specks of dirt are many and small, and must not drown a few large holes.
enum Kind : std::uint8_t {
    via_and_via,
    hole_and_hole,
    screw_and_screw,
    joint_and_joint,
    hole_and_joint,
    kinds
};

constexpr std::array<double, kinds> reach_mm = {0.13, 0.16, 0.25, 0.25, 0.3};

// Joints are lopsided: they tell which way round a side lies (0: not where).
constexpr std::array<double, kinds> sigma_mm = {0.08, 0.08, 0.1, 0.0, 0.0};

bool within(double a, double b, double factor) {
    return a < factor * b + 0.03 && b < factor * a + 0.03;
}

Kind size_class(double radius_mm) {
    return radius_mm < 0.2 ? via_and_via : (radius_mm < 0.9 ? hole_and_hole : screw_and_screw);
}

bool fits(Kind kind, const SideSpot& a, const SideSpot& b) {
    switch (kind) {
        case via_and_via:
        case hole_and_hole:
        case screw_and_screw:
            return a.dark && b.dark && within(a.radius_mm, b.radius_mm, 1.35) &&
                   size_class(0.5 * (a.radius_mm + b.radius_mm)) == kind;
        case joint_and_joint:
            return !a.dark && !b.dark && std::min(a.radius_mm, b.radius_mm) > 0.3 &&
                   within(a.radius_mm, b.radius_mm, 1.5);
        default: {
            if (a.dark == b.dark) {
                return false;
            }
            const double hole = a.dark ? a.radius_mm : b.radius_mm;
            const double joint = a.dark ? b.radius_mm : a.radius_mm;
            return joint > 0.3 && joint > 1.1 * hole && joint < 4.0 * hole;
        }
    }
}

// Each spot of b finds at most one of a, and the other way round.
std::vector<PairInPlace> pairs_of(Kind kind,
                                  const std::vector<SideSpot>& a,
                                  const std::vector<SideSpot>& b,
                                  const SpotGrid& grid_a,
                                  const cv::Matx33d& b_to_a,
                                  cv::Point2d shift,
                                  double reach) {
    std::vector<int> partner(a.size(), -1);
    std::vector<double> miss(a.size(), 0.0);
    for (std::size_t j = 0; j < b.size(); ++j) {
        const cv::Point2d at = through(b_to_a, b[j].mm) + shift;
        const int i =
            grid_a.nearest(at, reach, [&](const SideSpot& spot) { return fits(kind, spot, b[j]); });
        if (i < 0) {
            continue;
        }
        const double distance = cv::norm(a[i].mm - at);
        if (partner[i] < 0 || distance < miss[i]) {
            partner[i] = static_cast<int>(j);
            miss[i] = distance;
        }
    }
    std::vector<PairInPlace> pairs;
    for (std::size_t i = 0; i < a.size(); ++i) {
        if (partner[i] >= 0) {
            pairs.push_back({static_cast<int>(i), partner[i], sigma_mm[kind]});
        }
    }
    return pairs;
}

}  // namespace

MatchInPlace match_in_place(const std::vector<SideSpot>& a,
                            const std::vector<SideSpot>& b,
                            cv::Size2d board) {
    const SpotGrid grid_a(a);
    cv::Matx33d b_to_a = cv::Matx33d::eye();
    const double wide = 0.3 + 0.003 * std::max(board.width, board.height);
    for (const double reach : {wide, 0.7 * wide, 0.5 * wide}) {
        std::vector<PlacedPair> placed;
        for (const Kind kind : {hole_and_hole, screw_and_screw, joint_and_joint}) {
            for (const PairInPlace& p : pairs_of(kind, a, b, grid_a, b_to_a, {}, reach)) {
                placed.push_back({through(b_to_a, b[p.b].mm), a[p.a].mm});
            }
        }
        b_to_a = corner_shifts(placed, board, 0.4, 0.2) * b_to_a;
    }
    MatchInPlace match;
    for (int k = 0; k < kinds; ++k) {
        const auto kind = static_cast<Kind>(k);
        const auto pairs = pairs_of(kind, a, b, grid_a, b_to_a, {}, reach_mm[kind]);
        double chance = 0.0;
        constexpr int shifts = 16;
        for (int turn = 0; turn < shifts; ++turn) {
            const double angle = 2.0 * CV_PI * (turn + 0.5) / shifts;
            const double by = 0.9 + 0.35 * (turn % 4);
            const cv::Point2d shift(by * std::cos(angle), by * std::sin(angle));
            chance += static_cast<double>(
                          pairs_of(kind, a, b, grid_a, b_to_a, shift, reach_mm[kind]).size()) /
                      shifts;
        }
        const double more = static_cast<double>(pairs.size()) - chance;
        match.evidence += std::max(-1.0, more / std::sqrt(chance + 0.6));
        // Kinds that agree no more than by chance tie nothing together.
        if (sigma_mm[kind] > 0.0 && more > 2.0 * std::sqrt(chance + 0.6)) {
            match.pairs.insert(match.pairs.end(), pairs.begin(), pairs.end());
        }
    }
    return match;
}

}  // namespace etchback::copper::eye::detail
