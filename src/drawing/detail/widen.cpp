#include "drawing/detail/widen.h"

#include <algorithm>
#include <cmath>

#include "base/disjoint_sets.h"
#include "drawing/detail/label_room.h"
#include "drawing/detail/taken.h"
#include "drawing/detail/wires.h"

namespace etchback::drawing::detail {

namespace {

constexpr double nearly = 1e-6;
constexpr double part_air = 1.0;
constexpr double wire_air = 1.0;
constexpr double sign_air = 0.6;
constexpr double text_air = 0.45;
constexpr double glance = 0.2;  // how far beside each other things may pass

// Something that keeps its place among others: its extent along and across the moving.
struct Thing {
    double low, high;  // along
    double from, to;   // across
    double air;
    int group;
};

// The difference that `to` must keep from `from`: shift(to) >= shift(from) + by.
struct Difference {
    int from, to;
    double by;
};

struct CrossWire {  // a wire across the moving
    int net;
    Segment segment;
    int group;
};

class Widening {
public:
    Widening(const Drawing& drawing, const PartText& text, Axis axis)
        : drawing_(drawing), text_(text), axis_(axis) {
        for (Wire& wire : drawing_.wires) {
            wire.segments = merged(wire.segments);
        }
        std::erase_if(drawing_.labels, [&](const Label& label) {
            return is_of_part(label) && label.index == text_.part;
        });
        group();
        collect();
    }

    std::optional<Widened> run() {
        if (!differences() || !solve() || !apply()) {
            return std::nullopt;
        }
        Widened result{std::move(drawing_), 0.0};
        for (const int part : part_groups_) {
            result.moved += shift(part);
        }
        return result;
    }

private:
    double along(Point p) const { return axis_ == Axis::x ? p.x : p.y; }
    double across(Point p) const { return axis_ == Axis::x ? p.y : p.x; }
    bool lies_across(const Segment& s) const { return std::abs(along(s.a) - along(s.b)) < nearly; }
    bool contains(const Segment& s, Point p) const {
        return std::abs(along(s.a) - along(p)) < nearly &&
               across(p) > std::min(across(s.a), across(s.b)) - nearly &&
               across(p) < std::max(across(s.a), across(s.b)) + nearly;
    }
    Thing thing(const Box& b, double air, int group) const {
        return axis_ == Axis::x ? Thing{b.left, b.right, b.top, b.bottom, air, group}
                                : Thing{b.top, b.bottom, b.left, b.right, air, group};
    }
    static bool same(Point a, Point b) {
        return std::abs(a.x - b.x) < nearly && std::abs(a.y - b.y) < nearly;
    }
    static Point pin_at(const PlacedPart& part, const SymbolPin& pin) {
        return {part.at.x + pin.at.x, part.at.y + pin.at.y};
    }

    void group();
    void join_touching_pins();
    void collect();
    bool differences();
    bool text_differences(const Box& box);
    bool solve();
    bool apply();
    std::optional<double> shift_at(int net, Point p);
    double shift(int group) { return shifts_[static_cast<std::size_t>(groups_.find(group))]; }
    void push(Point& p, double by) const { (axis_ == Axis::x ? p.x : p.y) += by; }
    void push(Box& b, double by) const {
        b = moved(b, axis_ == Axis::x ? Point{by, 0.0} : Point{0.0, by});
    }

    Drawing drawing_;
    PartText text_;
    Axis axis_;
    base::DisjointSets groups_;
    std::vector<int> part_groups_, sign_groups_, line_groups_;  // by index
    std::vector<CrossWire> wires_;
    std::vector<Thing> things_;
    std::vector<Difference> differences_;
    std::vector<double> shifts_;
};

void Widening::group() {
    for (std::size_t i = 0; i < drawing_.parts.size(); ++i) {
        part_groups_.push_back(groups_.add());
    }
    for (const Wire& wire : drawing_.wires) {
        for (const Segment& s : wire.segments) {
            if (lies_across(s)) {
                wires_.push_back({wire.net.index, s, groups_.add()});
            }
        }
    }
    for (const NetSign& sign : drawing_.signs) {
        sign_groups_.push_back(groups_.add());
        for (const CrossWire& wire : wires_) {
            if (wire.net == sign.net.index && contains(wire.segment, sign.at)) {
                groups_.join(wire.group, sign_groups_.back());
            }
        }
    }
    for (std::size_t i = 0; i < drawing_.parts.size(); ++i) {
        const PlacedPart& part = drawing_.parts[i];
        for (const SymbolPin& pin : part.symbol.pins) {
            const Point at = pin_at(part, pin);
            for (const CrossWire& wire : wires_) {
                if (contains(wire.segment, at)) {
                    groups_.join(wire.group, part_groups_[i]);
                }
            }
            for (std::size_t s = 0; s < drawing_.signs.size(); ++s) {
                if (same(drawing_.signs[s].at, at)) {
                    groups_.join(part_groups_[i], sign_groups_[s]);
                }
            }
        }
    }
    join_touching_pins();
    for (const IsolationLine& line : drawing_.isolation) {
        line_groups_.push_back(groups_.add());
        for (std::size_t i = 0; axis_ == Axis::x && i < drawing_.parts.size(); ++i) {
            const Box box = moved(drawing_.parts[i].symbol.box, drawing_.parts[i].at);
            const double x = line.points.empty() ? -1e9 : line.points.front().x;
            if (box.left < x && x < box.right) {
                groups_.join(line_groups_.back(), part_groups_[i]);
            }
        }
    }
}

void Widening::join_touching_pins() {
    for (std::size_t i = 0; i < drawing_.parts.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            for (const SymbolPin& a : drawing_.parts[i].symbol.pins) {
                for (const SymbolPin& b : drawing_.parts[j].symbol.pins) {
                    if (same(pin_at(drawing_.parts[i], a), pin_at(drawing_.parts[j], b))) {
                        groups_.join(part_groups_[i], part_groups_[j]);
                    }
                }
            }
        }
    }
}

void Widening::collect() {
    for (std::size_t i = 0; i < drawing_.parts.size(); ++i) {
        const PlacedPart& part = drawing_.parts[i];
        things_.push_back(thing(moved(part.symbol.box, part.at), part_air, part_groups_[i]));
    }
    for (const CrossWire& wire : wires_) {
        things_.push_back(thing(box_of(wire.segment), wire_air, wire.group));
    }
    for (std::size_t i = 0; i < drawing_.signs.size(); ++i) {
        things_.push_back(thing(drawing_.signs[i].box, sign_air, sign_groups_[i]));
    }
    for (const Label& label : drawing_.labels) {
        if (is_of_part(label)) {
            things_.push_back(
                thing(label.box, text_air, part_groups_[static_cast<std::size_t>(label.index)]));
        }
    }
    for (std::size_t i = 0; axis_ == Axis::x && i < drawing_.isolation.size(); ++i) {
        const double x = drawing_.isolation[i].points.front().x;
        things_.push_back(thing({x, 0.0, x, drawing_.height}, part_air, line_groups_[i]));
    }
}

bool Widening::differences() {
    for (std::size_t i = 0; i < things_.size(); ++i) {
        for (std::size_t j = 0; j < things_.size(); ++j) {
            const Thing& a = things_[i];
            const Thing& b = things_[j];
            const int from = groups_.find(a.group);
            const int to = groups_.find(b.group);
            const bool see_each_other = a.from < b.to + glance && b.from < a.to + glance;
            if (i == j || from == to || !see_each_other || a.high > b.low + nearly) {
                continue;
            }
            if (std::abs(a.low - b.low) < nearly && std::abs(a.high - b.high) < nearly && j < i) {
                continue;  // without extent, one on the other: in one order only
            }
            const double spare = b.low - a.high - std::min(a.air, b.air);
            differences_.push_back({from, to, -std::floor(std::max(0.0, spare) + nearly)});
        }
    }
    return std::all_of(text_.boxes.begin(), text_.boxes.end(), [&](const Box& box) {
        return text_differences(box);
    });
}

// What lies where the text is to be moves beyond it; what begins before it cannot.
bool Widening::text_differences(const Box& box) {
    const int own = groups_.find(part_groups_[static_cast<std::size_t>(text_.part)]);
    const Thing text = thing(box, text_air, own);
    const PlacedPart& part = drawing_.parts[static_cast<std::size_t>(text_.part)];
    const Thing body = thing(moved(part.symbol.box, part.at), part_air, own);
    const double middle = (body.low + body.high) / 2.0;
    for (const Thing& other : things_) {
        const int group = groups_.find(other.group);
        const double air = std::min(text.air, other.air);
        const bool sees = text.from < other.to + glance && other.from < text.to + glance;
        if (!sees || (&other == &things_[static_cast<std::size_t>(text_.part)])) {
            continue;
        }
        const bool after = other.low + other.high > 2.0 * middle;
        const double spare = after ? other.low - text.high : text.low - other.high;
        if (spare >= air) {
            const Difference keep{
                after ? own : group, after ? group : own, -std::floor(spare - air + nearly)};
            if (keep.from != keep.to) {
                differences_.push_back(keep);
            }
            continue;
        }
        const bool overlaps = text.from < other.to && other.from < text.to;
        if (!overlaps && spare < air) {
            // Above or below it: near, but not in its way.
            continue;
        }
        if (group == own || (after ? other.low < middle : other.high > middle)) {
            return false;
        }
        differences_.push_back(
            {after ? own : group, after ? group : own, std::ceil(air - spare - nearly)});
    }
    return true;
}

bool Widening::solve() {
    shifts_.assign(groups_.size(), 0.0);
    for (std::size_t round = 0; round <= groups_.size(); ++round) {
        bool changed = false;
        for (const Difference& d : differences_) {
            double& to = shifts_[static_cast<std::size_t>(d.to)];
            const double least = shifts_[static_cast<std::size_t>(d.from)] + d.by;
            if (least > to + nearly) {
                to = least;
                changed = true;
            }
        }
        if (!changed) {
            return true;
        }
    }
    return false;
}

// By how much the end of a wire along the moving goes.
std::optional<double> Widening::shift_at(int net, Point p) {
    for (const CrossWire& wire : wires_) {
        if (wire.net == net && contains(wire.segment, p)) {
            return shift(wire.group);
        }
    }
    for (std::size_t i = 0; i < drawing_.signs.size(); ++i) {
        if (drawing_.signs[i].net.index == net && same(drawing_.signs[i].at, p)) {
            return shift(sign_groups_[i]);
        }
    }
    for (std::size_t i = 0; i < drawing_.parts.size(); ++i) {
        for (const SymbolPin& pin : drawing_.parts[i].symbol.pins) {
            if (same(pin_at(drawing_.parts[i], pin), p)) {
                return shift(part_groups_[i]);
            }
        }
    }
    return std::nullopt;
}

bool Widening::apply() {
    std::vector<Wire> wires = drawing_.wires;
    for (Wire& wire : wires) {
        for (Segment& s : wire.segments) {
            for (Point* p : {&s.a, &s.b}) {
                const auto by = shift_at(wire.net.index, *p);
                if (!by) {
                    return false;
                }
                push(*p, *by);
            }
        }
        for (Point& dot : wire.dots) {
            push(dot, shift_at(wire.net.index, dot).value_or(0.0));
        }
    }
    double most = 0.0;
    for (const int part : part_groups_) {
        most = std::max(most, shift(part));
    }
    for (std::size_t i = 0; i < drawing_.signs.size(); ++i) {
        push(drawing_.signs[i].at, shift(sign_groups_[i]));
        push(drawing_.signs[i].box, shift(sign_groups_[i]));
        most = std::max(most, shift(sign_groups_[i]));
    }
    for (Label& label : drawing_.labels) {
        double by = 0.0;
        if (is_of_part(label)) {
            by = shift(part_groups_[static_cast<std::size_t>(label.index)]);
        } else if (axis_ == Axis::x && !drawing_.isolation.empty()) {
            const auto line =
                std::min_element(drawing_.isolation.begin(),
                                 drawing_.isolation.end(),
                                 [&](const IsolationLine& a, const IsolationLine& b) {
                                     return std::abs(a.points.front().x - label.at.x) <
                                            std::abs(b.points.front().x - label.at.x);
                                 });
            by = shift(line_groups_[static_cast<std::size_t>(line - drawing_.isolation.begin())]);
        }
        push(label.at, by);
        push(label.box, by);
    }
    for (std::size_t i = 0; i < drawing_.isolation.size(); ++i) {
        std::vector<Point>& points = drawing_.isolation[i].points;
        for (Point& p : points) {
            const bool moves = axis_ == Axis::x || p.y > drawing_.height / 2.0;
            push(p, moves ? (axis_ == Axis::x ? shift(line_groups_[i]) : most) : 0.0);
        }
    }
    for (std::size_t i = 0; i < drawing_.parts.size(); ++i) {
        push(drawing_.parts[i].at, shift(part_groups_[i]));
    }
    drawing_.wires = std::move(wires);
    (axis_ == Axis::x ? drawing_.width : drawing_.height) += most;
    return true;
}

}  // namespace

std::optional<Widened> widened(const Drawing& drawing, const PartText& text, Axis axis) {
    return Widening(drawing, text, axis).run();
}

}  // namespace etchback::drawing::detail
