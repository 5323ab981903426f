// Points and shapes on the board, in mm as seen from the top side: x to the right, y down, origin
// at the upper left corner of the board. The bottom side uses the same frame: it is looked at
// through the board.
#pragma once

#include <vector>

namespace etchback::copper {

struct Point {
    double x_mm = 0.0;
    double y_mm = 0.0;
    bool operator==(const Point&) const = default;
};

using Polyline = std::vector<Point>;

// A ring is closed without repeating its first point. The outer one runs clockwise on the screen,
// the holes in it the other way.
struct Polygon {
    Polyline outer;
    std::vector<Polyline> holes;
    bool operator==(const Polygon&) const = default;
};

}  // namespace etchback::copper
