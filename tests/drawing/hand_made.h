// Small drawings made by hand, for tests of what is read from and said about drawings.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "drawing/drawing.h"
#include "drawing/sample_parts.h"

namespace etchback::drawing::samples {

// A circuit of two-pin resistors; nets by name for both pins of each.
inline circuit::Circuit resistors(const std::vector<std::vector<std::string>>& nets_of_parts) {
    circuit::Circuit circuit;
    std::map<std::string, std::vector<circuit::PinRef>> pins;
    for (std::size_t i = 0; i < nets_of_parts.size(); ++i) {
        circuit.parts.push_back(part("R" + std::to_string(i + 1), "resistor", {"1", "2"}));
        for (int p = 0; p < 2; ++p) {
            const std::string& net = nets_of_parts[i][static_cast<std::size_t>(p)];
            if (!net.empty()) {
                pins[net].push_back({{static_cast<int>(i)}, p});
            }
        }
    }
    for (const auto& [name, refs] : pins) {
        const circuit::NetId id{static_cast<int>(circuit.nets.size())};
        circuit::Net net;
        net.name = name;
        net.pins = refs;
        circuit.nets.push_back(net);
        for (const circuit::PinRef& ref : refs) {
            circuit.parts[static_cast<std::size_t>(ref.part.index)]
                .pins[static_cast<std::size_t>(ref.pin)]
                .net = id;
        }
    }
    return circuit;
}

// The centre of a horizontal resistor; its pins are 3 steps to the left and right.
inline PlacedPart placed(const circuit::Circuit& circuit,
                         int index,
                         Point at,
                         int quarter_turns = 0) {
    const Orientation orientation{quarter_turns, false};
    const circuit::PartId id{index};
    return {id, at, orientation, oriented(symbol_of(circuit[id], Standard::iec), orientation)};
}

inline NetSign sign(circuit::NetId net,
                    Point at,
                    Direction facing,
                    const std::string& text,
                    NetSign::Kind kind = NetSign::Kind::flag) {
    const Box box = symbol_of_sign(kind, facing, text).box;
    return {net,
            kind,
            at,
            facing,
            {box.left + at.x, box.top + at.y, box.right + at.x, box.bottom + at.y},
            text};
}

inline Label label(Label::Of of, int index, const std::string& text, Point at) {
    Label result{of, index, text, at, Word::Anchor::middle, 0.9, {}};
    result.box = box_of(result);
    return result;
}

// Two resistors side by side, their inner pins wired, their outer pins on net signs:
//
//     <A]--[R1]--+--[R2]--[B>
//
// R3 hangs from the junction. Nets by index: 0 A, 1 B, 2 C, 3 M.
struct Scene {
    circuit::Circuit circuit;
    Drawing drawing;
};
inline Scene scene() {
    Scene s;
    s.circuit = resistors({{"A", "M"}, {"M", "B"}, {"M", "C"}});
    Drawing& d = s.drawing;
    d.parts = {placed(s.circuit, 0, {10, 10}),
               placed(s.circuit, 1, {20, 10}),
               placed(s.circuit, 2, {15, 16}, 1)};
    d.wires = {{{3}, {{{13, 10}, {17, 10}}, {{15, 10}, {15, 13}}}, {{15, 10}}}};
    d.signs = {sign({0}, {7, 10}, Direction::left, "A"),
               sign({1}, {23, 10}, Direction::right, "B"),
               sign({2}, {15, 19}, Direction::down, "C")};
    d.labels = {label(Label::Of::part_name, 0, "R1", {10, 9}),
                label(Label::Of::part_value, 0, "4k7", {10, 12}),
                label(Label::Of::part_name, 1, "R2", {20, 9}),
                label(Label::Of::part_name, 2, "R3", {17, 16}),
                label(Label::Of::net_name, 3, "M", {15, 9.5})};
    d.width = 30;
    d.height = 25;
    return s;
}

}  // namespace etchback::drawing::samples
