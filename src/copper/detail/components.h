// Sets of islands that are joined.
#pragma once

#include <numeric>
#include <vector>

namespace etchback::copper::detail {

class Components {
public:
    explicit Components(std::size_t count) : parent_(count) {
        std::iota(parent_.begin(), parent_.end(), 0);
    }

    int root(int i) {
        while (parent_[static_cast<std::size_t>(i)] != i) {
            int& up = parent_[static_cast<std::size_t>(i)];
            up = parent_[static_cast<std::size_t>(up)];
            i = up;
        }
        return i;
    }
    // The lower root stays, so that the outcome does not hang on the order. False: already one.
    bool join(int a, int b) {
        a = root(a);
        b = root(b);
        if (a == b) {
            return false;
        }
        parent_[static_cast<std::size_t>(a < b ? b : a)] = a < b ? a : b;
        return true;
    }
    bool joined(int a, int b) { return root(a) == root(b); }

private:
    std::vector<int> parent_;
};

}  // namespace etchback::copper::detail
