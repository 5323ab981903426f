#include "drawing/figures.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "drawing/detail/overlaps.h"
#include "drawing/detail/wire_flow.h"
#include "drawing/detail/wires.h"

namespace etchback::drawing {
namespace {

int crossings_of(const std::vector<detail::NetWire>& wires) {
    int count = 0;
    Point at;
    for (std::size_t i = 0; i < wires.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            for (const Segment& a : wires[i].segments) {
                count += static_cast<int>(std::count_if(
                    wires[j].segments.begin(), wires[j].segments.end(), [&](const Segment& b) {
                        return detail::cross_at(a, b, at);
                    }));
            }
        }
    }
    return count;
}

// Corners: places where exactly two ways of a net meet at a right angle.
int bends_of(const std::vector<Segment>& segments) {
    int twice = 0;  // each corner is the end of two segments
    for (const Segment& segment : segments) {
        for (const Point& end : {segment.a, segment.b}) {
            const detail::Arms arms = detail::arms_at(segments, end);
            twice += arms.count() == 2 && !arms.straight() ? 1 : 0;
        }
    }
    return twice / 2;
}

// Short pieces between two corners that turn opposite ways.
int steps_of(const std::vector<Segment>& segments) {
    constexpr double shortest = 3.0;  // from this length on it may be meant
    const auto corner_way = [&](const Segment& s,
                                Point end) {  // -1, 1: where it goes on; 0: no corner
        const detail::Arms arms = detail::arms_at(segments, end);
        if (arms.count() != 2 || arms.straight()) {
            return 0;
        }
        return detail::is_horizontal(s) ? (arms.up ? -1 : 1) : (arms.left ? -1 : 1);
    };
    int count = 0;
    for (const Segment& s : segments) {
        const double length = (s.b.x - s.a.x) + (s.b.y - s.a.y);
        count += length < shortest && corner_way(s, s.a) * corner_way(s, s.b) < 0 ? 1 : 0;
    }
    return count;
}

double length_of(const std::vector<Segment>& segments) {
    double length = 0.0;
    for (const Segment& s : segments) {
        length += (s.b.x - s.a.x) + (s.b.y - s.a.y);
    }
    return length;
}

struct PinAt {
    int part;
    Point at;
    circuit::NetId net;
};

std::vector<PinAt> pins_of(const Drawing& drawing, const circuit::Circuit& circuit) {
    std::vector<PinAt> pins;
    for (const PlacedPart& placed : drawing.parts) {
        for (const SymbolPin& pin : placed.symbol.pins) {
            const circuit::NetId net = circuit[circuit::PinRef{placed.part, pin.pin}].net;
            pins.push_back(
                {placed.part.index, {placed.at.x + pin.at.x, placed.at.y + pin.at.y}, net});
        }
    }
    return pins;
}

// Both pins at one place, or on one straight piece of wire.
bool in_line(const PinAt& a, const PinAt& b, const std::vector<detail::NetWire>& wires) {
    if (a.part == b.part || a.net != b.net || !a.net.known()) {
        return false;
    }
    if (detail::same(a.at, b.at)) {
        return true;
    }
    return std::any_of(wires.begin(), wires.end(), [&](const detail::NetWire& wire) {
        return wire.net == a.net &&
               std::any_of(wire.segments.begin(), wire.segments.end(), [&](const Segment& s) {
                   return detail::touches(s, a.at) && detail::touches(s, b.at);
               });
    });
}

double straight_share_of(const Drawing& drawing,
                         const circuit::Circuit& circuit,
                         const std::vector<detail::NetWire>& wires) {
    const std::vector<PinAt> pins = pins_of(drawing, circuit);
    std::vector<bool> straight(circuit.parts.size(), false);
    for (const PinAt& a : pins) {
        if (!straight[static_cast<std::size_t>(a.part)]) {
            straight[static_cast<std::size_t>(a.part)] = std::any_of(
                pins.begin(), pins.end(), [&](const PinAt& b) { return in_line(a, b, wires); });
        }
    }
    return drawing.parts.empty()
               ? 1.0
               : static_cast<double>(std::count(straight.begin(), straight.end(), true)) /
                     static_cast<double>(drawing.parts.size());
}

double area_of(const Box& box) {
    return (box.right - box.left) * (box.bottom - box.top);
}

double filled_of(const Drawing& drawing) {
    double filled = 0.0;
    for (const PlacedPart& placed : drawing.parts) {
        filled += area_of(placed.symbol.box);
    }
    for (const Label& label : drawing.labels) {
        filled += area_of(box_of(label));
    }
    for (const NetSign& sign : drawing.signs) {
        filled += area_of(symbol_of_sign(sign.kind, sign.facing, sign.text).box);
    }
    return filled;
}

}  // namespace

DrawingFigures figures(const Drawing& drawing, const circuit::Circuit& circuit) {
    const std::vector<detail::NetWire> wires = detail::wires_by_net(drawing);
    DrawingFigures result;
    result.parts = static_cast<int>(circuit.parts.size());
    result.nets = static_cast<int>(circuit.nets.size());
    result.crossings = crossings_of(wires);
    for (const detail::NetWire& wire : wires) {
        result.bends += bends_of(wire.segments);
        result.steps += steps_of(wire.segments);
        result.wire_length += length_of(wire.segments);
    }
    result.overlap_list = detail::overlaps(drawing, circuit, wires);
    result.overlaps = static_cast<int>(result.overlap_list.size());
    result.width = drawing.width;
    result.height = drawing.height;
    result.area = drawing.width * drawing.height;
    const detail::FlowLength flow = detail::flow_length(drawing, circuit, wires);
    if (flow.with + flow.against > 0.0) {
        result.flow_share = flow.with / (flow.with + flow.against);
    }
    result.straight_share = straight_share_of(drawing, circuit, wires);
    result.filled_share = result.area > 0.0 ? filled_of(drawing) / result.area : 0.0;
    result.signs = static_cast<int>(drawing.signs.size());
    return result;
}

std::string to_json(const DrawingFigures& figures) {
    nlohmann::ordered_json json;
    json["parts"] = figures.parts;
    json["nets"] = figures.nets;
    json["crossings"] = figures.crossings;
    json["bends"] = figures.bends;
    json["steps"] = figures.steps;
    json["wire_length"] = figures.wire_length;
    json["overlaps"] = figures.overlaps;
    json["width"] = figures.width;
    json["height"] = figures.height;
    json["area"] = figures.area;
    json["flow_share"] = figures.flow_share;
    json["straight_share"] = figures.straight_share;
    json["filled_share"] = figures.filled_share;
    json["signs"] = figures.signs;
    json["overlap_list"] = figures.overlap_list;
    return json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace etchback::drawing
