#include "drawing/figures.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "drawing/detail/overlaps.h"
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

double length_of(const std::vector<Segment>& segments) {
    double length = 0.0;
    for (const Segment& s : segments) {
        length += (s.b.x - s.a.x) + (s.b.y - s.a.y);
    }
    return length;
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
        result.wire_length += length_of(wire.segments);
    }
    result.overlap_list = detail::overlaps(drawing, circuit, wires);
    result.overlaps = static_cast<int>(result.overlap_list.size());
    result.width = drawing.width;
    result.height = drawing.height;
    return result;
}

std::string to_json(const DrawingFigures& figures) {
    nlohmann::ordered_json json;
    json["parts"] = figures.parts;
    json["nets"] = figures.nets;
    json["crossings"] = figures.crossings;
    json["bends"] = figures.bends;
    json["wire_length"] = figures.wire_length;
    json["overlaps"] = figures.overlaps;
    json["width"] = figures.width;
    json["height"] = figures.height;
    json["overlap_list"] = figures.overlap_list;
    return json.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace etchback::drawing
