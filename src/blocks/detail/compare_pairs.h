// What it costs to take one element for another, and the ways in which their pins can be paired.
#pragma once

#include <utility>
#include <vector>

#include "blocks/detail/compare_model.h"

namespace etchback::blocks::detail {

// One way to pair the pins of two elements. Pins left over cost one edit each if on a net.
struct Way {
    std::vector<std::pair<int, int>> pins;  // index of the pin there, here
    int cost = 0;                           // turned round, windings reversed, pins left over
    bool turned = false;
};

struct PairCost {
    bool possible = false;
    int cost = 0;  // of kind, value, ratings; without connections
    bool kind = false, value = false, rating = false, turns = false;
    std::vector<Way> ways;
};
PairCost pair_cost(const Element& there, const Element& here);

}  // namespace etchback::blocks::detail
