#include "copper/eye/detail/bundle.h"

#include <algorithm>
#include <cmath>

namespace etchback::copper::eye::detail {
namespace {

constexpr int per_photo = 10;  // four corners, k1, k2
constexpr int of_board = 4;    // corner, width, height

// What the weights are made from; one unit is one standard deviation.
struct Scales {
    double edge_mm = 0.15;  // of one point on a side
    double same = 1.0;      // times SameSpot::sigma_mm
    double cauchy = 2.0;    // where weights begin to fall
};

// Points of a side are not independent: a whole side is off where light or the board's thickness
// shifts it. Together they weigh as much as this many.
constexpr double side_worth = 10.0;

struct Residual {
    double value = 0.0;  // in standard deviations
    bool robust = true;
    double share = 1.0;  // what it counts for among its neighbours
};

class Problem {
public:
    explicit Problem(const Bundle& bundle) : bundle_(bundle) {
        for (const BundlePhoto& photo : bundle.photos) {
            const Lens plain(photo.size, photo.k1, photo.k2);
            for (const cv::Point2d& corner : photo.corners) {
                const cv::Point2d u = plain.undistort(corner) * (1.0 / plain.half_diagonal());
                start_.push_back(u.x);
                start_.push_back(u.y);
            }
            start_.push_back(photo.k1);
            start_.push_back(photo.k2);
            std::array<int, 4> count{};
            for (const EdgePoint& edge : photo.edges) {
                ++count[edge.side];
            }
            counts_.push_back(count);
        }
        start_.insert(start_.end(), {0.0, 0.0, bundle.width_mm, bundle.height_mm});
    }

    const std::vector<double>& start() const { return start_; }

    BundleFit fit(const std::vector<double>& p) const {
        BundleFit fit;
        for (std::size_t i = 0; i < bundle_.photos.size(); ++i) {
            fit.photos.push_back(photo(p, i));
        }
        const double* board = p.data() + per_photo * bundle_.photos.size();
        fit.corner = {board[0], board[1]};
        fit.width_mm = board[2];
        fit.height_mm = board[3];
        return fit;
    }

    std::vector<double> unknowns_of(const BundleFit& fit) const {
        std::vector<double> p;
        for (const FittedPhoto& photo : fit.photos) {
            const cv::Matx33d from_board = photo.to_board.inv();
            const double w = bundle_.width_mm;
            const double h = bundle_.height_mm;
            for (const cv::Point2d& corner :
                 {cv::Point2d(0, 0), cv::Point2d(w, 0), cv::Point2d(w, h), cv::Point2d(0, h)}) {
                const cv::Point2d u =
                    through(from_board, corner) * (1.0 / photo.lens.half_diagonal());
                p.push_back(u.x);
                p.push_back(u.y);
            }
            p.push_back(photo.k1);
            p.push_back(photo.k2);
        }
        p.insert(p.end(), {fit.corner.x, fit.corner.y, fit.width_mm, fit.height_mm});
        return p;
    }

    std::vector<Residual> residuals(const std::vector<double>& p, const Scales& scales) const {
        const BundleFit at = fit(p);
        std::vector<Residual> out;
        out.reserve(1000);
        for (std::size_t i = 0; i < at.photos.size(); ++i) {
            for (const EdgePoint& edge : bundle_.photos[i].edges) {
                const double many = std::max(1.0, counts_[i][edge.side] / side_worth);
                const double miss = beyond_side(at, edge.side, at.photos[i].board(edge.at));
                out.push_back({miss / scales.edge_mm, true, 1.0 / many});
            }
            out.push_back({at.photos[i].k1 / 0.08, false});
            out.push_back({at.photos[i].k2 / 0.03, false});
        }
        for (const SameSpot& s : bundle_.same) {
            const cv::Point2d d = at.photos[s.a].board(s.a_px) - at.photos[s.b].board(s.b_px);
            out.push_back({d.x / (s.sigma_mm * scales.same)});
            out.push_back({d.y / (s.sigma_mm * scales.same)});
        }
        for (const KnownSpot& s : bundle_.spots) {
            const cv::Point2d d = at.photos[s.photo].board(s.px) - s.mm;
            // Not let go of: the person says so, and a slip shows as a misfit.
            out.push_back({d.x / 0.1, false});
            out.push_back({d.y / 0.1, false});
        }
        for (const KnownDistance& d : bundle_.distances) {
            const double seen =
                cv::norm(at.photos[d.photo].board(d.from_px) - at.photos[d.photo].board(d.to_px));
            out.push_back({(seen - d.mm) / 0.05, false});
        }
        board_residuals(at, out);
        return out;
    }

private:
    void board_residuals(const BundleFit& at, std::vector<Residual>& out) const {
        const double corner_mm = bundle_.spots.size() >= 2 ? 100.0 : 1e-3;
        out.push_back({at.corner.x / corner_mm, false});
        out.push_back({at.corner.y / corner_mm, false});
        const double width_mm = bundle_.width_known ? 0.03 : 0.3 * bundle_.width_mm;
        const double height_mm = bundle_.height_known ? 0.03 : 0.3 * bundle_.height_mm;
        out.push_back({(at.width_mm - bundle_.width_mm) / width_mm, false});
        out.push_back({(at.height_mm - bundle_.height_mm) / height_mm, false});
        if (!bundle_.width_known || !bundle_.height_known) {
            const double ratio =
                at.width_mm * bundle_.height_mm / (at.height_mm * bundle_.width_mm);
            out.push_back({std::log(std::max(ratio, 1e-6)) / 0.02, false});
        }
    }

    FittedPhoto photo(const std::vector<double>& p, std::size_t i) const {
        const double* mine = p.data() + per_photo * i;
        FittedPhoto fitted;
        fitted.k1 = mine[8];
        fitted.k2 = mine[9];
        fitted.lens = Lens(bundle_.photos[i].size, fitted.k1, fitted.k2);
        std::array<cv::Point2d, 4> corners;
        for (int c = 0; c < 4; ++c) {
            corners[c] = cv::Point2d(mine[2 * c], mine[2 * c + 1]) * fitted.lens.half_diagonal();
        }
        const double w = bundle_.width_mm;
        const double h = bundle_.height_mm;
        fitted.to_board = homography_of(
            corners, {cv::Point2d(0, 0), cv::Point2d(w, 0), cv::Point2d(w, h), cv::Point2d(0, h)});
        return fitted;
    }

    const Bundle& bundle_;
    std::vector<double> start_;
    std::vector<std::array<int, 4>> counts_;
};

double weight_of(const Residual& r, double cauchy) {
    return r.share * (r.robust ? 1.0 / (1.0 + r.value * r.value / (cauchy * cauchy)) : 1.0);
}

double cost_of(const std::vector<Residual>& all, double cauchy) {
    double cost = 0.0;
    for (const Residual& r : all) {
        cost += r.share * (r.robust
                               ? cauchy * cauchy * std::log1p(r.value * r.value / (cauchy * cauchy))
                               : r.value * r.value);
    }
    return cost;
}

// One step's equations: J'WJ and J'Wr, with J by differences.
void linearise(const Problem& problem,
               const std::vector<double>& p,
               const std::vector<Residual>& at,
               const Scales& scales,
               cv::Mat& normal,
               cv::Mat& gradient) {
    const int n = static_cast<int>(p.size());
    const int m = static_cast<int>(at.size());
    cv::Mat jacobian(n, m, CV_64F);  // transposed: a row for each unknown
    for (int k = 0; k < n; ++k) {
        std::vector<double> moved = p;
        const double step = k >= n - of_board ? 1e-4 : 1e-6;
        moved[k] += step;
        const std::vector<Residual> there = problem.residuals(moved, scales);
        for (int i = 0; i < m; ++i) {
            jacobian.at<double>(k, i) = (there[i].value - at[i].value) / step;
        }
    }
    cv::Mat weighted = jacobian.clone();
    cv::Mat values(m, 1, CV_64F);
    for (int i = 0; i < m; ++i) {
        const double w = weight_of(at[i], scales.cauchy);
        values.at<double>(i) = at[i].value;
        for (int k = 0; k < n; ++k) {
            weighted.at<double>(k, i) *= w;
        }
    }
    normal = weighted * jacobian.t();
    gradient = weighted * values;
}

std::vector<double> solve(const Problem& problem, std::vector<double> p, const Scales& scales) {
    double damping = 1e-3;
    std::vector<Residual> at = problem.residuals(p, scales);
    double cost = cost_of(at, scales.cauchy);
    for (int round = 0; round < 12; ++round) {
        cv::Mat normal;
        cv::Mat gradient;
        linearise(problem, p, at, scales, normal, gradient);
        bool better = false;
        double gain = 0.0;
        for (int attempt = 0; attempt < 6 && !better; ++attempt) {
            cv::Mat damped = normal.clone();
            for (int k = 0; k < damped.rows; ++k) {
                damped.at<double>(k, k) *= 1.0 + damping;
                damped.at<double>(k, k) += 1e-9;
            }
            cv::Mat step;
            cv::solve(damped, gradient, step, cv::DECOMP_CHOLESKY);
            std::vector<double> moved = p;
            for (std::size_t k = 0; k < p.size(); ++k) {
                moved[k] -= step.at<double>(static_cast<int>(k));
            }
            const std::vector<Residual> there = problem.residuals(moved, scales);
            const double new_cost = cost_of(there, scales.cauchy);
            if (new_cost < cost) {
                gain = cost - new_cost;
                p = moved;
                at = there;
                cost = new_cost;
                damping = std::max(damping * 0.2, 1e-9);
                better = true;
            } else {
                damping *= 8.0;
            }
        }
        if (!better || gain < 1e-5 * cost) {
            break;
        }
    }
    return p;
}

}  // namespace

namespace {

BundleFit adjusted(const Problem& problem, std::vector<double> p, double wide_mm) {
    for (double scale = std::max(1.0, wide_mm / 0.15);; scale = std::max(1.0, scale / 3.0)) {
        p = solve(problem, p, {.edge_mm = 0.15 * scale, .same = scale});
        if (scale == 1.0) {
            break;
        }
    }
    return problem.fit(p);
}

}  // namespace

BundleFit adjust(const Bundle& bundle, double wide_mm) {
    const Problem problem(bundle);
    return adjusted(problem, problem.start(), wide_mm);
}

BundleFit adjust(const Bundle& bundle, const BundleFit& from, double wide_mm) {
    const Problem problem(bundle);
    return adjusted(problem, problem.unknowns_of(from), wide_mm);
}

BundleFit first_fit(const Bundle& bundle) {
    const Problem problem(bundle);
    return problem.fit(problem.start());
}

BundleFit stretched(const BundleFit& fit, double height_factor) {
    BundleFit out = fit;
    out.corner.y *= height_factor;
    out.height_mm *= height_factor;
    for (FittedPhoto& photo : out.photos) {
        photo.to_board = cv::Matx33d::diag({1.0, height_factor, 1.0}) * photo.to_board;
    }
    return out;
}

double beyond_side(const BundleFit& fit, int side, cv::Point2d mm) {
    switch (side) {
        case 0:
            return fit.corner.y - mm.y;
        case 1:
            return mm.x - fit.corner.x - fit.width_mm;
        case 2:
            return mm.y - fit.corner.y - fit.height_mm;
        default:
            return fit.corner.x - mm.x;
    }
}

}  // namespace etchback::copper::eye::detail
