// How alike the nets of two models are, spread from part to net to part: a net is like another as
// far as the parts on it are, and those as far as their other nets are.
#pragma once

#include <vector>

#include "blocks/detail/compare_pairs.h"

namespace etchback::blocks::detail {

using Likeness = std::vector<std::vector<double>>;  // 0 to 1; [net there][net here]

class Spread {
public:
    Spread(const Model& there, const Model& here, const std::vector<std::vector<PairCost>>& pairs);
    Likeness likeness(int spreads) const;

private:
    struct OnNet {
        std::vector<int> pins;  // counted through all elements
    };
    const Model& there_;
    const Model& here_;
    const std::vector<std::vector<PairCost>>& pairs_;
    std::vector<int> first_there_, first_here_;  // per element: number of its first pin
    std::vector<OnNet> nets_there_, nets_here_;

    Likeness pins_alike(const Likeness& nets) const;
};

}  // namespace etchback::blocks::detail
