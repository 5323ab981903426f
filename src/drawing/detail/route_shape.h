// The edges that a net owns on the grid, read as segments, dots, bends and crossings.
#pragma once

#include <utility>
#include <vector>

#include "drawing/detail/route_grid.h"

namespace etchback::drawing::detail {

using Edges = std::vector<std::pair<int, Direction>>;

Direction direction_between(const Grid& grid, int from, int to);
std::vector<Segment> segments_of(const Grid& grid, const Edges& edges, int net);
std::vector<Point> dots_of(const Grid& grid, const Edges& edges, int net);
int bends_of(const Grid& grid, const Edges& edges, int net);
// Counted for the net that runs upright, so that each is counted once.
int crossings_of(const Grid& grid, const Edges& edges, int net);

}  // namespace etchback::drawing::detail
