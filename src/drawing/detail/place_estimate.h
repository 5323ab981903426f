// What wiring a net would cost if its pins stood where they stand: a trunk with legs, the better of
// a horizontal and a vertical one. Fast enough to be asked for every move of a part.
#pragma once

#include <vector>

#include "drawing/detail/place_model.h"

namespace etchback::drawing::detail {

struct Pip {  // a pin, placed
    int x = 0, y = 0;
    Direction facing = Direction::right;
};

struct Span {  // a straight piece; a <= b in both coordinates
    int ax = 0, ay = 0, bx = 0, by = 0;
    bool horizontal() const { return ay == by; }
};

// A pin as a trunk sees it.
struct Seen {
    int across, foot;
    int facing_across, facing_along;
};

struct Estimate {
    double cost = 0.0;
    std::vector<Span> spans;
    Span bounds;
    std::vector<Seen> seen;  // room to work in
};

// Prices in steps of wire.
struct WirePrices {
    double bend = 4.0;
    double wrong_way = 16.0;  // a wire that must turn back around its own part
};

// A rail's trunk is level whatever it costs.
void estimate_wire(const std::vector<Pip>& pins,
                   const WirePrices& prices,
                   Estimate& out,
                   Rail rail = Rail::none);

// What it costs that two nets' wires meet as estimated.
double clash(const Estimate& a, const Estimate& b);
// What it costs that a net's wires run through a box; `price` once and half a step per step inside.
double clash(const Estimate& wire, const Box& box, double price);

}  // namespace etchback::drawing::detail
