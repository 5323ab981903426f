// Placement by improving: from aims given by flow and potential, moved about at falling
// temperature, then pushed apart until nothing overlaps.
#pragma once

#include <cstdint>

#include "drawing/detail/place_state.h"

namespace etchback::drawing::detail {

struct Effort {
    std::uint64_t seed = 1;
    int moves = 20000;
    double room = 0.0;  // extra space around every part
};

Placement place(const Model& model, const Effort& effort);

}  // namespace etchback::drawing::detail
