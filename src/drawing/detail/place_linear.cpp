#include "drawing/detail/place_linear.h"

#include <cstddef>

namespace etchback::drawing::detail {

Springs::Springs(int points)
    : points_(points),
      matrix_(static_cast<std::size_t>(points) * static_cast<std::size_t>(points), 0.0),
      right_(static_cast<std::size_t>(points), 0.0) {}

double& Springs::entry(int row, int column) {
    return matrix_[static_cast<std::size_t>(row) * static_cast<std::size_t>(points_) +
                   static_cast<std::size_t>(column)];
}

void Springs::tie(int a, int b, double weight, double rest) {
    if (a == b) {
        return;
    }
    entry(a, a) += weight;
    entry(b, b) += weight;
    entry(a, b) -= weight;
    entry(b, a) -= weight;
    right_[static_cast<std::size_t>(a)] -= weight * rest;
    right_[static_cast<std::size_t>(b)] += weight * rest;
}

void Springs::pin(int a, double weight, double at) {
    entry(a, a) += weight;
    right_[static_cast<std::size_t>(a)] += weight * at;
}

// Gaussian elimination without pivoting: the matrix is symmetric and positive definite.
std::vector<double> Springs::solve() const {
    const auto n = static_cast<std::size_t>(points_);
    std::vector<double> m = matrix_;
    std::vector<double> x = right_;
    for (std::size_t k = 0; k < n; ++k) {
        for (std::size_t i = k + 1; i < n; ++i) {
            const double factor = m[i * n + k] / m[k * n + k];
            if (factor == 0.0) {
                continue;
            }
            for (std::size_t j = k; j < n; ++j) {
                m[i * n + j] -= factor * m[k * n + j];
            }
            x[i] -= factor * x[k];
        }
    }
    for (std::size_t k = n; k-- > 0;) {
        for (std::size_t j = k + 1; j < n; ++j) {
            x[k] -= m[k * n + j] * x[j];
        }
        x[k] /= m[k * n + k];
    }
    return x;
}

}  // namespace etchback::drawing::detail
