// Diodes lie along the x axis, anode left.
#include <fmt/format.h>

#include <cmath>

#include "drawing/detail/pen.h"
#include "drawing/detail/shapes.h"

namespace etchback::drawing::detail {
namespace {

constexpr double half = 0.9;  // of the triangle's length
constexpr double tall = 1.0;  // half its height, and of the bar

// IEC: an open triangle with the wire running through it. ANSI: a filled one.
void triangle(Pen& pen, bool ansi, double x = 0.0) {
    pen.shape({{x - half, -tall}, {x - half, tall}, {x + half, 0}}, ansi);
    if (!ansi) {
        pen.line({{x - half, 0}, {x + half, 0}});
    }
}

void bar(Pen& pen, double x = 0.0) {
    pen.line({{x + half, -tall}, {x + half, tall}});
}

void light_out(Pen& pen, double x) {
    pen.arrow({x, -1.1}, {x + 0.8, -2.1}, 0.5).arrow({x + 0.7, -0.8}, {x + 1.5, -1.8}, 0.5);
}

std::optional<Symbol> diode(const Request& request) {
    return two_pin(request, 0.9, [&](Pen& pen) {
        triangle(pen, request.ansi());
        bar(pen);
    });
}

std::optional<Symbol> schottky(const Request& request) {
    return two_pin(request, 0.9, [&](Pen& pen) {
        triangle(pen, request.ansi());
        pen.line({{half + 0.45, -0.65},
                  {half + 0.45, -tall},
                  {half, -tall},
                  {half, tall},
                  {half - 0.45, tall},
                  {half - 0.45, 0.65}});
    });
}

// IEC: the bar turns back at one end. ANSI: it is bent at both.
std::optional<Symbol> zener(const Request& request) {
    return two_pin(request, 0.9, [&](Pen& pen) {
        triangle(pen, request.ansi());
        if (request.ansi()) {
            pen.line({{half + 0.45, -tall - 0.3},
                      {half, -tall},
                      {half, tall},
                      {half - 0.45, tall + 0.3}});
        } else {
            pen.line({{half - 0.5, -tall}, {half, -tall}, {half, tall}});
        }
    });
}

// Clamps both ways: two triangles tip to tip at one bent bar.
std::optional<Symbol> tvs_both_ways(const Request& request) {
    return two_pin(request, 1.6, [&](Pen& pen) {
        const bool filled = request.ansi();
        pen.shape({{-1.6, -tall}, {-1.6, tall}, {0, 0}}, filled);
        pen.shape({{1.6, -tall}, {1.6, tall}, {0, 0}}, filled);
        if (!filled) {
            pen.line({{-1.6, 0}, {1.6, 0}});
        }
        pen.line({{0.45, -tall - 0.3}, {0, -tall}, {0, tall}, {-0.45, tall + 0.3}});
    });
}

// Of one direction if its ends have a name, else of both.
std::optional<Symbol> tvs(const Request& request) {
    return find_pin(request.part, {"anode"}) >= 0 ? zener(request) : tvs_both_ways(request);
}

std::optional<Symbol> led(const Request& request) {
    return two_pin(request, 0.9, [&](Pen& pen) {
        triangle(pen, request.ansi());
        bar(pen);
        light_out(pen, -0.4);
    });
}

std::optional<Symbol> photodiode(const Request& request) {
    return two_pin(request, 0.9, [&](Pen& pen) {
        triangle(pen, request.ansi());
        bar(pen);
        pen.arrow({-1.3, -2.2}, {-0.5, -1.2}, 0.5).arrow({-0.4, -2.0}, {0.4, -1.0}, 0.5);
    });
}

// "4 LEDs" in a string, "2 × 4 LEDs" in two strings side by side; empty if the count is not known.
std::string string_size(const circuit::Part& part) {
    const auto whole = [&](const char* key) {
        const auto found = part.said.properties.find(key);
        return found == part.said.properties.end() ? 0L : std::lround(found->second.value.value);
    };
    const long count = whole("count");
    const long strings = whole("strings");
    if (count <= 0) {
        return {};
    }
    return strings > 1 ? fmt::format("{} × {} LEDs", strings, count)
                       : fmt::format("{} LEDs", count);
}

// The first and the last of many, with dots between.
std::optional<Symbol> led_string(const Request& request) {
    const std::optional<Ends> ends = ends_of(request.part);
    if (!ends) {
        return std::nullopt;
    }
    constexpr double x = 2.2, far = 4.0;
    Pen pen{std::string(request.id)};
    pen.pin(ends->first, {-far, 0}, Direction::left).pin(ends->second, {far, 0}, Direction::right);
    pen.line({{-far, 0}, {-x - half, 0}}).line({{-x + half, 0}, {-0.8, 0}});
    pen.line({{0.8, 0}, {x - half, 0}}).line({{x + half, 0}, {far, 0}});
    for (const double dot : {-0.4, 0.0, 0.4}) {
        pen.circle({dot, 0}, 0.09, true);
    }
    for (const double centre : {-x, x}) {
        triangle(pen, request.ansi(), centre);
        bar(pen, centre);
        light_out(pen, centre - 0.4);
    }
    if (const std::string size = string_size(request.part); !size.empty()) {
        pen.word(size, {0, 2.0}, Word::Anchor::middle, 0.9);
    }
    return pen.done();
}

// Two antiparallel triangles between two bars.
std::optional<Symbol> diac(const Request& request) {
    return two_pin(request, 0.9, [&](Pen& pen) {
        const bool filled = request.ansi();
        pen.line({{-half, -1.6}, {-half, 1.6}}).line({{half, -1.6}, {half, 1.6}});
        pen.shape({{-half, -1.6}, {-half, 0}, {half, -0.8}}, filled);
        pen.shape({{half, 1.6}, {half, 0}, {-half, 0.8}}, filled);
    });
}

// A small diode on the straight line between two corners of the bridge.
void bridge_arm(Pen& pen, bool ansi, Point from, Point to) {
    const double length = std::hypot(to.x - from.x, to.y - from.y);
    const double ux = (to.x - from.x) / length, uy = (to.y - from.y) / length;
    const Point mid{(from.x + to.x) / 2, (from.y + to.y) / 2};
    const auto at = [&](double along, double across) {
        return Point{mid.x + along * ux - across * uy, mid.y + along * uy + across * ux};
    };
    pen.line({from, ansi ? at(-0.6, 0) : to});
    if (ansi) {
        pen.line({at(0.6, 0), to});
    }
    pen.shape({at(-0.6, -0.7), at(-0.6, 0.7), at(0.6, 0)}, ansi);
    pen.line({at(0.6, -0.7), at(0.6, 0.7)});
}

// Four diodes in a diamond, AC at its top and bottom corner, plus at the right one. The minus
// corner's lead comes round below and hops over the second AC lead, so that both AC pins are on the
// left and both DC pins on the right.
std::optional<Symbol> bridge(const Request& request) {
    const circuit::Part& part = request.part;
    const int plus = find_pin(part, {"+", "plus", "positive"});
    const int minus = find_pin(part, {"-", "minus", "negative"});
    if (part.pins.size() != 4 || plus < 0 || minus < 0 || plus == minus) {
        return std::nullopt;
    }
    std::vector<int> ac;
    for (int i = 0; i < 4; ++i) {
        if (i != plus && i != minus) {
            ac.push_back(i);
        }
    }
    ac = by_height(ac, request.pin_height);
    const Point left{-3, 0}, right{3, 0}, top{0, -3}, bottom{0, 3};
    Pen pen{std::string(request.id)};
    pen.pin(ac[0], {-5, -3}, Direction::left).pin(ac[1], {-5, 3}, Direction::left);
    pen.pin(plus, {5, 0}, Direction::right).pin(minus, {5, 4}, Direction::right);
    bridge_arm(pen, request.ansi(), left, top);
    bridge_arm(pen, request.ansi(), left, bottom);
    bridge_arm(pen, request.ansi(), top, right);
    bridge_arm(pen, request.ansi(), bottom, right);
    pen.line({{-5, -3}, top}).line({{-5, 3}, bottom}).line({right, {5, 0}});
    pen.path("M-3 0L-4 0L-4 2.6A0.4 0.4 0 0 1 -4 3.4L-4 4L5 4");
    pen.word("~", {-3.3, -3.3}, Word::Anchor::middle, 1.2)
        .word("~", {-3.3, 2.7}, Word::Anchor::middle, 1.2);
    pen.plus({4, -0.7}).minus({4, 3.35});
    for (const Point& corner : {left, right, top, bottom}) {
        pen.circle(corner, 0.13, true);
    }
    return pen.done();
}

constexpr ShapeRow rows[] = {
    {"diode", diode},
    {"schottky_diode", schottky},
    {"zener_diode", zener},
    {"tvs", tvs},
    {"led", led},
    {"photodiode", photodiode},
    {"led_string", led_string},
    {"diac", diac},
    {"bridge_rectifier", bridge},
};

}  // namespace

std::span<const ShapeRow> diode_shapes() {
    return rows;
}

}  // namespace etchback::drawing::detail
