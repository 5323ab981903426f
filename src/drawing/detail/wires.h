// Wires as geometry: pieces that lie along each other made one, and what meets at a point.
#pragma once

#include <vector>

#include "drawing/drawing.h"

namespace etchback::drawing::detail {

constexpr double same_point = 1e-6;  // nearer than this is the same place, in grid steps

bool same(Point a, Point b);
bool is_horizontal(const Segment& segment);

// Longest straight pieces that cover the same ground, each from left to right or from top to
// bottom, horizontal ones first, sorted. Pieces of no length are left out.
std::vector<Segment> merged(const std::vector<Segment>& segments);

bool touches(const Segment& segment, Point point);  // ends included
bool ends_at(const Segment& segment, Point point);

// Ways in which a set of segments leaves a point.
struct Arms {
    bool right = false, down = false, left = false, up = false;

    int count() const { return right + down + left + up; }
    bool straight() const {  // two arms in one line
        return count() == 2 && (right == left);
    }
};
void add_arms(Arms& arms, const Segment& segment, Point point);
Arms arms_at(const std::vector<Segment>& segments, Point point);

// Chains of points that draw each segment once, for one pen stroke each.
std::vector<std::vector<Point>> chains(const std::vector<Segment>& segments);

// The rim does not count, and neither does mere touching.
bool runs_through(const Segment& segment, const Box& box);

// Length of the stretch that two parallel segments share on one line; 0 if they share none.
double shared_length(const Segment& a, const Segment& b);

// The point where a horizontal and a vertical segment cross, both going on beyond it.
bool cross_at(const Segment& a, const Segment& b, Point& at);

}  // namespace etchback::drawing::detail
