#include "drawing/detail/route_shape.h"

#include <algorithm>

namespace etchback::drawing::detail {

namespace {

Point point_of(const Grid& grid, int node) {
    return {static_cast<double>(grid.x(node)), static_cast<double>(grid.y(node))};
}

std::vector<int> nodes_of(const Grid& grid, const Edges& edges) {
    std::vector<int> nodes;
    for (const auto& [node, d] : edges) {
        nodes.push_back(node);
        nodes.push_back(grid.neighbour(node, d));
    }
    std::sort(nodes.begin(), nodes.end());
    nodes.erase(std::unique(nodes.begin(), nodes.end()), nodes.end());
    return nodes;
}

bool arm(const Grid& grid, int node, Direction d, int net) {
    return grid.owner(node, d) == net;
}

}  // namespace

Direction direction_between(const Grid& grid, int from, int to) {
    if (grid.y(from) == grid.y(to)) {
        return grid.x(to) > grid.x(from) ? Direction::right : Direction::left;
    }
    return grid.y(to) > grid.y(from) ? Direction::down : Direction::up;
}

std::vector<Segment> segments_of(const Grid& grid, const Edges& edges, int net) {
    std::vector<Segment> segments;
    for (const int node : nodes_of(grid, edges)) {
        for (const Direction d : {Direction::right, Direction::down}) {
            if (!arm(grid, node, d, net) || arm(grid, node, opposite(d), net)) {
                continue;  // no beginning of a run
            }
            int end = node;
            while (arm(grid, end, d, net)) {
                end = grid.neighbour(end, d);
            }
            segments.push_back({point_of(grid, node), point_of(grid, end)});
        }
    }
    return segments;
}

std::vector<Point> dots_of(const Grid& grid, const Edges& edges, int net) {
    std::vector<Point> dots;
    for (const int node : nodes_of(grid, edges)) {
        if (grid.arms(node, net) >= 3) {
            dots.push_back(point_of(grid, node));
        }
    }
    return dots;
}

int bends_of(const Grid& grid, const Edges& edges, int net) {
    int bends = 0;
    for (const int node : nodes_of(grid, edges)) {
        const bool across =
            arm(grid, node, Direction::left, net) || arm(grid, node, Direction::right, net);
        const bool upright =
            arm(grid, node, Direction::up, net) || arm(grid, node, Direction::down, net);
        bends += across && upright && grid.arms(node, net) == 2;
    }
    return bends;
}

int crossings_of(const Grid& grid, const Edges& edges, int net) {
    int crossings = 0;
    for (const int node : nodes_of(grid, edges)) {
        crossings += arm(grid, node, Direction::up, net) && grid.foreign(node, net);
    }
    return crossings;
}

}  // namespace etchback::drawing::detail
