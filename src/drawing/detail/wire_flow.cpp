#include "drawing/detail/wire_flow.h"

#include <algorithm>
#include <cmath>
#include <queue>
#include <tuple>

#include "base/text.h"
#include "drawing/detail/wires.h"

namespace etchback::drawing::detail {
namespace {

using circuit::Circuit;
using circuit::NetId;

bool is_source(const circuit::Part& part) {
    return part.kind.id == "mains" || part.kind.id == "dc_supply" || part.kind.id == "battery";
}

bool is_connector(const circuit::Part& part) {
    return part.kind.id == "connector";
}

bool is_input(const circuit::Part& part) {
    return is_connector(part) &&
           base::lowered(part.said.title.value).find("input") != std::string::npos;
}

std::vector<int> sources_of(const Circuit& circuit) {
    std::vector<int> found;
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        if (is_source(circuit.parts[i]) || is_input(circuit.parts[i])) {
            found.push_back(static_cast<int>(i));
        }
    }
    for (std::size_t i = 0; found.empty() && i < circuit.parts.size(); ++i) {
        if (is_connector(circuit.parts[i])) {
            found.push_back(static_cast<int>(i));
        }
    }
    return found;
}

// A net's wires as points and the straight pieces between neighbours.
struct Web {
    std::vector<Point> points;
    std::vector<std::vector<int>> next;

    int index_of(Point p) {
        for (std::size_t i = 0; i < points.size(); ++i) {
            if (same(points[i], p)) {
                return static_cast<int>(i);
            }
        }
        points.push_back(p);
        next.emplace_back();
        return static_cast<int>(points.size()) - 1;
    }
};

Web web_of(const std::vector<Segment>& segments, const std::vector<Point>& pins) {
    Web web;
    for (const Segment& s : segments) {
        web.index_of(s.a);
        web.index_of(s.b);
    }
    for (const Segment& s : segments) {
        for (const Segment& t : segments) {
            Point at;
            if (cross_at(s, t, at)) {  // a four-way join of one net
                web.index_of(at);
            }
        }
    }
    for (const Point& pin : pins) {
        web.index_of(pin);
    }
    for (const Segment& s : segments) {
        std::vector<int> on;
        for (std::size_t i = 0; i < web.points.size(); ++i) {
            if (touches(s, web.points[i])) {
                on.push_back(static_cast<int>(i));
            }
        }
        const auto along = [&](int i) {
            const Point& p = web.points[static_cast<std::size_t>(i)];
            return p.x + p.y;
        };
        std::sort(on.begin(), on.end(), [&](int a, int b) { return along(a) < along(b); });
        for (std::size_t i = 1; i < on.size(); ++i) {
            web.next[static_cast<std::size_t>(on[i - 1])].push_back(on[i]);
            web.next[static_cast<std::size_t>(on[i])].push_back(on[i - 1]);
        }
    }
    return web;
}

struct NetPin {
    int steps = 0;
    Point at;
};

std::vector<NetPin> pins_of(const Drawing& drawing,
                            const Circuit& circuit,
                            NetId net,
                            const std::vector<int>& steps) {
    std::vector<NetPin> pins;
    for (const PlacedPart& placed : drawing.parts) {
        const int far = steps[static_cast<std::size_t>(placed.part.index)];
        for (const SymbolPin& pin : placed.symbol.pins) {
            if (circuit[circuit::PinRef{placed.part, pin.pin}].net == net) {
                pins.push_back({far < 0 ? static_cast<int>(circuit.parts.size()) : far,
                                {placed.at.x + pin.at.x, placed.at.y + pin.at.y}});
            }
        }
    }
    std::sort(pins.begin(), pins.end(), [](const NetPin& a, const NetPin& b) {
        return std::tie(a.steps, a.at.x, a.at.y) < std::tie(b.steps, b.at.x, b.at.y);
    });
    return pins;
}

// Walks each piece from its first pin on, nearest points first, so that every wire is walked once
// (in a loop, until the ends meet).
void walk(const Web& web, int start, std::vector<bool>& seen, FlowLength& flow) {
    using Step = std::tuple<double, int, int>;  // way so far, point, point before
    std::priority_queue<Step, std::vector<Step>, std::greater<>> open;
    open.push({0.0, start, -1});
    while (!open.empty()) {
        const auto [way, at, before] = open.top();
        open.pop();
        if (seen[static_cast<std::size_t>(at)]) {
            continue;
        }
        seen[static_cast<std::size_t>(at)] = true;
        const Point here = web.points[static_cast<std::size_t>(at)];
        if (before >= 0) {
            const double dx = here.x - web.points[static_cast<std::size_t>(before)].x;
            (dx > 0.0 ? flow.with : flow.against) += std::abs(dx);
        }
        for (const int to : web.next[static_cast<std::size_t>(at)]) {
            const Point there = web.points[static_cast<std::size_t>(to)];
            open.push({way + std::abs(there.x - here.x) + std::abs(there.y - here.y), to, at});
        }
    }
}

}  // namespace

std::vector<bool> carries_back(const Circuit& circuit) {
    std::vector<bool> back;
    bool declared = false;
    for (const circuit::Net& net : circuit.nets) {
        declared = declared || net.role == "return";
        back.push_back(net.role == "return" || net.role == "neutral" || net.role == "earth");
    }
    for (std::size_t i = 0; !declared && i < circuit.nets.size(); ++i) {
        for (const circuit::PinRef& ref : circuit.nets[i].pins) {
            back[i] = back[i] || (is_source(circuit[ref.part]) &&
                                  circuit[ref].role == parts::PinRole::negative);
        }
    }
    return back;
}

std::vector<int> steps_from_source(const Circuit& circuit) {
    const std::vector<bool> back = carries_back(circuit);
    std::vector<int> steps(circuit.parts.size(), -1);
    std::queue<int> open;
    for (const int source : sources_of(circuit)) {
        steps[static_cast<std::size_t>(source)] = 0;
        open.push(source);
    }
    while (!open.empty()) {
        const int at = open.front();
        open.pop();
        for (const circuit::Pin& pin : circuit.parts[static_cast<std::size_t>(at)].pins) {
            if (!pin.net.known() || back[static_cast<std::size_t>(pin.net.index)]) {
                continue;
            }
            for (const circuit::PinRef& ref : circuit[pin.net].pins) {
                int& far = steps[static_cast<std::size_t>(ref.part.index)];
                if (far < 0) {
                    far = steps[static_cast<std::size_t>(at)] + 1;
                    open.push(ref.part.index);
                }
            }
        }
    }
    return steps;
}

FlowLength flow_length(const Drawing& drawing,
                       const Circuit& circuit,
                       const std::vector<NetWire>& wires) {
    const std::vector<bool> back = carries_back(circuit);
    const std::vector<int> steps = steps_from_source(circuit);
    FlowLength flow;
    for (const NetWire& wire : wires) {
        if (back[static_cast<std::size_t>(wire.net.index)]) {
            continue;
        }
        const std::vector<NetPin> pins = pins_of(drawing, circuit, wire.net, steps);
        std::vector<Point> places;
        for (const NetPin& pin : pins) {
            places.push_back(pin.at);
        }
        Web web = web_of(wire.segments, places);
        std::vector<bool> seen(web.points.size(), false);
        for (const Point& place : places) {
            const int start = web.index_of(place);
            if (!seen[static_cast<std::size_t>(start)]) {
                walk(web, start, seen, flow);
            }
        }
    }
    return flow;
}

}  // namespace etchback::drawing::detail
