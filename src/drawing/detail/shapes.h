// The shapes of single kinds, by group. Each returns nothing where the part's pins do not fit it;
// the part is then drawn as a box.
//
// Where a comment does not say otherwise, a shape is the same in both standards.
#pragma once

#include <initializer_list>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "drawing/detail/pen.h"
#include "drawing/symbol.h"

namespace etchback::drawing::detail {

struct Request {
    std::string_view id;
    const circuit::Part& part;
    Standard standard = Standard::iec;
    std::span<const double> pin_height;

    bool ansi() const { return standard == Standard::ansi; }
};
using Shape = std::optional<Symbol> (*)(const Request&);
struct ShapeRow {
    std::string_view id;
    Shape shape;
};

std::span<const ShapeRow> passive_shapes();     // resistor to spark gap
std::span<const ShapeRow> diode_shapes();       // diode to bridge rectifier
std::span<const ShapeRow> transistor_shapes();  // BJT to triac
std::span<const ShapeRow> winding_shapes();     // transformer, common-mode choke
std::span<const ShapeRow> chip_shapes();        // optocoupler, shunt regulator, op-amp
std::span<const ShapeRow> terminal_shapes();    // mains, connector, battery, load ...
std::span<const ShapeRow> contact_shapes();     // switch, jumper, relay

// Any part at all.
Symbol box_shape(const Request& request);

// Index of the pin with one of these names (lower case) or, failing that, with one of them as an
// alias in its kind; -1 if there is none. Earlier names win.
int find_pin(const circuit::Part& part, std::initializer_list<std::string_view> names);

// The indices as given, the higher pins first; equal heights keep their order.
std::vector<int> by_height(std::vector<int> pins, std::span<const double> pin_height);

// "1", "2" of a part with two pins, the positive one or the anode first; nothing if it has not
// exactly two.
struct Ends {
    int first = 0, second = 1;
};
std::optional<Ends> ends_of(const circuit::Part& part);

// A part along the x axis: pins at both reaches, leads up to `body`, and between them what `draw`
// adds to the pen.
constexpr double two_pin_reach = 3.0;
template <typename Draw>
std::optional<Symbol> two_pin(const Request& request, double body, Draw draw) {
    const std::optional<Ends> ends = ends_of(request.part);
    if (!ends) {
        return std::nullopt;
    }
    Pen pen{std::string(request.id)};
    pen.pin(ends->first, {-two_pin_reach, 0}, Direction::left);
    pen.pin(ends->second, {two_pin_reach, 0}, Direction::right);
    pen.line({{-two_pin_reach, 0}, {-body, 0}}).line({{body, 0}, {two_pin_reach, 0}});
    draw(pen);
    return pen.done();
}

}  // namespace etchback::drawing::detail
