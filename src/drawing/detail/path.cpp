#include "drawing/detail/path.h"

#include <fmt/format.h>

#include <algorithm>
#include <cassert>
#include <charconv>
#include <cmath>
#include <numbers>

namespace etchback::drawing::detail {
namespace {

class Scanner {
public:
    explicit Scanner(std::string_view text) : text_(text) {}

    bool done() {
        skip();
        return text_.empty();
    }
    char letter() {
        skip();
        const char c = text_.front();
        text_.remove_prefix(1);
        return c;
    }
    double value() {
        skip();
        double v = 0.0;
        const auto [end, error] = std::from_chars(text_.data(), text_.data() + text_.size(), v);
        assert(error == std::errc{});
        static_cast<void>(error);
        text_.remove_prefix(static_cast<std::size_t>(end - text_.data()));
        return v;
    }
    Point point() {
        const double x = value();
        return {x, value()};
    }

private:
    void skip() {
        while (!text_.empty() && (text_.front() == ' ' || text_.front() == ',')) {
            text_.remove_prefix(1);
        }
    }
    std::string_view text_;
};

// Extremes of a cubic curve along one axis lie where its derivative, a parabola, is zero.
double cubic(double t, double p0, double p1, double p2, double p3) {
    const double s = 1.0 - t;
    return s * s * s * p0 + 3 * s * s * t * p1 + 3 * s * t * t * p2 + t * t * t * p3;
}

std::vector<double> cubic_turns(double p0, double p1, double p2, double p3) {
    const double a = p3 - 3 * p2 + 3 * p1 - p0;
    const double b = 2 * (p2 - 2 * p1 + p0);
    const double c = p1 - p0;
    std::vector<double> turns;
    const auto keep = [&](double t) {
        if (t > 0.0 && t < 1.0) {
            turns.push_back(t);
        }
    };
    if (std::abs(a) < 1e-12) {
        if (std::abs(b) > 1e-12) {
            keep(-c / b);
        }
    } else if (const double d = b * b - 4 * a * c; d >= 0.0) {
        keep((-b + std::sqrt(d)) / (2 * a));
        keep((-b - std::sqrt(d)) / (2 * a));
    }
    return turns;
}

void include_curve(Box& box, Point p0, const PathStep& step) {
    const auto& [p1, p2, p3] = step.points;
    for (const double t : cubic_turns(p0.x, p1.x, p2.x, p3.x)) {
        const double x = cubic(t, p0.x, p1.x, p2.x, p3.x);
        box.left = std::min(box.left, x);
        box.right = std::max(box.right, x);
    }
    for (const double t : cubic_turns(p0.y, p1.y, p2.y, p3.y)) {
        const double y = cubic(t, p0.y, p1.y, p2.y, p3.y);
        box.top = std::min(box.top, y);
        box.bottom = std::max(box.bottom, y);
    }
}

// Centre form after SVG 1.1, appendix F.6.5, for an ellipse along the axes: on the unit circle,
// the centre lies off the chord's middle on the side that `large` and `sweep` choose.
void include_arc(Box& box, Point from, const PathStep& step) {
    using std::numbers::pi;
    const Point to = step.end();
    const double ax = from.x / step.rx, ay = from.y / step.ry;
    const double bx = to.x / step.rx, by = to.y / step.ry;
    const double dx = bx - ax, dy = by - ay;
    const double chord = std::hypot(dx, dy);
    if (chord < 1e-12) {
        return;
    }
    const double r = std::max(1.0, chord / 2);
    const double off = std::sqrt(std::max(0.0, r * r - chord * chord / 4)) / chord *
                       (step.large == step.sweep ? -1.0 : 1.0);
    const double cx = (ax + bx) / 2 - off * dy;
    const double cy = (ay + by) / 2 + off * dx;
    const double start = std::atan2(ay - cy, ax - cx);
    double span = std::atan2(by - cy, bx - cx) - start;
    if (step.sweep && span < 0) {
        span += 2 * pi;
    } else if (!step.sweep && span > 0) {
        span -= 2 * pi;
    }
    for (int quarter = -8; quarter <= 8; ++quarter) {
        const double t = (quarter * pi / 2 - start) / span;
        if (t > 0.0 && t < 1.0) {
            const double angle = quarter * pi / 2;
            include(
                box,
                Point{(cx + r * std::cos(angle)) * step.rx, (cy + r * std::sin(angle)) * step.ry});
        }
    }
}

}  // namespace

std::string number(double value) {
    std::string text = fmt::format("{:.3f}", value);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') {
        text.pop_back();
    }
    return text == "-0" ? "0" : text;
}

Path parse_path(std::string_view data) {
    Path path;
    Scanner scan(data);
    while (!scan.done()) {
        PathStep step;
        step.letter = scan.letter();
        switch (step.letter) {
            case 'M':
            case 'L':
                step.points[0] = scan.point();
                break;
            case 'C':
                for (Point& point : step.points) {
                    point = scan.point();
                }
                break;
            case 'A':
                step.rx = scan.value();
                step.ry = scan.value();
                scan.value();  // the ellipse's turn, always 0
                step.large = scan.value() > 0.5;
                step.sweep = scan.value() > 0.5;
                step.points[0] = scan.point();
                break;
            default:
                assert(step.letter == 'Z');
                step.points[0] = path.empty() ? Point{} : path.front().end();
                for (const PathStep& before : path) {
                    if (before.letter == 'M') {
                        step.points[0] = before.end();
                    }
                }
        }
        path.push_back(step);
    }
    return path;
}

std::string to_data(const Path& path) {
    std::string data;
    const auto add = [&](Point p) { data += number(p.x) + " " + number(p.y); };
    for (const PathStep& step : path) {
        data += step.letter;
        if (step.letter == 'C') {
            add(step.points[0]);
            data += ' ';
            add(step.points[1]);
            data += ' ';
            add(step.points[2]);
        } else if (step.letter == 'A') {
            data += number(step.rx) + " " + number(step.ry) + " 0 " + (step.large ? "1 " : "0 ") +
                    (step.sweep ? "1 " : "0 ");
            add(step.end());
        } else if (step.letter != 'Z') {
            add(step.end());
        }
    }
    return data;
}

Point turned(Point point, const Orientation& orientation) {
    for (int i = 0; i < (orientation.quarter_turns & 3); ++i) {
        point = {-point.y, point.x};
    }
    return {orientation.mirrored ? -point.x : point.x, point.y};
}

Direction turned(Direction direction, const Orientation& orientation) {
    int quarter = (static_cast<int>(direction) + orientation.quarter_turns) & 3;
    if (orientation.mirrored && quarter % 2 == 0) {
        quarter = 2 - quarter;
    }
    return static_cast<Direction>(quarter);
}

Path turned(Path path, const Orientation& orientation) {
    for (PathStep& step : path) {
        for (Point& point : step.points) {
            point = turned(point, orientation);
        }
        if (orientation.quarter_turns & 1) {
            std::swap(step.rx, step.ry);
        }
        step.sweep = step.sweep != orientation.mirrored;
    }
    return path;
}

Path moved(Path path, Point by, double scale) {
    for (PathStep& step : path) {
        for (Point& point : step.points) {
            point = {(point.x + by.x) * scale, (point.y + by.y) * scale};
        }
        step.rx *= scale;
        step.ry *= scale;
    }
    return path;
}

std::vector<std::pair<Point, Point>> straight_pieces(const Path& path) {
    std::vector<std::pair<Point, Point>> pieces;
    Point at;
    for (const PathStep& step : path) {
        if (step.letter == 'L' || step.letter == 'Z') {
            pieces.emplace_back(at, step.end());
        }
        at = step.end();
    }
    return pieces;
}

void include(Box& box, Point point) {
    box.left = std::min(box.left, point.x);
    box.top = std::min(box.top, point.y);
    box.right = std::max(box.right, point.x);
    box.bottom = std::max(box.bottom, point.y);
}

void include(Box& box, const Box& other) {
    include(box, Point{other.left, other.top});
    include(box, Point{other.right, other.bottom});
}

void include(Box& box, const Path& path) {
    Point at;
    for (const PathStep& step : path) {
        if (step.letter == 'C') {
            include_curve(box, at, step);
        } else if (step.letter == 'A') {
            include_arc(box, at, step);
        }
        include(box, step.end());
        at = step.end();
    }
}

}  // namespace etchback::drawing::detail
