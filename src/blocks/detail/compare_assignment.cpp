#include <algorithm>
#include <limits>

#include "blocks/detail/compare_search.h"

namespace etchback::blocks::detail {

// The Hungarian method with potentials, O(n^3): H. W. Kuhn, "The Hungarian method for the
// assignment problem", Naval Research Logistics Quarterly 2 (1955) 83-97, in the form with
// shortest augmenting paths.
std::vector<int> best_assignment(const std::vector<std::vector<int>>& gain, std::size_t columns) {
    const std::size_t n = std::max(gain.size(), columns);
    const auto cost = [&](std::size_t row, std::size_t column) {
        return row < gain.size() && column < columns ? -std::max(gain[row][column], 0) : 0;
    };
    constexpr int far = std::numeric_limits<int>::max() / 2;
    std::vector<int> u(n + 1, 0), v(n + 1, 0);
    std::vector<std::size_t> row_of(n + 1, 0), way(n + 1, 0);
    for (std::size_t i = 1; i <= n; ++i) {
        row_of[0] = i;
        std::size_t column = 0;
        std::vector<int> least(n + 1, far);
        std::vector<char> used(n + 1, 0);
        do {
            used[column] = 1;
            const std::size_t row = row_of[column];
            std::size_t next = 0;
            int delta = far;
            for (std::size_t j = 1; j <= n; ++j) {
                if (used[j] != 0) {
                    continue;
                }
                const int reduced = cost(row - 1, j - 1) - u[row] - v[j];
                if (reduced < least[j]) {
                    least[j] = reduced;
                    way[j] = column;
                }
                if (least[j] < delta) {
                    delta = least[j];
                    next = j;
                }
            }
            for (std::size_t j = 0; j <= n; ++j) {
                if (used[j] != 0) {
                    u[row_of[j]] += delta;
                    v[j] -= delta;
                } else {
                    least[j] -= delta;
                }
            }
            column = next;
        } while (row_of[column] != 0);
        for (; column != 0; column = way[column]) {
            row_of[column] = row_of[way[column]];
        }
    }
    std::vector<int> out(gain.size(), -1);
    for (std::size_t j = 1; j <= columns; ++j) {
        const std::size_t row = row_of[j];
        if (row >= 1 && row <= gain.size() && gain[row - 1][j - 1] > 0) {
            out[row - 1] = static_cast<int>(j - 1);
        }
    }
    return out;
}

}  // namespace etchback::blocks::detail
