// A box with pin names inside and, where the dossier gives them, pin numbers outside.
//
// Inputs are on the left, outputs on the right, supplies on top, returns at the bottom. A pin whose
// role is not known goes by its name as far as chip makers agree about such names (common
// practice). The rest is spread like on a dual in-line body: the first half down the left, the
// others right.
#include <algorithm>
#include <cmath>

#include "drawing/detail/pen.h"
#include "drawing/detail/shapes.h"

namespace etchback::drawing::detail {
namespace {

using parts::PinRole;

struct Sides {
    std::vector<int> left, right, top, bottom;
};

Sides sides_of(const circuit::Part& part) {
    Sides sides;
    std::vector<int> rest;
    for (std::size_t i = 0; i < part.pins.size(); ++i) {
        const int pin = static_cast<int>(i);
        switch (part.pins[i].role) {
            case PinRole::input:
            case PinRole::line:
                sides.left.push_back(pin);
                break;
            case PinRole::output:
            case PinRole::positive:
            case PinRole::negative:
                sides.right.push_back(pin);
                break;
            case PinRole::supply:
                sides.top.push_back(pin);
                break;
            case PinRole::ground:
            case PinRole::earth:
                sides.bottom.push_back(pin);
                break;
            case PinRole::passive:
                rest.push_back(pin);
        }
    }
    // Both sides end up as long as each other, as far as the rest suffices.
    const int total = static_cast<int>(sides.left.size() + sides.right.size() + rest.size());
    const int room = std::max(0, (total + 1) / 2 - static_cast<int>(sides.left.size()));
    const auto middle = rest.begin() + std::min(room, static_cast<int>(rest.size()));
    sides.left.insert(sides.left.end(), rest.begin(), middle);
    sides.right.insert(sides.right.end(), middle, rest.end());
    if (sides.left.empty() && !sides.right.empty()) {
        sides.left.swap(sides.top);
    }
    return sides;
}

constexpr double name_size = 0.9;
constexpr double number_size = 0.7;
constexpr double inset = 0.3;  // of a name from the frame
constexpr double gap = 0.8;    // between two names

const std::string& name_of(const circuit::Part& part, int pin) {
    return part.pins[static_cast<std::size_t>(pin)].name;
}

double name_width(const circuit::Part& part, int pin) {
    return text_width(name_of(part, pin), name_size);
}

double widest(const circuit::Part& part, const std::vector<int>& pins) {
    double width = 0.0;
    for (const int pin : pins) {
        width = std::max(width, name_width(part, pin));
    }
    return width;
}

// Whole steps between neighbours on top or bottom, so that their names stay apart.
int pitch_of(const circuit::Part& part, const std::vector<int>& pins) {
    return std::max(2, static_cast<int>(std::ceil(widest(part, pins) + 0.4)));
}

// The number as written where the pin has a name besides.
std::string number_of(const circuit::Pin& pin) {
    const bool digits =
        !pin.written.empty() && std::all_of(pin.written.begin(), pin.written.end(), [](char c) {
            return c >= '0' && c <= '9';
        });
    return digits && pin.written != pin.name ? pin.written : std::string();
}

struct Frame {
    int left, top, right, bottom;  // of the rectangle
};

void side_pins(Pen& pen,
               const circuit::Part& part,
               const std::vector<int>& pins,
               const Frame& frame,
               int first_y,
               bool on_left) {
    int y = first_y;
    const int edge = on_left ? frame.left : frame.right;
    const int out = on_left ? -1 : 1;
    for (const int pin : pins) {
        const double row = y;
        pen.pin(pin,
                {static_cast<double>(edge + out), row},
                on_left ? Direction::left : Direction::right);
        pen.line({{static_cast<double>(edge + out), row}, {static_cast<double>(edge), row}});
        pen.word(name_of(part, pin),
                 {edge - out * inset, row + 0.33},
                 on_left ? Word::Anchor::start : Word::Anchor::end,
                 name_size);
        if (const std::string number = number_of(part.pins[static_cast<std::size_t>(pin)]);
            !number.empty()) {
            pen.word(number, {edge + out * 0.5, row - 0.2}, Word::Anchor::middle, number_size);
        }
        y += 2;
    }
}

void end_pins(Pen& pen,
              const circuit::Part& part,
              const std::vector<int>& pins,
              const Frame& frame,
              bool on_top) {
    const int pitch = pitch_of(part, pins);
    const int span = pitch * (static_cast<int>(pins.size()) - 1);
    int x = (frame.left + frame.right - span) / 2;
    const int edge = on_top ? frame.top : frame.bottom;
    const int out = on_top ? -1 : 1;
    for (const int pin : pins) {
        const double column = x;
        pen.pin(pin,
                {column, static_cast<double>(edge + out)},
                on_top ? Direction::up : Direction::down);
        pen.line({{column, static_cast<double>(edge + out)}, {column, static_cast<double>(edge)}});
        pen.word(name_of(part, pin),
                 {column, on_top ? edge + 1.0 : edge - 0.35},
                 Word::Anchor::middle,
                 name_size);
        if (const std::string number = number_of(part.pins[static_cast<std::size_t>(pin)]);
            !number.empty()) {
            pen.word(number,
                     {column + 0.2, on_top ? edge - 0.25 : edge + 0.75},
                     Word::Anchor::start,
                     number_size);
        }
        x += pitch;
    }
}

int even(double value) {
    return 2 * static_cast<int>(std::ceil(value / 2));
}

}  // namespace

Symbol box_shape(const Request& request) {
    const circuit::Part& part = request.part;
    Sides sides = sides_of(part);
    sides.left = by_height(sides.left, request.pin_height);
    sides.right = by_height(sides.right, request.pin_height);
    const double across = widest(part, sides.left) + widest(part, sides.right) + 2 * inset +
                          (sides.left.empty() || sides.right.empty() ? 0.0 : gap);
    double width = std::max(4.0, across);
    for (const std::vector<int>* ends : {&sides.top, &sides.bottom}) {
        if (!ends->empty()) {
            width =
                std::max(width, static_cast<double>(pitch_of(part, *ends) * ends->size()) + 0.4);
        }
    }
    const int rows = static_cast<int>(std::max(sides.left.size(), sides.right.size()));
    const int above = sides.top.empty() ? 1 : 2;
    const int below = sides.bottom.empty() ? 1 : 2;
    const int half = even(width) / 2;
    const Frame frame{-half, 0, half, above + std::max(0, 2 * (rows - 1)) + below};
    Pen pen{std::string(request.id)};
    pen.rect({static_cast<double>(frame.left),
              static_cast<double>(frame.top),
              static_cast<double>(frame.right),
              static_cast<double>(frame.bottom)});
    side_pins(pen, part, sides.left, frame, above, true);
    side_pins(pen, part, sides.right, frame, above, false);
    end_pins(pen, part, sides.top, frame, true);
    end_pins(pen, part, sides.bottom, frame, false);
    return pen.upright().done();
}

}  // namespace etchback::drawing::detail
