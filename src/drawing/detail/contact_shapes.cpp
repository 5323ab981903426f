// Things that open and close.
#include "base/text.h"
#include "drawing/detail/pen.h"
#include "drawing/detail/shapes.h"

namespace etchback::drawing::detail {
namespace {

// IEC: a bare blade. ANSI: the contacts are circles.
std::optional<Symbol> switch_shape(const Request& request) {
    return two_pin(request, request.ansi() ? 1.4 : 1.1, [&](Pen& pen) {
        if (request.ansi()) {
            pen.circle({-1.2, 0}, 0.2).circle({1.2, 0}, 0.2).line({{-1.02, -0.1}, {1.1, -1.1}});
        } else {
            pen.line({{-1.1, 0}, {1.1, -1.1}});
        }
    });
}

std::optional<Symbol> push_button(const Request& request) {
    return two_pin(request, 1.4, [&](Pen& pen) {
        pen.circle({-1.2, 0}, 0.2).circle({1.2, 0}, 0.2);
        pen.line({{-1.4, -0.7}, {1.4, -0.7}}).line({{0, -0.7}, {0, -1.5}});
        pen.line({{-0.5, -1.5}, {0.5, -1.5}});
    });
}

std::optional<Symbol> jumper(const Request& request) {
    return two_pin(request, 1.4, [&](Pen& pen) {
        pen.circle({-1.2, 0}, 0.2).circle({1.2, 0}, 0.2);
        pen.arc({-1.1, -0.3}, {1.1, -0.3}, 1.7, true);
    });
}

struct RelayPins {
    std::vector<int> coil, contact;
};

RelayPins relay_pins(const circuit::Part& part) {
    RelayPins pins;
    for (std::size_t i = 0; i < part.pins.size(); ++i) {
        const std::string name = base::lowered(part.pins[i].name);
        const std::string side = base::lowered(part.pins[i].side);
        const bool coil = name.find("coil") != std::string::npos || name == "a1" || name == "a2" ||
                          side.find("coil") != std::string::npos;
        (coil ? pins.coil : pins.contact).push_back(static_cast<int>(i));
    }
    return pins;
}

// Coil left, contact right with its common pin below, a dashed line for the armature.
std::optional<Symbol> relay(const Request& request) {
    const circuit::Part& part = request.part;
    const RelayPins pins = relay_pins(part);
    if (pins.coil.size() != 2 || (pins.contact.size() != 2 && pins.contact.size() != 3)) {
        return std::nullopt;
    }
    const std::vector<int> coil = by_height(pins.coil, request.pin_height);
    Pen pen{std::string(request.id)};
    pen.pin(coil[0], {-3, -3}, Direction::up).pin(coil[1], {-3, 3}, Direction::down);
    pen.line({{-3, -3}, {-3, -1}}).line({{-3, 1}, {-3, 3}}).rect({-4.5, -1, -1.5, 1});
    const int normally_open = find_pin(part, {"no", "14", "normally open"});
    const int normally_closed = find_pin(part, {"nc", "12", "normally closed"});
    int common = find_pin(part, {"common", "com", "c", "11", "13"});
    if (pins.contact.size() == 3) {
        if (common < 0 || normally_open < 0 || normally_closed < 0) {
            return std::nullopt;
        }
        pen.pin(normally_closed, {1, -3}, Direction::up).pin(normally_open, {3, -3}, Direction::up);
        pen.line({{1, -3}, {1, -1.2}, {1.6, -1.2}}).line({{3, -3}, {3, -1.2}, {2.7, -1.2}});
        pen.line({{2, 1}, {1.45, -1.4}});
    } else {
        common = common < 0 ? pins.contact[1] : common;
        const int other = pins.contact[0] == common ? pins.contact[1] : pins.contact[0];
        pen.pin(other, {2, -3}, Direction::up).line({{2, -3}, {2, -1}});
        pen.line({{2, 1}, {1, -1.1}});
    }
    pen.pin(common, {2, 3}, Direction::down).line({{2, 1}, {2, 3}});
    for (const double x : {-1.4, -0.6, 0.2, 1.0}) {
        pen.line({{x, 0}, {x + 0.4, 0}});
    }
    return pen.done();
}

constexpr ShapeRow rows[] = {
    {"switch", switch_shape},
    {"push_button", push_button},
    {"jumper", jumper},
    {"relay", relay},
};

}  // namespace

std::span<const ShapeRow> contact_shapes() {
    return rows;
}

}  // namespace etchback::drawing::detail
