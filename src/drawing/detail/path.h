// Path data of strokes (M L C A Z, absolute) taken apart, moved and measured.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "drawing/symbol.h"

namespace etchback::drawing::detail {

// Arcs are of ellipses along the axes.
struct PathStep {
    char letter = 'M';            // M L C A Z
    std::array<Point, 3> points;  // C: two handles and the end; M, L, A: the end in points[0]
    double rx = 0.0, ry = 0.0;    // A
    bool large = false, sweep = false;

    const Point& end() const { return points[letter == 'C' ? 2 : 0]; }
};
using Path = std::vector<PathStep>;

// The path must be one of ours: anything else is a mistake of ours (assert).
Path parse_path(std::string_view data);
std::string to_data(const Path& path);

Point turned(Point point, const Orientation& orientation);
Direction turned(Direction direction, const Orientation& orientation);
Path turned(Path path, const Orientation& orientation);
Path moved(Path path, Point by, double scale = 1.0);  // moves, then scales about the origin

// The straight pieces of a path, arcs and curves left out.
std::vector<std::pair<Point, Point>> straight_pieces(const Path& path);

// Grows `box` to hold the path without its line width.
void include(Box& box, Point point);
void include(Box& box, const Box& other);
void include(Box& box, const Path& path);
constexpr Box empty_box{1e30, 1e30, -1e30, -1e30};

// At most three decimals, no trailing zeros, no "-0", whatever the locale.
std::string number(double value);

}  // namespace etchback::drawing::detail
