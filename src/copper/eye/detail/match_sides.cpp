#include "copper/eye/detail/match_sides.h"

#include <algorithm>
#include <cmath>

#include "copper/eye/detail/lens.h"

namespace etchback::copper::eye::detail {
namespace {

bool alike(const SideSpot& a, const SideSpot& b) {
    return a.dark == b.dark && a.radius_mm < 1.35 * b.radius_mm + 0.03 &&
           b.radius_mm < 1.35 * a.radius_mm + 0.03;
}

// Spots by place, in square cells.
class Grid {
public:
    explicit Grid(const std::vector<SideSpot>& spots) : spots_(spots) {
        cv::Point2d last = spots.front().mm;
        first_ = last;
        for (const SideSpot& spot : spots) {
            first_ = {std::min(first_.x, spot.mm.x), std::min(first_.y, spot.mm.y)};
            last = {std::max(last.x, spot.mm.x), std::max(last.y, spot.mm.y)};
        }
        columns_ = column_of(last.x) + 1;
        rows_ = row_of(last.y) + 1;
        cells_.resize(static_cast<std::size_t>(columns_) * rows_);
        for (std::size_t i = 0; i < spots.size(); ++i) {
            const std::size_t row = row_of(spots[i].mm.y);
            cells_[row * columns_ + column_of(spots[i].mm.x)].push_back(static_cast<int>(i));
        }
    }

    template <typename Visit>
    void around(cv::Point2d at, double reach, Visit visit) const {
        const int left = std::max(0, column_of(at.x - reach));
        const int right = std::min(columns_ - 1, column_of(at.x + reach));
        const int upper = std::max(0, row_of(at.y - reach));
        const int lower = std::min(rows_ - 1, row_of(at.y + reach));
        for (int row = upper; row <= lower; ++row) {
            for (int column = left; column <= right; ++column) {
                for (const int i : cells_[static_cast<std::size_t>(row) * columns_ + column]) {
                    const cv::Point2d d = spots_[i].mm - at;
                    if (d.dot(d) <= reach * reach) {
                        visit(i);
                    }
                }
            }
        }
    }

    // The nearest that is like `spot`; -1: none within reach.
    int nearest(cv::Point2d at, double reach, const SideSpot& spot) const {
        int best = -1;
        double least = 0.0;
        around(at, reach, [&](int i) {
            const cv::Point2d d = spots_[i].mm - at;
            if (alike(spots_[i], spot) && (best < 0 || d.dot(d) < least)) {
                least = d.dot(d);
                best = i;
            }
        });
        return best;
    }

private:
    static constexpr double cell_mm = 1.5;
    // Held within what an int can count, for a place that a bad homography makes up.
    static int cell_of(double d) { return cvFloor(std::clamp(d / cell_mm, -1e6, 1e6)); }
    int column_of(double x) const { return cell_of(x - first_.x); }
    int row_of(double y) const { return cell_of(y - first_.y); }

    const std::vector<SideSpot>& spots_;
    cv::Point2d first_;
    int columns_ = 0;
    int rows_ = 0;
    std::vector<std::vector<int>> cells_;
};

struct Candidate {
    int a = 0;
    int b = 0;
    double support = 0.0;
};

// Pairs whose neighbours have partners at nearly the same offset, best supported first.
std::vector<Candidate> supported_pairs(const std::vector<SideSpot>& a,
                                       const std::vector<SideSpot>& b,
                                       const Grid& grid_a,
                                       const Grid& grid_b,
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
                if (grid_b.nearest(a[k].mm + offset, slack_mm, a[k]) >= 0) {
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
                                         const Grid& grid_a,
                                         const cv::Matx33d& b_to_a,
                                         cv::Point2d shift,
                                         double tolerance_mm) {
    std::vector<int> taken(a.size(), -1);
    std::vector<double> miss(a.size(), 0.0);
    for (std::size_t j = 0; j < b.size(); ++j) {
        const cv::Point2d at = through(b_to_a, b[j].mm) + shift;
        const int i = grid_a.nearest(at, tolerance_mm, b[j]);
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
                 const Grid& grid_a,
                 const cv::Matx33d& b_to_a,
                 double tolerance_mm) {
    double sum = 0.0;
    for (const SideSpot& spot : b) {
        const cv::Point2d at = through(b_to_a, spot.mm);
        const int i = grid_a.nearest(at, tolerance_mm, spot);
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

double sq(double x) {
    return x * x;
}

std::array<cv::Point2d, 4> corners_of(cv::Size2d board) {
    return {cv::Point2d(0, 0),
            cv::Point2d(board.width, 0),
            cv::Point2d(board.width, board.height),
            cv::Point2d(0, board.height)};
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

// A correction on top of `before` by least squares. Its unknowns are shifts of the board's corners,
// held near to nothing, so that few pairs or pairs in one place bend nothing elsewhere.
cv::Matx33d refined(const std::vector<SideSpot>& a,
                    const std::vector<SideSpot>& b,
                    const std::vector<std::pair<int, int>>& pairs,
                    const cv::Matx33d& before,
                    cv::Size2d board) {
    constexpr double pair_mm = 0.1;
    constexpr double corner_mm = 1.0;
    const std::array<cv::Point2d, 4> corners = corners_of(board);
    cv::Matx<double, 8, 1> shift = cv::Matx<double, 8, 1>::zeros();
    const auto correction = [&](const cv::Matx<double, 8, 1>& by) {
        std::array<cv::Point2d, 4> moved = corners;
        for (int i = 0; i < 4; ++i) {
            moved[i] += cv::Point2d(by(2 * i), by(2 * i + 1));
        }
        return homography_of(corners, moved);
    };
    for (int round = 0; round < 2; ++round) {
        const cv::Matx33d now = correction(shift);
        std::array<cv::Matx33d, 8> moved;
        constexpr double step = 1e-3;
        for (int k = 0; k < 8; ++k) {
            cv::Matx<double, 8, 1> by = shift;
            by(k) += step;
            moved[k] = correction(by);
        }
        cv::Matx<double, 8, 8> normal = cv::Matx<double, 8, 8>::eye() * (1.0 / sq(corner_mm));
        cv::Matx<double, 8, 1> right = shift * (-1.0 / sq(corner_mm));
        for (const auto& [i, j] : pairs) {
            const cv::Point2d from = through(before, b[j].mm);
            const cv::Point2d at = through(now, from);
            const cv::Point2d miss = a[i].mm - at;
            cv::Matx<double, 8, 2> slope;
            for (int k = 0; k < 8; ++k) {
                const cv::Point2d d = (through(moved[k], from) - at) * (1.0 / step);
                slope(k, 0) = d.x;
                slope(k, 1) = d.y;
            }
            normal += slope * slope.t() * (1.0 / sq(pair_mm));
            right += slope * cv::Matx21d(miss.x, miss.y) * (1.0 / sq(pair_mm));
        }
        cv::Matx<double, 8, 1> change;
        if (!cv::solve(normal, right, change, cv::DECOMP_CHOLESKY)) {
            break;
        }
        shift += change;
    }
    return correction(shift) * before;
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
    const Grid grid_a(a);
    const Grid grid_b(b);
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
