// The copper of a layout, apart from its pours, as simple shapes with distances.
#pragma once

#include <string>
#include <vector>

#include "board-photographer/layout.h"

namespace etchback::photographer {

// A thick line (a round pad is one without length) or a turned rectangle.
struct Shape {
    enum class Kind { capsule, box };
    Kind kind = Kind::capsule;
    std::string net;
    bool top = false;
    bool bottom = false;
    Point a;  // one end, or the rectangle's middle
    Point b;  // the other end
    double radius_mm = 0.0;
    double half_width_mm = 0.0;
    double half_height_mm = 0.0;
    double turn_rad = 0.0;

    bool on(Side side) const { return side == Side::top ? top : bottom; }
};

Shape shape_of(const Pad& pad, const BoardShape& board);
std::vector<Shape> shapes_of(const Layout& layout);

double distance(Point a, Point b);
double distance_to_segment(Point p, Point a, Point b);
// To the edge of the shape; below zero inside.
double distance(const Shape& shape, Point p);
// How far the point lies inside the closed ring; below zero outside.
double depth_inside(const Polyline& ring, Point p);
// Half of the largest extent: everything of the shape lies within this of its middle.
double reach(const Shape& shape);
Point middle(const Shape& shape);

}  // namespace etchback::photographer
