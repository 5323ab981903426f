// Sets of whole numbers 0..n-1 that grow together.
#pragma once

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <vector>

namespace etchback::base {

class DisjointSets {
public:
    explicit DisjointSets(std::size_t n = 0) : parent_(n) {
        std::iota(parent_.begin(), parent_.end(), 0);
    }

    // One more number, in a set of its own.
    int add() {
        parent_.push_back(static_cast<int>(parent_.size()));
        return parent_.back();
    }
    std::size_t size() const { return parent_.size(); }

    // The least member of the set that `i` is in, so that the answer does not depend on the order
    // of the joins.
    int find(int i) {
        while (parent_[at(i)] != i) {
            parent_[at(i)] = parent_[at(parent_[at(i)])];
            i = parent_[at(i)];
        }
        return i;
    }

    // False: they are one set already.
    bool join(int a, int b) {
        a = find(a);
        b = find(b);
        parent_[at(std::max(a, b))] = std::min(a, b);
        return a != b;
    }

    bool together(int a, int b) { return find(a) == find(b); }

private:
    static std::size_t at(int i) { return static_cast<std::size_t>(i); }

    std::vector<int> parent_;
};

}  // namespace etchback::base
