// Joins the pads of each net by tracks and vias, as a layout program would: on a grid, with the
// clearances of the layout, around what is there.
#pragma once

#include <string>
#include <vector>

#include "board-photographer/layout.h"

namespace etchback::photographer {

struct RouteRules {
    double grid_mm = 0.25;
    double narrowest_mm = 0.25;  // a track becomes as narrow as this where it must
    double edge_mm = 0.4;        // between copper and the edge of the board
    double via_mm = 0.9;
    double via_drill_mm = 0.4;
    int attempts = 1;  // with another order of nets, until all are joined
};

// A piece of a net that could not be reached: its pads, as indices into pads_of(layout).
struct Island {
    std::string net;
    std::vector<std::size_t> pads;
};

// Adds tracks and vias to `layout`. What is returned is not joined to the rest of its net.
std::vector<Island> route(Layout& layout, const RouteRules& rules = {});

}  // namespace etchback::photographer
