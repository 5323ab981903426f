#include "drawing/detail/taken.h"

#include <algorithm>

#include "drawing/detail/label_room.h"

namespace etchback::drawing::detail {

namespace {

constexpr double symbol_air = 0.15;
constexpr double text_air = 0.2;
constexpr double wire_air = 0.12;
constexpr double dot_air = 0.4;
constexpr double isolation_air = 0.3;

}  // namespace

std::vector<Taken> taken_by(const Drawing& drawing) {
    std::vector<Taken> taken;
    for (const PlacedPart& part : drawing.parts) {
        taken.push_back(
            {grown(moved(part.symbol.box, part.at), symbol_air), part.part.index, false});
    }
    for (const NetSign& sign : drawing.signs) {
        taken.push_back({grown(sign.box, symbol_air), -1, false});
    }
    for (const Label& label : drawing.labels) {
        taken.push_back({grown(label.box, text_air), is_of_part(label) ? label.index : -1, true});
    }
    for (const Wire& wire : drawing.wires) {
        for (const Segment& s : wire.segments) {
            taken.push_back({grown(box_of(s), wire_air), -1, false});
        }
        for (const Point& dot : wire.dots) {
            taken.push_back({grown({dot.x, dot.y, dot.x, dot.y}, dot_air), -1, false});
        }
    }
    for (const IsolationLine& line : drawing.isolation) {
        for (const Point& p : line.points) {
            taken.push_back(
                {{p.x - isolation_air, 0.0, p.x + isolation_air, drawing.height}, -1, false});
        }
        taken.push_back({grown(label_of(line).box, text_air), -1, true});
    }
    return taken;
}

bool is_free(const Box& box, const std::vector<Taken>& taken) {
    return std::none_of(
        taken.begin(), taken.end(), [&](const Taken& t) { return t.box.overlaps(box); });
}

bool is_free_for(int part, const Box& box, const std::vector<Taken>& taken) {
    return std::none_of(taken.begin(), taken.end(), [&](const Taken& t) {
        if (t.part != part) {
            return t.box.overlaps(box);
        }
        return !t.text && grown(t.box, -symbol_air).overlaps(box);
    });
}

}  // namespace etchback::drawing::detail
