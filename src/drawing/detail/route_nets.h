// Wires for all nets of a placement: each net grows from its pins piece by piece; what cannot be
// joined at a fair price gets signs.
#pragma once

#include <vector>

#include "drawing/detail/place_state.h"
#include "drawing/detail/route_search.h"

namespace etchback::drawing::detail {

struct RoutedNet {
    std::vector<Segment> segments;
    std::vector<Point> dots;
    std::vector<NetSign> signs;
};

struct Routing {
    std::vector<RoutedNet> nets;
    bool complete = true;  // every pin is on its wire or has a sign
    int crossings = 0;
    int bends = 0;
    int flags = 0;  // signs where wire was wanted
    int signs = 0;  // all
    double length = 0.0;
    // One number to choose between placements by.
    double price() const;
};

enum class Care {
    quick,  // as laid, good enough to compare placements by
    tidy,   // each net improved once all lie, parts stay
    brief,  // like full, with a quarter of the tries
    full,   // parts may be shifted, moved and turned where that makes the wiring better
};
Routing route(const Model& model, Placement& placement, Care care);

}  // namespace etchback::drawing::detail
