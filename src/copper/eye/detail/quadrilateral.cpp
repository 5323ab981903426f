#include "copper/eye/detail/quadrilateral.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/straight_lines.h"

namespace etchback::copper::eye::detail {
namespace {

constexpr double pi = std::numbers::pi;

std::vector<RimPoint> rim_of(const cv::Mat& mask) {
    std::vector<std::vector<cv::Point>> contours;
    cv::findContours(mask, contours, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
    std::vector<RimPoint> rim;
    for (const auto& contour : contours) {
        const int n = static_cast<int>(contour.size());
        if (n < 40) {
            continue;
        }
        const int reach = std::clamp(n / 120, 3, 9);
        const bool clockwise = cv::contourArea(contour, true) > 0.0;  // on the screen, y down
        for (int i = 0; i < n; ++i) {
            const cv::Point along = contour[(i + reach) % n] - contour[(i - reach + n) % n];
            const cv::Point2d out =
                clockwise ? cv::Point2d(along.y, -along.x) : cv::Point2d(-along.y, along.x);
            rim.push_back(
                {cv::Point2d(contour[i]) + cv::Point2d(0.5, 0.5), std::atan2(out.y, out.x)});
        }
    }
    return rim;
}

// The part of the side from `a` to `b` along which rim points lie.
double support_of(
    const std::vector<RimPoint>& rim, cv::Point2d a, cv::Point2d b, double angle, double reach) {
    constexpr int bins = 48;
    std::array<bool, bins> seen{};
    const cv::Point2d along = b - a;
    const double length2 = along.dot(along);
    const cv::Point2d normal(std::cos(angle), std::sin(angle));
    for (const RimPoint& p : rim) {
        const double t = (p.at - a).dot(along) / length2;
        if (t >= 0.0 && t < 1.0 && std::abs((p.at - a).dot(normal)) < reach &&
            std::abs(turn_between(p.angle, angle)) < 0.4) {
            seen[static_cast<std::size_t>(t * bins)] = true;
        }
    }
    return static_cast<double>(std::count(seen.begin(), seen.end(), true)) / bins;
}

// The same for edges of the picture, whichever side is lighter.
double edge_support(
    const std::vector<RimPoint>& edges, cv::Point2d a, cv::Point2d b, double angle, double reach) {
    return std::max(support_of(edges, a, b, angle, reach),
                    support_of(edges, a, b, angle + pi, reach));
}

// Of a mask at a third of the size.
struct Cover {
    double of_quad = 0.0;  // part of the quadrilateral that is mask
    double of_mask = 0.0;  // part of the mask that is in the quadrilateral
};

Cover cover(const cv::Mat& mask, const std::array<cv::Point2d, 4>& corners, double mask_area) {
    std::vector<cv::Point> quad;
    for (const cv::Point2d& c : corners) {
        quad.emplace_back(cvRound(c.x / 3.0 - 0.5), cvRound(c.y / 3.0 - 0.5));
    }
    cv::Mat inside = cv::Mat::zeros(mask.size(), CV_8U);
    cv::fillConvexPoly(inside, quad, 255);
    const double area = std::max(1.0, cv::contourArea(quad));
    cv::bitwise_and(inside, mask, inside);
    const double both = cv::countNonZero(inside);
    return {std::min(1.0, both / area), both / mask_area};
}

// The straight edges of the picture that the rim does not show already, outward on either side.
void add_edge_lines(const std::vector<RimPoint>& edges, double diagonal, std::vector<Line>& lines) {
    const std::size_t of_rim = lines.size();
    for (const Line& line : strong_lines(folded(edges), diagonal, 0.05 * diagonal, 10)) {
        for (const Line& way : {line, line.reversed()}) {
            const bool known =
                std::any_of(lines.begin(),
                            lines.begin() + static_cast<std::ptrdiff_t>(of_rim),
                            [&](const Line& l) {
                                return std::abs(turn_between(l.angle, way.angle)) < 0.06 &&
                                       std::abs(l.d - way.d) < 0.012 * diagonal;
                            });
            if (!known) {
                lines.push_back(way);
            }
        }
    }
}

}  // namespace

void begin_upper_left(Quadrilateral& quad) {
    int first = 0;
    for (int i = 1; i < 4; ++i) {
        const cv::Point2d& p = quad.corners[i];
        if (p.x + p.y < quad.corners[first].x + quad.corners[first].y) {
            first = i;
        }
    }
    // The side from the first corner must run rather to the right than down.
    std::rotate(quad.corners.begin(), quad.corners.begin() + first, quad.corners.end());
    std::rotate(quad.support.begin(), quad.support.begin() + first, quad.support.end());
    const cv::Point2d side = quad.corners[1] - quad.corners[0];
    if (side.y > std::abs(side.x)) {
        std::rotate(quad.corners.begin(), quad.corners.begin() + 3, quad.corners.end());
        std::rotate(quad.support.begin(), quad.support.begin() + 3, quad.support.end());
    } else if (-side.y > std::abs(side.x)) {
        std::rotate(quad.corners.begin(), quad.corners.begin() + 1, quad.corners.end());
        std::rotate(quad.support.begin(), quad.support.begin() + 1, quad.support.end());
    }
}

std::optional<Quadrilateral> find_quadrilateral(const cv::Mat& mask, const cv::Mat& bgr) {
    const double diagonal = std::hypot(mask.cols, mask.rows);
    const std::vector<RimPoint> rim = rim_of(mask);
    const std::vector<RimPoint> edges = edges_of(bgr);
    std::vector<Line> lines =
        strong_lines(rim, diagonal, 0.022 * static_cast<double>(rim.size()), 10);
    add_edge_lines(edges, diagonal, lines);
    const int n = static_cast<int>(lines.size());
    cv::Mat coarse;  // a third of the size is enough to compare areas
    cv::resize(mask, coarse, {mask.cols / 3, mask.rows / 3}, 0, 0, cv::INTER_AREA);
    cv::threshold(coarse, coarse, 127, 255, cv::THRESH_BINARY);
    const double mask_area = std::max(1, cv::countNonZero(coarse));
    const double reach = 0.008 * diagonal + 1.0;

    std::optional<Quadrilateral> best;
    double most = 0.0;
    for (int a = 0; a < n; ++a) {
        for (int b = 0; b < n; ++b) {
            for (int c = a + 1; c < n; ++c) {
                for (int d = b + 1; d < n; ++d) {
                    // a and c opposite, b and d opposite; a -> b -> c -> d turns clockwise.
                    const std::array<int, 4> order = {a, b, c, d};
                    bool turns = true;
                    for (int i = 0; i < 4 && turns; ++i) {
                        const double turn =
                            turn_between(lines[order[(i + 1) % 4]].angle, lines[order[i]].angle);
                        turns = turn > 0.8 && turn < 2.35;
                    }
                    if (!turns) {
                        continue;
                    }
                    Quadrilateral quad;
                    bool crosses = true;
                    for (int i = 0; i < 4 && crosses; ++i) {
                        const auto corner = crossing(lines[order[(i + 3) % 4]], lines[order[i]]);
                        crosses = corner.has_value();
                        if (crosses) {
                            quad.corners[i] = *corner;
                        }
                    }
                    if (!crosses) {
                        continue;
                    }
                    const Cover covered = cover(coarse, quad.corners, mask_area);
                    if (covered.of_mask < 0.6 || covered.of_quad < 0.45 ||
                        1.0 + 0.6 * covered.of_quad + 2.0 * covered.of_mask <= most) {
                        continue;
                    }
                    double seen = 0.0;
                    double length = 0.0;
                    for (int i = 0; i < 4; ++i) {
                        const cv::Point2d p = quad.corners[i];
                        const cv::Point2d q = quad.corners[(i + 1) % 4];
                        const double angle = lines[order[i]].angle;
                        quad.support[i] = std::max(support_of(rim, p, q, angle, reach),
                                                   0.9 * edge_support(edges, p, q, angle, reach));
                        const double side = cv::norm(q - p);
                        seen += quad.support[i] * side;
                        length += side;
                    }
                    const double score =
                        seen / length + 0.6 * covered.of_quad + 2.0 * covered.of_mask;
                    if (score > most) {
                        most = score;
                        quad.fill = covered.of_quad;
                        quad.score = score;
                        best = quad;
                    }
                }
            }
        }
    }
    if (best) {
        begin_upper_left(*best);
    }
    return best;
}

}  // namespace etchback::copper::eye::detail
