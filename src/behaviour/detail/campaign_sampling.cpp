#include "behaviour/detail/campaign_sampling.h"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

namespace etchback::behaviour::detail {

namespace {

std::uint64_t mixed(std::uint64_t z) {
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
}

constexpr std::uint64_t golden = 0x9e3779b97f4a7c15ULL;

// Columns of mean zero; one that does not vary is all zeros.
Eigen::MatrixXd centred(const std::vector<std::vector<double>>& rows) {
    const auto n = static_cast<Eigen::Index>(rows.size());
    const auto columns = static_cast<Eigen::Index>(rows.front().size());
    Eigen::MatrixXd all(n, columns);
    for (Eigen::Index i = 0; i < n; ++i) {
        for (Eigen::Index j = 0; j < columns; ++j) {
            all(i, j) = rows[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)];
        }
    }
    all.rowwise() -= all.colwise().mean();
    return all;
}

}  // namespace

double uniform(std::uint64_t seed, std::uint64_t sample, std::uint64_t parameter) {
    const std::uint64_t key = mixed(mixed(seed + golden) + golden * (sample + 1));
    const std::uint64_t bits = mixed(key + golden * (parameter + 1));
    return std::ldexp(static_cast<double>(bits >> 11), -53);
}

double sampled(const Parameter& parameter, double share) {
    const double side = share < 0.5 ? parameter.low : parameter.high;
    return parameter.nominal + std::abs(2.0 * share - 1.0) * (side - parameter.nominal);
}

double quantile(const std::vector<double>& sorted, double share) {
    const double at = share * static_cast<double>(sorted.size() - 1);
    const auto below = static_cast<std::size_t>(at);
    const std::size_t above = std::min(below + 1, sorted.size() - 1);
    return sorted[below] + (at - static_cast<double>(below)) * (sorted[above] - sorted[below]);
}

std::vector<std::pair<int, double>> variance_shares(
    const std::vector<std::vector<double>>& parameters, const std::vector<double>& figure) {
    std::vector<std::pair<int, double>> shares;
    const auto n = static_cast<Eigen::Index>(figure.size());
    if (n < 4 || parameters.front().empty()) {
        return shares;
    }
    Eigen::MatrixXd left = centred(parameters);
    Eigen::VectorXd rest = Eigen::Map<const Eigen::VectorXd>(figure.data(), n);
    const double size = rest.norm();
    rest.array() -= rest.mean();
    const double all = rest.squaredNorm();
    // A figure that varies by less than numbers are exact does not vary.
    if (!(std::sqrt(all) > 1e-12 * size)) {
        return shares;
    }
    const Eigen::VectorXd widths = left.colwise().norm().transpose();
    // What the best of so many columns of pure chance would explain, with one in a hundred odds: a
    // squared correlation of about 2 ln(100 * columns) / n (extreme of a chi-squared variable).
    const double chance =
        2.0 * std::log(100.0 * static_cast<double>(left.cols())) / static_cast<double>(n);
    while (static_cast<Eigen::Index>(shares.size()) + 2 < n) {
        int best = -1;
        double most = 0.0;
        for (Eigen::Index j = 0; j < left.cols(); ++j) {
            const double norm = left.col(j).norm();
            if (!(norm > 1e-6 * widths[j]) || !(widths[j] > 0.0)) {
                continue;  // it does not vary, or those taken before say all that it says
            }
            const double explained = left.col(j).dot(rest) / norm;
            if (explained * explained > most) {
                most = explained * explained;
                best = static_cast<int>(j);
            }
        }
        if (best < 0 || most < chance * rest.squaredNorm() || most < 1e-9 * all) {
            break;
        }
        const Eigen::VectorXd direction = left.col(best).normalized();
        rest -= direction * direction.dot(rest);
        left -= direction * (direction.transpose() * left);
        left.col(best).setZero();
        shares.emplace_back(best, most / all);
    }
    std::ranges::stable_sort(shares,
                             [](const auto& a, const auto& b) { return a.second > b.second; });
    return shares;
}

}  // namespace etchback::behaviour::detail
