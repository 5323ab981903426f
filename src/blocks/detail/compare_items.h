// From a matching to the list of differences, in words.
#pragma once

#include "blocks/compare.h"
#include "blocks/detail/compare_search.h"

namespace etchback::blocks::detail {

struct Matched {
    const circuit::Circuit& found;
    const circuit::Circuit& reference;
    const Model& there;
    const Model& here;
    const Matching& matching;
};

// Fills in parts, nets, differences and cost.
void describe(Comparison& comparison, const Matched& matched);

}  // namespace etchback::blocks::detail
