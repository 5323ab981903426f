// Where a circuit meets the world: mains, supplies, connectors, test points, earth.
#include <algorithm>
#include <cmath>
#include <numeric>

#include "drawing/detail/pen.h"
#include "drawing/detail/shapes.h"

namespace etchback::drawing::detail {
namespace {

// A terminal: an open circle from which the wire leaves to the right.
void terminal(Pen& pen, int pin, double y, std::string_view name) {
    pen.pin(pin, {3, y}, Direction::right);
    pen.circle({2.5, y}, 0.25).line({{2.75, y}, {3, y}});
    pen.word(name, {2.2, y - 0.55}, Word::Anchor::middle, 0.9);
}

// A round source whose two terminals come out on the right.
Pen source(
    const Request& request, int upper, int lower, std::string_view up, std::string_view down) {
    Pen pen{std::string(request.id)};
    pen.upright();
    pen.circle({0, 0}, 1.4);
    pen.line({{0, -1.4}, {0, -2}, {2.25, -2}}).line({{0, 1.4}, {0, 2}, {2.25, 2}});
    terminal(pen, upper, -2, up);
    terminal(pen, lower, 2, down);
    return pen;
}

std::optional<Symbol> mains(const Request& request) {
    const circuit::Part& part = request.part;
    const int live = find_pin(part, {"l", "live", "line"});
    const int neutral = find_pin(part, {"n", "neutral"});
    const int earth = find_pin(part, {"pe", "e", "earth"});
    const std::size_t count = earth >= 0 ? 3 : 2;
    if (live < 0 || neutral < 0 || live == neutral || part.pins.size() != count) {
        return std::nullopt;
    }
    Pen pen = source(request, live, neutral, "L", "N");
    pen.path("M-0.8 0C-0.55 -0.9 -0.25 -0.9 0 0C0.25 0.9 0.55 0.9 0.8 0");
    if (earth >= 0) {
        terminal(pen, earth, 4, "PE");
        pen.line({{2.25, 4}, {0, 4}, {0, 4.5}}).line({{-0.8, 4.5}, {0.8, 4.5}});
        pen.line({{-0.5, 4.85}, {0.5, 4.85}}).line({{-0.2, 5.2}, {0.2, 5.2}});
    }
    return pen.done();
}

// Stands upright between its rails, the plus on top.
std::optional<Symbol> dc_supply(const Request& request) {
    const std::optional<Ends> ends = ends_of(request.part);
    if (!ends) {
        return std::nullopt;
    }
    Pen pen{std::string(request.id)};
    pen.pin(ends->first, {0, -3}, Direction::up).pin(ends->second, {0, 3}, Direction::down);
    pen.circle({0, 0}, 1.4).line({{0, -3}, {0, -1.4}}).line({{0, 1.4}, {0, 3}});
    pen.line({{-0.8, -0.25}, {0.8, -0.25}});
    for (const double x : {-0.8, -0.2, 0.4}) {
        pen.line({{x, 0.25}, {x + 0.4, 0.25}});
    }
    return pen.plus({0.9, -1.9}).done();
}

// A column of terminals with their names on the left, in the part's order or as the heights say.
std::optional<Symbol> connector(const Request& request) {
    const circuit::Part& part = request.part;
    if (part.pins.empty()) {
        return std::nullopt;
    }
    std::vector<int> pins(part.pins.size());
    std::iota(pins.begin(), pins.end(), 0);
    pins = by_height(pins, request.pin_height);
    double width = 0.0;
    for (const circuit::Pin& pin : part.pins) {
        width = std::max(width, text_width(pin.name, 0.9));
    }
    Pen pen{std::string(request.id)};
    const double bottom = 2.0 * static_cast<double>(pins.size()) - 1.0;
    pen.rect({-std::ceil(width + 1.6), -1, 0, bottom});
    double y = 0.0;
    for (const int pin : pins) {
        pen.pin(pin, {1, y}, Direction::right).circle({-0.55, y}, 0.3);
        pen.line({{-0.25, y}, {1, y}});
        pen.word(part.pins[static_cast<std::size_t>(pin)].name,
                 {-1.1, y + 0.33},
                 Word::Anchor::end,
                 0.9);
        y += 2.0;
    }
    return pen.upright().done();
}

std::optional<Pen> one_pin(const Request& request, Direction facing) {
    if (request.part.pins.size() != 1) {
        return std::nullopt;
    }
    Pen pen{std::string(request.id)};
    pen.pin(0, {0, 0}, facing);
    return pen;
}

std::optional<Symbol> test_point(const Request& request) {
    std::optional<Pen> pen = one_pin(request, Direction::left);
    if (!pen) {
        return std::nullopt;
    }
    return pen->line({{0, 0}, {0.6, 0}}).circle({1, 0}, 0.4).done();
}

std::optional<Symbol> earth(const Request& request) {
    std::optional<Pen> pen = one_pin(request, Direction::up);
    if (!pen) {
        return std::nullopt;
    }
    pen->line({{0, 0}, {0, 1}}).line({{-1, 1}, {1, 1}});
    return pen->line({{-0.6, 1.4}, {0.6, 1.4}}).line({{-0.25, 1.8}, {0.25, 1.8}}).done();
}

constexpr ShapeRow rows[] = {
    {"mains", mains},
    {"dc_supply", dc_supply},
    {"connector", connector},
    {"test_point", test_point},
    {"earth", earth},
};

}  // namespace

std::span<const ShapeRow> terminal_shapes() {
    return rows;
}

}  // namespace etchback::drawing::detail
