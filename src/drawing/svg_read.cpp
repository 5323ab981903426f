#include <fmt/format.h>

#include <algorithm>
#include <boost/property_tree/ptree.hpp>
#include <charconv>
#include <cmath>
#include <map>

#include "base/disjoint_sets.h"
#include "base/text.h"
#include "drawing/detail/wires.h"
#include "drawing/detail/xml.h"
#include "drawing/svg.h"

namespace etchback::drawing {
namespace {

using boost::property_tree::ptree;
using Nets = std::vector<std::vector<std::string>>;

// What a reader of the page sees, in pixels.
struct Seen {
    struct Mark {
        std::string name;  // "R1.1"; of a sign its kind and text
        Point at;
    };
    std::vector<Mark> pins;
    std::vector<Mark> signs;
    std::vector<Segment> wires;
    std::vector<Point> dots;
};

// Ten times as much as a drawing of a hundred parts needs. Beyond it, comparing everything with
// everything would take too long.
constexpr std::size_t most_pieces = 10000;

class Collector {
public:
    void visit(const ptree& element, const std::string& tag, const std::string& part);

    Seen seen;
    base::Errors errors;

private:
    void complain(std::string what) {
        errors.push_back({{}, std::move(what), "give a drawing as Etchback writes it"});
    }
    void wire(const std::string& data);
    void sign(const ptree& element);
    std::optional<Point> point(const std::string& data, const std::string& of);
};

std::string attribute(const ptree& element, const char* name) {
    return element.get("<xmlattr>." + std::string(name), std::string());
}

// Takes a number off the front.
std::optional<double> take_number(std::string_view& text) {
    while (!text.empty() && (text.front() == ' ' || text.front() == ',')) {
        text.remove_prefix(1);
    }
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || !std::isfinite(value) || std::abs(value) > 1e7) {
        return std::nullopt;
    }
    text.remove_prefix(static_cast<std::size_t>(end - text.data()));
    return value;
}

// "M120 80", alone.
std::optional<Point> Collector::point(const std::string& data, const std::string& of) {
    std::string_view rest = data;
    if (!rest.empty() && rest.front() == 'M') {
        rest.remove_prefix(1);
        const std::optional<double> x = take_number(rest);
        const std::optional<double> y = x ? take_number(rest) : std::nullopt;
        if (y && rest.empty()) {
            return Point{*x, *y};
        }
    }
    complain(fmt::format("the place of {} is '{}', which is no point", of, data));
    return std::nullopt;
}

// M, H and V with absolute coordinates.
void Collector::wire(const std::string& data) {
    std::string_view rest = data;
    Point at;
    bool started = false;
    while (!rest.empty()) {
        const char letter = rest.front();
        rest.remove_prefix(1);
        std::optional<double> x = at.x, y = at.y;
        if (letter == 'M' || letter == 'H') {
            x = take_number(rest);
        }
        if (letter == 'M' || letter == 'V') {
            y = take_number(rest);
        }
        const bool known = letter == 'M' || (started && (letter == 'H' || letter == 'V'));
        if (!known || !x || !y) {
            complain(fmt::format("the wire '{}' has other steps than M, H and V", data));
            return;
        }
        const Point to{*x, *y};
        if (letter != 'M') {
            seen.wires.push_back({at, to});
        }
        at = to;
        started = true;
    }
}

void Collector::sign(const ptree& element) {
    std::string text;
    std::optional<Point> at;
    for (const auto& [tag, child] : element) {
        if (tag == "text") {
            text = child.data();
        } else if (attribute(child, "class") == "at") {
            at = point(attribute(child, "d"), "a sign");
        }
    }
    if (at) {
        seen.signs.push_back({attribute(element, "data-sign") + '\n' + text, *at});
    } else if (errors.empty()) {
        complain("a sign has no place");
    }
}

void Collector::visit(const ptree& element, const std::string& tag, const std::string& part) {
    if (!attribute(element, "transform").empty()) {
        complain(fmt::format("a <{}> is moved by a transform", tag));
    }
    const std::string type = attribute(element, "class");
    std::string inside = part;
    if (type == "part") {
        inside = attribute(element, "data-part");
        if (inside.empty()) {
            complain("a part has no data-part");
        }
    } else if (type == "wire") {
        wire(attribute(element, "d"));
    } else if (type == "dot") {
        const std::string centre = "M" + attribute(element, "cx") + " " + attribute(element, "cy");
        if (const std::optional<Point> at = point(centre, "a dot")) {
            seen.dots.push_back(*at);
        }
    } else if (type == "sign") {
        sign(element);
    } else if (type == "pin") {
        const std::string name = part + "." + attribute(element, "data-pin");
        if (const std::optional<Point> at = point(attribute(element, "d"), "pin " + name)) {
            seen.pins.push_back({name, *at});
        }
    }
    for (const auto& [child_tag, child] : element) {
        if (child_tag != "<xmlattr>") {
            visit(child, child_tag, inside);
        }
    }
}

// Nodes of the sets: wires first, then pins, then signs.
class Joiner {
public:
    explicit Joiner(const Seen& seen)
        : seen_(seen), sets_(seen.wires.size() + seen.pins.size() + seen.signs.size()) {}

    Nets nets() {
        join_wires();
        join_marks(seen_.pins, seen_.wires.size());
        join_marks(seen_.signs, seen_.wires.size() + seen_.pins.size());
        join_touching_marks();
        join_signs();
        std::map<int, std::vector<std::string>> by_set;
        for (std::size_t i = 0; i < seen_.pins.size(); ++i) {
            by_set[sets_.find(static_cast<int>(seen_.wires.size() + i))].push_back(
                seen_.pins[i].name);
        }
        Nets result;
        for (auto& [set, pins] : by_set) {
            std::sort(pins.begin(), pins.end());
            result.push_back(std::move(pins));
        }
        std::sort(result.begin(), result.end());
        return result;
    }

private:
    void join(std::size_t a, std::size_t b) {
        sets_.join(static_cast<int>(a), static_cast<int>(b));
    }

    std::vector<std::size_t> wires_at(Point point) const {
        std::vector<std::size_t> found;
        for (std::size_t i = 0; i < seen_.wires.size(); ++i) {
            if (detail::touches(seen_.wires[i], point)) {
                found.push_back(i);
            }
        }
        return found;
    }

    void join_all(const std::vector<std::size_t>& nodes) {
        for (std::size_t i = 1; i < nodes.size(); ++i) {
            join(nodes[0], nodes[i]);
        }
    }

    // Where four ways meet without a dot, the eye sees two wires that cross, however the lines
    // were drawn; anything less that touches is joined.
    void join_wires() {
        for (const Segment& wire : seen_.wires) {
            join_end(wire.a);
            join_end(wire.b);
        }
        for (const Point& dot : seen_.dots) {
            join_all(wires_at(dot));
        }
    }

    void join_end(Point end) {
        const std::vector<std::size_t> here = wires_at(end);
        detail::Arms arms;
        std::vector<std::size_t> flat, steep;
        for (const std::size_t i : here) {
            detail::add_arms(arms, seen_.wires[i], end);
            (detail::is_horizontal(seen_.wires[i]) ? flat : steep).push_back(i);
        }
        if (arms.count() < 4) {
            join_all(here);
        } else {
            join_all(flat);
            join_all(steep);
        }
    }

    void join_marks(const std::vector<Seen::Mark>& marks, std::size_t first_node) {
        for (std::size_t i = 0; i < marks.size(); ++i) {
            for (const std::size_t wire : wires_at(marks[i].at)) {
                join(wire, first_node + i);
            }
        }
    }

    // Two pins, or a pin and a sign, may meet without a wire.
    void join_touching_marks() {
        std::vector<Point> places;
        for (const auto* marks : {&seen_.pins, &seen_.signs}) {
            for (const Seen::Mark& mark : *marks) {
                places.push_back(mark.at);
            }
        }
        for (std::size_t i = 0; i < places.size(); ++i) {
            for (std::size_t j = 0; j < i; ++j) {
                if (detail::same(places[i], places[j])) {
                    join(seen_.wires.size() + i, seen_.wires.size() + j);
                }
            }
        }
    }

    void join_signs() {
        std::map<std::string, std::size_t> first;
        for (std::size_t i = 0; i < seen_.signs.size(); ++i) {
            const std::size_t node = seen_.wires.size() + seen_.pins.size() + i;
            join(node, first.emplace(seen_.signs[i].name, node).first->second);
        }
    }

    const Seen& seen_;
    base::DisjointSets sets_;
};

}  // namespace

base::Result<Nets> nets_from_svg(std::string_view svg) {
    const base::Result<ptree> tree = detail::parse_xml(svg);
    if (!tree) {
        return tree.errors();
    }
    const auto root = tree->get_child_optional("svg");
    if (!root || attribute(*root, "class") != "circuit") {
        return base::Error{
            {}, "this is no drawing of a circuit", "give an SVG that Etchback wrote"};
    }
    Collector collector;
    collector.visit(*root, "svg", {});
    if (!collector.errors.empty()) {
        return collector.errors;
    }
    const Seen& seen = collector.seen;
    if (std::max({seen.wires.size(), seen.dots.size(), seen.pins.size() + seen.signs.size()}) >
        most_pieces) {
        return base::Error{
            {},
            fmt::format("the drawing has more than {} wires, dots or pins", most_pieces),
            "give a drawing of one circuit"};
    }
    return Joiner(seen).nets();
}

Nets nets_of(const circuit::Circuit& circuit) {
    Nets result;
    const auto named = [&](const circuit::Part& part, const circuit::Pin& pin) {
        return part.name + "." + pin.name;
    };
    for (const circuit::Net& net : circuit.nets) {
        std::vector<std::string> pins;
        for (const circuit::PinRef& ref : net.pins) {
            pins.push_back(named(circuit[ref.part], circuit[ref]));
        }
        std::sort(pins.begin(), pins.end());
        if (!pins.empty()) {
            result.push_back(std::move(pins));
        }
    }
    for (const circuit::Part& part : circuit.parts) {
        for (std::size_t i = 0; i < part.pins.size(); ++i) {
            if (!part.pins[i].net.known() && is_drawn(part, i)) {
                result.push_back({named(part, part.pins[i])});
            }
        }
    }
    std::sort(result.begin(), result.end());
    return result;
}

}  // namespace etchback::drawing
