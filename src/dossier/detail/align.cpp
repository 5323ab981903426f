#include <algorithm>

#include "dossier/detail/rewriting.h"

namespace etchback::dossier::detail {

namespace {

// How much `a` may be the same thing as `b`; any pair is better than none.
int likeness(const Node& a, const Node& b) {
    constexpr int same = 1000;
    if (a == b) {
        return same;
    }
    int common = 1;
    for (const auto& [key, node] : a.fields) {
        const Node* other = b.find(key);
        common += other != nullptr && *other == node ? 2 : 0;
    }
    return common;
}

}  // namespace

std::vector<int> aligned(const std::vector<Node>& before, const std::vector<Node>& after) {
    const std::size_t rows = before.size();
    const std::size_t columns = after.size();
    // best[i][j]: the most likeness that the elements from i and j on can have in common.
    std::vector<std::vector<int>> best(rows + 1, std::vector<int>(columns + 1, 0));
    std::vector<std::vector<int>> like(rows, std::vector<int>(columns, 0));
    for (std::size_t i = rows; i-- > 0;) {
        for (std::size_t j = columns; j-- > 0;) {
            like[i][j] = likeness(before[i], after[j]);
            best[i][j] =
                std::max({like[i][j] + best[i + 1][j + 1], best[i + 1][j], best[i][j + 1]});
        }
    }
    std::vector<int> origin(columns, -1);
    std::size_t i = 0;
    std::size_t j = 0;
    while (i < rows && j < columns) {
        if (best[i][j] == like[i][j] + best[i + 1][j + 1]) {
            origin[j] = static_cast<int>(i);
            ++i;
            ++j;
        } else if (best[i][j] == best[i + 1][j]) {
            ++i;
        } else {
            ++j;
        }
    }
    return origin;
}

bool same_order(const Node& before, const Node& after) {
    std::size_t from = 0;
    for (const auto& [key, node] : after.fields) {
        if (before.find(key) == nullptr) {
            continue;
        }
        while (from < before.fields.size() && before.fields[from].first != key) {
            if (after.find(before.fields[from].first) != nullptr) {
                return false;
            }
            ++from;
        }
        ++from;
    }
    return true;
}

}  // namespace etchback::dossier::detail
