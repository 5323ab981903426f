// Where each part would stand if there were no others: x by flow, y by potential.
#pragma once

#include "drawing/detail/place_state.h"

namespace etchback::drawing::detail {

struct Aims {
    std::vector<Step> at;
    std::vector<double> lines;
};

Aims aims_of(const Model& model, double room);

// The x at which a part that stands astride a line has its middle on it.
int x_astride(const Model& model, int part, int variant, double line);

}  // namespace etchback::drawing::detail
