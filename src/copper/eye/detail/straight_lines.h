// Straight lines of a picture or a shape, by vote (Hough's method).
#pragma once

#include <cmath>
#include <numbers>
#include <opencv2/core.hpp>
#include <optional>
#include <vector>

namespace etchback::copper::eye::detail {

struct RimPoint {
    cv::Point2d at;
    double angle = 0.0;  // of the outward normal
};

// n . p = d with n pointing out of the shape.
struct Line {
    double angle = 0.0;
    double d = 0.0;
    double votes = 0.0;
    cv::Point2d normal() const { return {std::cos(angle), std::sin(angle)}; }
    Line reversed() const { return {angle + std::numbers::pi, -d, votes}; }
};

double turn_between(double a, double b);

// Edges of the picture, as points with the angle of their gradient; each may be the rim of a board
// that lies on either side of it.
std::vector<RimPoint> edges_of(const cv::Mat& bgr);

// Edges with their angle folded to half a turn: a line has no outside.
std::vector<RimPoint> folded(std::vector<RimPoint> edges);

// Lines by vote of the rim points, strongest first; each rim point then votes only once.
std::vector<Line> strong_lines(std::vector<RimPoint> rim,
                               double diagonal,
                               double least,
                               int most_lines);

// Nothing where the lines are nearly parallel.
std::optional<cv::Point2d> crossing(const Line& a, const Line& b);

}  // namespace etchback::copper::eye::detail
