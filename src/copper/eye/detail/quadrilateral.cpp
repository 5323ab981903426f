#include "copper/eye/detail/quadrilateral.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {
namespace {

constexpr double pi = std::numbers::pi;

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
};

double turn_between(double a, double b) {
    return std::remainder(a - b, 2.0 * pi);
}

// Edges of the picture, as points with the angle of their gradient; each may be the rim of a board
// that lies on either side of it.
std::vector<RimPoint> edges_of(const cv::Mat& bgr) {
    cv::Mat soft;
    cv::GaussianBlur(bgr, soft, {3, 3}, 0.8);
    std::vector<cv::Mat> channels;
    cv::split(soft, channels);
    cv::Mat dx(bgr.size(), CV_16S, cv::Scalar(0));
    cv::Mat dy(bgr.size(), CV_16S, cv::Scalar(0));
    for (const cv::Mat& channel : channels) {
        // The colour that changes most tells: a board may be as bright as its ground.
        cv::Mat x;
        cv::Mat y;
        cv::Sobel(channel, x, CV_16S, 1, 0);
        cv::Sobel(channel, y, CV_16S, 0, 1);
        const cv::Mat more = (cv::abs(x) + cv::abs(y)) > (cv::abs(dx) + cv::abs(dy));
        x.copyTo(dx, more);
        y.copyTo(dy, more);
    }
    cv::Mat thin;
    cv::Canny(dx, dy, thin, 20.0, 50.0, true);
    std::vector<RimPoint> edges;
    for (int y = 2; y + 2 < thin.rows; ++y) {
        for (int x = 2; x + 2 < thin.cols; ++x) {
            if (thin.at<std::uint8_t>(y, x) != 0) {
                edges.push_back({cv::Point2d(x + 0.5, y + 0.5),
                                 std::atan2(static_cast<double>(dy.at<std::int16_t>(y, x)),
                                            static_cast<double>(dx.at<std::int16_t>(y, x)))});
            }
        }
    }
    return edges;
}

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

// Lines by vote of the rim points, strongest first; each rim point then votes only once.
std::vector<Line> strong_lines(std::vector<RimPoint> rim,
                               double diagonal,
                               double least,
                               int most_lines) {
    constexpr int angles = 180;
    const double step = std::max(1.0, diagonal / 400.0);
    const int offsets = static_cast<int>(2.0 * diagonal / step) + 3;
    std::vector<Line> lines;
    for (int round = 0; round < most_lines; ++round) {
        cv::Mat votes = cv::Mat::zeros(angles, offsets, CV_32F);
        for (const RimPoint& p : rim) {
            const int mid = cvRound(p.angle / (2.0 * pi) * angles);
            for (int k = -7; k <= 7; ++k) {
                const int bin = (mid + k + 2 * angles) % angles;
                const double angle = bin * 2.0 * pi / angles;
                const double d = p.at.x * std::cos(angle) + p.at.y * std::sin(angle);
                const int o = cvFloor((d + diagonal) / step);
                if (o >= 1 && o + 1 < offsets) {
                    const float w = static_cast<float>(1.0 - std::abs(k) / 10.0);
                    votes.at<float>(bin, o) += w;
                    votes.at<float>(bin, o - 1) += 0.6F * w;
                    votes.at<float>(bin, o + 1) += 0.6F * w;
                }
            }
        }
        double most = 0.0;
        cv::Point at;
        cv::minMaxLoc(votes, nullptr, &most, nullptr, &at);
        if (most < least) {
            break;
        }
        const Line line{at.y * 2.0 * pi / angles, (at.x + 0.5) * step - diagonal, most};
        lines.push_back(line);
        std::erase_if(rim, [&](const RimPoint& p) {
            return std::abs(turn_between(p.angle, line.angle)) < 0.35 &&
                   std::abs(p.at.dot(line.normal()) - line.d) < 2.5 * step;
        });
    }
    return lines;
}

std::optional<cv::Point2d> crossing(const Line& a, const Line& b) {
    const double det = std::sin(b.angle - a.angle);
    if (std::abs(det) < 0.3) {
        return std::nullopt;
    }
    const cv::Point2d na = a.normal();
    const cv::Point2d nb = b.normal();
    return cv::Point2d((a.d * nb.y - b.d * na.y) / det, (na.x * b.d - nb.x * a.d) / det);
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

// Clockwise on the screen, beginning with the corner that is most to the upper left.
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

}  // namespace

// The straight edges of the picture that the rim does not show already, outward on either side.
void add_edge_lines(const std::vector<RimPoint>& edges, double diagonal, std::vector<Line>& lines) {
    const std::size_t of_rim = lines.size();
    std::vector<RimPoint> one_way = edges;
    for (RimPoint& p : one_way) {  // a line has no outside: fold the angle
        p.angle = p.angle < 0.0 ? p.angle + pi : p.angle;
    }
    for (const Line& line : strong_lines(one_way, diagonal, 0.05 * diagonal, 10)) {
        for (const Line& way : {line, Line{line.angle + pi, -line.d, line.votes}}) {
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
