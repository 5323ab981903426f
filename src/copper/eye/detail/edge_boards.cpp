#include "copper/eye/detail/edge_boards.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/straight_lines.h"

namespace etchback::copper::eye::detail {
namespace {

constexpr int most_lines = 14;  // of each direction
constexpr double bin = 3.0;     // pixels along a line

// The line by least squares through the edges that lie near it: votes are exact to a degree or two.
Line refined(Line line, const std::vector<RimPoint>& edges) {
    for (const double reach : {4.0, 2.5, 1.5}) {
        const cv::Point2d normal = line.normal();
        std::vector<cv::Point2f> near;
        for (const RimPoint& p : edges) {
            const double turn = std::remainder(p.angle - line.angle, std::numbers::pi);
            if (std::abs(turn) < 0.25 && std::abs(p.at.dot(normal) - line.d) < reach) {
                near.emplace_back(p.at);
            }
        }
        if (near.size() < 8) {
            break;
        }
        cv::Vec4f along;
        cv::fitLine(near, along, cv::DIST_HUBER, 0.0, 0.01, 0.01);
        const cv::Point2d across(-along[1], along[0]);
        const double sign = across.dot(normal) > 0.0 ? 1.0 : -1.0;
        line.angle = std::atan2(sign * across.y, sign * across.x);
        line.d = sign * across.dot(cv::Point2d(along[2], along[3]));
    }
    return line;
}

// A line with the places along it at which an edge is seen.
class SeenLine {
public:
    SeenLine(const Line& line, const std::vector<RimPoint>& edges, double diagonal)
        : line_(line), diagonal_(diagonal), sums_(static_cast<std::size_t>(bins()) + 1, 0) {
        const cv::Point2d normal = line.normal();
        std::vector<int> seen(static_cast<std::size_t>(bins()), 0);
        for (const RimPoint& p : edges) {
            const double turn = std::remainder(p.angle - line.angle, std::numbers::pi);
            if (std::abs(turn) < 0.3 && std::abs(p.at.dot(normal) - line.d) < 1.8) {
                seen[static_cast<std::size_t>(bin_of(p.at))] = 1;
            }
        }
        for (std::size_t i = 0; i < seen.size(); ++i) {
            sums_[i + 1] = sums_[i] + seen[i];
        }
    }

    const Line& line() const { return line_; }

    // The part of the way from one point of the line to another along which edges are seen.
    double support(cv::Point2d from, cv::Point2d to) const {
        const int a = std::min(bin_of(from), bin_of(to));
        const int b = std::max(bin_of(from), bin_of(to));
        return static_cast<double>(sums_[static_cast<std::size_t>(b)] -
                                   sums_[static_cast<std::size_t>(a)]) /
               std::max(1, b - a);
    }

private:
    int bins() const { return static_cast<int>(2.0 * diagonal_ / bin) + 2; }
    int bin_of(cv::Point2d p) const {
        const cv::Point2d n = line_.normal();
        const double along = (p.y * n.x - p.x * n.y + diagonal_) / bin;
        return std::clamp(static_cast<int>(along), 0, bins() - 1);
    }

    Line line_;
    double diagonal_;
    std::vector<int> sums_;
};

// Two lines that may be opposite sides, the first with the outside on its own side.
struct Opposite {
    int first = 0;
    int second = 0;
};

std::vector<Opposite> opposites(const std::vector<SeenLine>& lines, double diagonal) {
    std::vector<Opposite> pairs;
    const int n = static_cast<int>(lines.size());
    for (int i = 0; i < n; ++i) {
        for (int k = i + 1; k < n; ++k) {
            const Line& a = lines[static_cast<std::size_t>(i)].line();
            const Line& b = lines[static_cast<std::size_t>(k)].line();
            const double turn = std::remainder(a.angle - b.angle, std::numbers::pi);
            const double same_way = std::cos(a.angle - b.angle) > 0.0 ? 1.0 : -1.0;
            if (std::abs(turn) < 0.12 && std::abs(a.d - same_way * b.d) > 0.12 * diagonal) {
                pairs.push_back({i, k});
            }
        }
    }
    return pairs;
}

bool in_picture(cv::Point2d p, cv::Size size) {
    const double slack = 0.01 * std::max(size.width, size.height);
    return p.x > -slack && p.y > -slack && p.x < size.width + slack && p.y < size.height + slack;
}

std::optional<Quadrilateral> quad_of(const std::vector<SeenLine>& lines,
                                     const Opposite& across,
                                     const Opposite& down,
                                     cv::Size size) {
    // Around the quadrilateral: across.first, down.first, across.second, down.second.
    const std::array<int, 4> order = {across.first, down.first, across.second, down.second};
    Quadrilateral quad;
    for (std::size_t i = 0; i < 4; ++i) {
        const auto at = crossing(lines[static_cast<std::size_t>(order[(i + 3) % 4])].line(),
                                 lines[static_cast<std::size_t>(order[i])].line());
        if (!at || !in_picture(*at, size)) {
            return std::nullopt;
        }
        quad.corners[i] = *at;
    }
    double seen = 0.0;
    double length = 0.0;
    double area = 0.0;
    for (std::size_t i = 0; i < 4; ++i) {
        const cv::Point2d p = quad.corners[i];
        const cv::Point2d q = quad.corners[(i + 1) % 4];
        quad.support[i] = lines[static_cast<std::size_t>(order[i])].support(p, q);
        if (quad.support[i] < 0.25) {
            return std::nullopt;
        }
        seen += quad.support[i] * cv::norm(q - p);
        length += cv::norm(q - p);
        area += 0.5 * p.cross(q);
    }
    if (std::abs(area) < 0.05 * size.area()) {
        return std::nullopt;
    }
    if (area < 0.0) {  // turns the wrong way round
        std::swap(quad.corners[1], quad.corners[3]);
        std::swap(quad.support[0], quad.support[3]);
        std::swap(quad.support[1], quad.support[2]);
    }
    // Of two that are seen alike the larger is the board: there are lines on it as well.
    quad.score = seen / length + 0.25 * std::sqrt(std::abs(area) / size.area());
    begin_upper_left(quad);
    return quad;
}

bool same(const Quadrilateral& a, const Quadrilateral& b, double reach) {
    for (std::size_t i = 0; i < 4; ++i) {
        if (cv::norm(a.corners[i] - b.corners[i]) > reach) {
            return false;
        }
    }
    return true;
}

}  // namespace

std::vector<Quadrilateral> boards_by_edges(const cv::Mat& bgr, std::size_t most) {
    const double diagonal = std::hypot(bgr.cols, bgr.rows);
    const std::vector<RimPoint> edges = edges_of(bgr);
    std::vector<SeenLine> lines;
    // Each direction by itself: the grain of wood would leave no line across it.
    for (const bool upright : {false, true}) {
        std::vector<RimPoint> some = folded(edges);
        std::erase_if(some, [&](const RimPoint& p) {
            return (std::abs(std::cos(p.angle)) > std::numbers::sqrt2 / 2.0) != upright;
        });
        for (const Line& line : strong_lines(some, diagonal, 0.04 * diagonal, most_lines)) {
            lines.emplace_back(refined(line, edges), edges, diagonal);
        }
    }
    const std::vector<Opposite> pairs = opposites(lines, diagonal);
    std::vector<Quadrilateral> found;
    for (std::size_t i = 0; i < pairs.size(); ++i) {
        for (std::size_t k = i + 1; k < pairs.size(); ++k) {
            if (const auto quad = quad_of(lines, pairs[i], pairs[k], bgr.size())) {
                found.push_back(*quad);
            }
        }
    }
    std::stable_sort(
        found.begin(), found.end(), [](const auto& a, const auto& b) { return a.score > b.score; });
    std::vector<Quadrilateral> kept;
    for (const Quadrilateral& quad : found) {
        if (kept.size() == most) {
            break;
        }
        if (std::none_of(kept.begin(), kept.end(), [&](const Quadrilateral& other) {
                return same(quad, other, 0.012 * diagonal);
            })) {
            kept.push_back(quad);
        }
    }
    return kept;
}

}  // namespace etchback::copper::eye::detail
