// Parts that sit in a frame: optocoupler, op-amp, comparator.
#include "drawing/detail/pen.h"
#include "drawing/detail/shapes.h"

namespace etchback::drawing::detail {
namespace {

// LED left, transistor right, light between. IEC and ANSI differ in the LED's filling.
std::optional<Symbol> optocoupler(const Request& request) {
    const circuit::Part& part = request.part;
    const int anode = find_pin(part, {"anode", "a"});
    const int cathode = find_pin(part, {"cathode", "k"});
    const int collector = find_pin(part, {"collector", "c"});
    const int emitter = find_pin(part, {"emitter", "e"});
    const int base = find_pin(part, {"base", "b"});
    const std::size_t count = base >= 0 ? 5 : 4;
    if (anode < 0 || cathode < 0 || collector < 0 || emitter < 0 || part.pins.size() != count) {
        return std::nullopt;
    }
    Pen pen{std::string(request.id)};
    pen.pin(anode, {-5, -2}, Direction::left).pin(cathode, {-5, 2}, Direction::left);
    pen.pin(collector, {5, -2}, Direction::right).pin(emitter, {5, 2}, Direction::right);
    pen.rect({-4, -3, 4, 3});
    pen.line({{-5, -2}, {-2.2, -2}, {-2.2, request.ansi() ? -0.8 : 0.8}});
    pen.line({{-2.2, 0.8}, {-2.2, 2}, {-5, 2}});
    pen.shape({{-3.1, -0.8}, {-1.3, -0.8}, {-2.2, 0.8}}, request.ansi());
    pen.line({{-3.1, 0.8}, {-1.3, 0.8}});
    pen.arrow({-0.9, -0.6}, {0.5, -0.6}, 0.5).arrow({-0.9, 0.4}, {0.5, 0.4}, 0.5);
    pen.line({{0.9, -1.2}, {0.9, 1.2}});
    pen.line({{0.9, -0.5}, {2.3, -1.5}, {2.3, -2}, {5, -2}});
    pen.arrow({0.9, 0.5}, {2.3, 1.5}).line({{2.3, 1.5}, {2.3, 2}, {5, 2}});
    if (base >= 0) {
        pen.pin(base, {5, 0}, Direction::right).line({{0.9, 0}, {5, 0}});
    }
    return pen.done();
}

// The inverting input is the upper one, unless what leads to the other comes from far above it.
bool plus_on_top(const Request& request, int inverting, int direct) {
    constexpr double far_above = 4.0;  // potentials differ by 1 at most: they do not decide
    const auto height = [&](int pin) {
        const auto i = static_cast<std::size_t>(pin);
        return i < request.pin_height.size() ? request.pin_height[i] : 0.0;
    };
    return height(direct) > height(inverting) + far_above;
}

// Inverting input on top. IEC: a rectangle with its function's sign. ANSI: a triangle.
std::optional<Symbol> amplifier(const Request& request, std::string_view function) {
    const circuit::Part& part = request.part;
    const int inverting = find_pin(part, {"in-", "-", "inverting", "inn"});
    const int direct = find_pin(part, {"in+", "+", "non-inverting", "noninverting", "inp"});
    const int out = find_pin(part, {"out", "output"});
    const int plus = find_pin(part, {"v+", "vcc", "vdd", "supply", "vcc+", "vs+"});
    const int minus = find_pin(part, {"v-", "vee", "vss", "gnd", "ground", "vcc-", "vs-"});
    const std::size_t count = 3U + (plus >= 0 ? 1U : 0U) + (minus >= 0 ? 1U : 0U);
    if (inverting < 0 || direct < 0 || out < 0 || part.pins.size() != count) {
        return std::nullopt;
    }
    const double y =
        plus_on_top(request, inverting, direct) ? 1.0 : -1.0;  // of the inverting input
    Pen pen{std::string(request.id)};
    pen.pin(inverting, {-4, y}, Direction::left).pin(direct, {-4, -y}, Direction::left);
    pen.pin(out, {4, 0}, Direction::right);
    pen.line({{-4, -1}, {-3, -1}}).line({{-4, 1}, {-3, 1}}).line({{3, 0}, {4, 0}});
    pen.minus({-2.4, y}).plus({-2.4, -y});
    double edge = 2.5;  // half the body's height above the supply pins
    if (request.ansi()) {
        pen.shape({{-3, -2.5}, {-3, 2.5}, {3, 0}});
        edge = 1.25;
    } else {
        pen.rect({-3, -2.5, 3, 2.5});
        pen.word(function, {0.4, -1.1}, Word::Anchor::middle, 1.0);
    }
    if (plus >= 0) {
        pen.pin(plus, {0, -4}, Direction::up).line({{0, -4}, {0, -edge}});
    }
    if (minus >= 0) {
        pen.pin(minus, {0, 4}, Direction::down).line({{0, 4}, {0, edge}});
    }
    return pen.done();
}
std::optional<Symbol> op_amp(const Request& request) {
    return amplifier(request, "▷ ∞");
}
std::optional<Symbol> comparator(const Request& request) {
    return amplifier(request, "COMP");
}

// Chips that are a box by their nature.
std::optional<Symbol> chip(const Request& request) {
    return box_shape(request);
}

constexpr ShapeRow rows[] = {
    {"controller", chip},
    {"linear_regulator", chip},
    {"optocoupler", optocoupler},
    {"op_amp", op_amp},
    {"comparator", comparator},
};

}  // namespace

std::span<const ShapeRow> chip_shapes() {
    return rows;
}

}  // namespace etchback::drawing::detail
