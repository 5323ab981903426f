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
    bool cool = false;  // only what is clearly better moves; all else stays near its start
};

// Where the wires of each pin's net lead to, seen from a placement.
PinHeights heights_seen(const Model& model, const Placement& placement);

struct Placed {
    Placement placement;
    double price = 0.0;  // comparable between placements of one circuit
};

// From scratch, or from a placement of a model that differs in the order of pins only.
Placed place(const Model& model, const Effort& effort, const Placement* start = nullptr);

}  // namespace etchback::drawing::detail
