#include "copper/eye/detail/match_sides.h"

#include <algorithm>
#include <cmath>

#include "copper/eye/detail/corner_shifts.h"
#include "copper/eye/detail/lens.h"

namespace etchback::copper::eye::detail {
namespace {

bool alike(const SideSpot& a, const SideSpot& b) {
    return a.dark == b.dark && a.radius_mm < 1.35 * b.radius_mm + 0.03 &&
           b.radius_mm < 1.35 * a.radius_mm + 0.03;
}

// The nearest of the grid's spots that is like `spot`; -1: none within reach.
int nearest(const SpotGrid& grid, cv::Point2d at, double reach, const SideSpot& spot) {
    return grid.nearest(at, reach, [&](const SideSpot& other) { return alike(other, spot); });
}

struct Candidate {
    int a = 0;
    int b = 0;
    double support = 0.0;
};

// Pairs whose neighbours have partners at nearly the same offset, best supported first.
std::vector<Candidate> supported_pairs(const std::vector<SideSpot>& a,
                                       const std::vector<SideSpot>& b,
                                       const SpotGrid& grid_a,
                                       const SpotGrid& grid_b,
                                       double window_mm) {
    constexpr double neighbourhood_mm = 5.0;
    constexpr double slack_mm = 0.3;
    std::vector<Candidate> pairs;
    for (std::size_t i = 0; i < a.size(); ++i) {
        std::vector<int> neighbours;
        grid_a.around(a[i].mm, neighbourhood_mm, [&](int k) {
            if (k != static_cast<int>(i)) {
                neighbours.push_back(k);
            }
        });
        grid_b.around(a[i].mm, window_mm, [&](int j) {
            if (!alike(a[i], b[j])) {
                return;
            }
            const cv::Point2d offset = b[j].mm - a[i].mm;
            double support = 0.0;
            for (const int k : neighbours) {
                if (nearest(grid_b, a[k].mm + offset, slack_mm, a[k]) >= 0) {
                    support += 1.0;
                }
            }
            // Among many neighbours some agree by chance.
            support /= std::sqrt(4.0 + static_cast<double>(neighbours.size()));
            pairs.push_back({static_cast<int>(i), j, support});
        });
    }
    std::stable_sort(pairs.begin(), pairs.end(), [](const Candidate& p, const Candidate& q) {
        return p.support > q.support;
    });
    return pairs;
}

std::vector<std::pair<int, int>> inliers(const std::vector<SideSpot>& a,
                                         const std::vector<SideSpot>& b,
                                         const SpotGrid& grid_a,
                                         const cv::Matx33d& b_to_a,
                                         cv::Point2d shift,
                                         double tolerance_mm) {
    std::vector<int> taken(a.size(), -1);
    std::vector<double> miss(a.size(), 0.0);
    for (std::size_t j = 0; j < b.size(); ++j) {
        const cv::Point2d at = through(b_to_a, b[j].mm) + shift;
        const int i = nearest(grid_a, at, tolerance_mm, b[j]);
        if (i < 0) {
            continue;
        }
        const double distance = cv::norm(a[i].mm - at);
        if (taken[i] < 0 || distance < miss[i]) {
            taken[i] = static_cast<int>(j);
            miss[i] = distance;
        }
    }
    std::vector<std::pair<int, int>> pairs;
    for (std::size_t i = 0; i < a.size(); ++i) {
        if (taken[i] >= 0) {
            pairs.emplace_back(static_cast<int>(i), taken[i]);
        }
    }
    return pairs;
}

// How many spots of b find one of a, each the less the further it misses (MSAC: Torr and Zisserman,
// Computer Vision and Image Understanding 78 (2000) 138-156).
double agreement(const std::vector<SideSpot>& a,
                 const std::vector<SideSpot>& b,
                 const SpotGrid& grid_a,
                 const cv::Matx33d& b_to_a,
                 double tolerance_mm) {
    double sum = 0.0;
    for (const SideSpot& spot : b) {
        const cv::Point2d at = through(b_to_a, spot.mm);
        const int i = nearest(grid_a, at, tolerance_mm, spot);
        if (i >= 0) {
            const cv::Point2d d = a[i].mm - at;
            sum += 1.0 - d.dot(d) / (tolerance_mm * tolerance_mm);
        }
    }
    return sum;
}

// The affinity through three pairs; false: the three lie badly or it shears more than two outlines
// of one board can differ.
bool affinity(const std::array<cv::Point2d, 3>& from,
              const std::array<cv::Point2d, 3>& to,
              cv::Matx33d& out) {
    const cv::Point2d u = from[1] - from[0];
    const cv::Point2d v = from[2] - from[0];
    const double det = u.cross(v);
    if (std::abs(det) < 12.0) {
        return false;
    }
    const cv::Point2d p = to[1] - to[0];
    const cv::Point2d q = to[2] - to[0];
    const cv::Matx22d m(
        p.x * v.y - q.x * u.y, q.x * u.x - p.x * v.x, p.y * v.y - q.y * u.y, q.y * u.x - p.y * v.x);
    const cv::Matx22d a = m * (1.0 / det);
    if (std::abs(a(0, 0) - 1.0) > 0.2 || std::abs(a(1, 1) - 1.0) > 0.2 ||
        std::abs(a(0, 1)) > 0.15 || std::abs(a(1, 0)) > 0.15) {
        return false;
    }
    out = {a(0, 0),
           a(0, 1),
           to[0].x - a(0, 0) * from[0].x - a(0, 1) * from[0].y,
           a(1, 0),
           a(1, 1),
           to[0].y - a(1, 0) * from[0].x - a(1, 1) * from[0].y,
           0,
           0,
           1};
    return true;
}

// The homography that keeps the two corners of one side and carries two spots where they belong:
// the outline was misled about the opposite side, by parts that stand over it.
bool two_corners_kept(cv::Size2d board,
                      int side,
                      const std::array<cv::Point2d, 3>& from,
                      const std::array<cv::Point2d, 3>& to,
                      double most,
                      cv::Matx33d& out) {
    const std::array<cv::Point2d, 4> corners = corners_of(board);
    const cv::Point2d p = corners[side];
    const cv::Point2d q = corners[(side + 1) % 4];
    if (cv::norm(from[0] - from[1]) < 3.0) {
        return false;
    }
    out = homography_of({p, q, from[0], from[1]}, {p, q, to[0], to[1]});
    return std::all_of(corners.begin(), corners.end(), [&](cv::Point2d corner) {
        return cv::norm(through(out, corner) - corner) < most;  // false for what is no number
    });
}

cv::Matx33d refined(const std::vector<SideSpot>& a,
                    const std::vector<SideSpot>& b,
                    const std::vector<std::pair<int, int>>& pairs,
                    const cv::Matx33d& before,
                    cv::Size2d board) {
    std::vector<PlacedPair> placed;
    for (const auto& [i, j] : pairs) {
        placed.push_back({through(before, b[j].mm), a[i].mm});
    }
    return corner_shifts(placed, board, 0.1, 1.0) * before;
}

SideMatch best_position(const std::vector<SideSpot>& a,
                        const std::vector<SideSpot>& b,
                        cv::Size2d board,
                        double window_mm,
                        double tolerance_mm) {
    SideMatch best;
    if (a.size() < 3 || b.size() < 3) {
        return best;
    }
    const SpotGrid grid_a(a);
    const SpotGrid grid_b(b);
    std::vector<Candidate> pairs = supported_pairs(a, b, grid_a, grid_b, window_mm);
    if (pairs.size() > 200) {
        pairs.resize(200);
    }
    const int n = static_cast<int>(pairs.size());
    if (n < 3) {
        return best;
    }
    const double wide = 2.5 * tolerance_mm;
    double most = agreement(a, b, grid_a, best.b_to_a, wide);
    const auto try_position = [&](const cv::Matx33d& tried) {
        const double agrees = agreement(a, b, grid_a, tried, wide);
        if (agrees > most) {
            most = agrees;
            best.b_to_a = tried;
        }
    };
    cv::RNG draws(0x5EED);
    for (int round = 0; round < 3000; ++round) {
        std::array<cv::Point2d, 3> from;
        std::array<cv::Point2d, 3> to;
        for (int k = 0; k < 3; ++k) {
            // Better supported pairs are drawn more often.
            const double u = draws.uniform(0.0, 1.0);
            const Candidate& pair = pairs[std::min(n - 1, static_cast<int>(u * u * n))];
            from[k] = b[pair.b].mm;
            to[k] = a[pair.a].mm;
        }
        cv::Matx33d tried;
        if (affinity(from, to, tried)) {
            try_position(tried);
        }
        // Another two of the three for each side.
        for (int side = 0; side < 4; ++side) {
            if (two_corners_kept(board, side, from, to, window_mm, tried)) {
                try_position(tried);
            }
        }
    }
    best.pairs = inliers(a, b, grid_a, best.b_to_a, {}, wide);
    for (const double looser : {2.0, 1.7, 1.4, 1.2, 1.0, 1.0}) {
        best.b_to_a = refined(a, b, best.pairs, best.b_to_a, board);
        best.pairs = inliers(a, b, grid_a, best.b_to_a, {}, looser * tolerance_mm);
    }
    return best;
}

}  // namespace

SideMatch match_sides(const std::vector<SideSpot>& a,
                      const std::vector<SideSpot>& b,
                      cv::Size2d board,
                      double window_mm,
                      double tolerance_mm) {
    SideMatch best = best_position(a, b, board, window_mm, tolerance_mm);
    // What the search finds where nothing is to be found: b looked at from the wrong face.
    std::vector<SideSpot> wrong = b;
    for (SideSpot& spot : wrong) {
        spot.mm.x = board.width - spot.mm.x;
    }
    best.by_chance =
        static_cast<double>(best_position(a, wrong, board, window_mm, tolerance_mm).pairs.size());
    return best;
}

}  // namespace etchback::copper::eye::detail
