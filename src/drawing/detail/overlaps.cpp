#include "drawing/detail/overlaps.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "drawing/detail/path.h"
#include "drawing/detail/wires.h"

namespace etchback::drawing::detail {
namespace {

Box moved(const Box& box, Point by) {
    return {box.left + by.x, box.top + by.y, box.right + by.x, box.bottom + by.y};
}

// Boxes may touch, and a rounding error is no overlap.
bool overlap(const Box& a, const Box& b) {
    const Box smaller{
        a.left + same_point, a.top + same_point, a.right - same_point, a.bottom - same_point};
    return smaller.overlaps(b);
}

struct PlacedBox {
    std::string name;  // "part R1", "text 'R1'", "sign 'GND'"
    Box box;
};

// The lines of a symbol that lie on the rim of its box.
struct Outline {
    std::string name;
    std::vector<Segment> lines;
};

std::vector<Segment> rim_lines(const PlacedPart& placed) {
    const Box& box = placed.symbol.box;
    const auto both = [](double a, double b, double edge) {
        return std::abs(a - edge) < same_point && std::abs(b - edge) < same_point;
    };
    std::vector<Segment> lines;
    for (const Stroke& stroke : placed.symbol.strokes) {
        for (const auto& [a, b] : straight_pieces(parse_path(stroke.path))) {
            if (both(a.x, b.x, box.left) || both(a.x, b.x, box.right) || both(a.y, b.y, box.top) ||
                both(a.y, b.y, box.bottom)) {
                lines.push_back({{a.x + placed.at.x, a.y + placed.at.y},
                                 {b.x + placed.at.x, b.y + placed.at.y}});
            }
        }
    }
    return lines;
}

struct PlacedPin {
    std::string name;  // "R1.1"
    Point at;
    circuit::NetId net;
};

class Search {
public:
    Search(const Drawing& drawing,
           const circuit::Circuit& circuit,
           const std::vector<NetWire>& wires)
        : drawing_(drawing), circuit_(circuit), wires_(wires) {
        collect();
    }

    std::vector<std::string> run() {
        among(parts_, parts_);
        among(texts_, parts_);
        among(texts_, texts_);
        for (const NetWire& wire : wires_) {
            through_boxes(wire);
            along_outlines(wire);
            foreign_pins(wire);
            foreign_signs(wire);
        }
        for (std::size_t i = 0; i < wires_.size(); ++i) {
            for (std::size_t j = i + 1; j < wires_.size(); ++j) {
                two_nets(wires_[i], wires_[j]);
            }
        }
        pins_on_pins();
        outside();
        return std::move(found_);
    }

private:
    void collect();
    void among(const std::vector<PlacedBox>& a, const std::vector<PlacedBox>& b);
    void through_boxes(const NetWire& wire);
    void along_outlines(const NetWire& wire);
    void foreign_pins(const NetWire& wire);
    void foreign_signs(const NetWire& wire);
    void two_nets(const NetWire& a, const NetWire& b);
    void pins_on_pins();
    void outside();

    const std::string& net_name(circuit::NetId net) const { return circuit_[net].name; }
    template <typename... Args>
    void found(fmt::format_string<Args...> format, Args&&... args) {
        found_.push_back(fmt::format(format, std::forward<Args>(args)...));
    }

    const Drawing& drawing_;
    const circuit::Circuit& circuit_;
    const std::vector<NetWire>& wires_;
    std::vector<PlacedBox> parts_, texts_;
    std::vector<Outline> outlines_;
    std::vector<PlacedPin> pins_;
    std::vector<std::string> found_;
};

void Search::collect() {
    for (const PlacedPart& placed : drawing_.parts) {
        const circuit::Part& part = circuit_[placed.part];
        parts_.push_back({"part " + part.name, moved(placed.symbol.box, placed.at)});
        outlines_.push_back({"part " + part.name, rim_lines(placed)});
        for (const SymbolPin& pin : placed.symbol.pins) {
            const circuit::Pin& its = part.pins[static_cast<std::size_t>(pin.pin)];
            pins_.push_back({part.name + "." + its.name,
                             {pin.at.x + placed.at.x, pin.at.y + placed.at.y},
                             its.net});
        }
    }
    for (const Label& label : drawing_.labels) {
        texts_.push_back({fmt::format("text '{}'", label.text), box_of(label)});
    }
    for (const NetSign& sign : drawing_.signs) {
        texts_.push_back(
            {fmt::format("sign '{}'", sign.text.empty() ? net_name(sign.net) : sign.text),
             moved(symbol_of_sign(sign.kind, sign.facing, sign.text).box, sign.at)});
    }
    for (const IsolationLine& line : drawing_.isolation) {
        texts_.push_back({fmt::format("text '{}'", line.text), label_of(line).box});
    }
}

void Search::among(const std::vector<PlacedBox>& a, const std::vector<PlacedBox>& b) {
    for (std::size_t i = 0; i < a.size(); ++i) {
        const std::size_t end = &a == &b ? i : b.size();
        for (std::size_t j = 0; j < end; ++j) {
            if (overlap(a[i].box, b[j].box)) {
                found("{} on {}", a[i].name, b[j].name);
            }
        }
    }
}

void Search::through_boxes(const NetWire& wire) {
    for (const std::vector<PlacedBox>* boxes : {&parts_, &texts_}) {
        for (const PlacedBox& box : *boxes) {
            if (std::any_of(wire.segments.begin(), wire.segments.end(), [&](const Segment& s) {
                    return runs_through(s, box.box);
                })) {
                found("wire of {} through {}", net_name(wire.net), box.name);
            }
        }
    }
}

// A wire that runs along the rim of a part's box is in nobody's way unless a line of the symbol
// lies there: the side of a chip's frame.
void Search::along_outlines(const NetWire& wire) {
    for (const Outline& outline : outlines_) {
        const bool along =
            std::any_of(wire.segments.begin(), wire.segments.end(), [&](const Segment& segment) {
                return std::any_of(
                    outline.lines.begin(), outline.lines.end(), [&](const Segment& line) {
                        return shared_length(segment, line) > 0.0;
                    });
            });
        if (along) {
            found("wire of {} along the outline of {}", net_name(wire.net), outline.name);
        }
    }
}

void Search::foreign_pins(const NetWire& wire) {
    for (const PlacedPin& pin : pins_) {
        if (pin.net != wire.net &&
            std::any_of(wire.segments.begin(), wire.segments.end(), [&](const Segment& s) {
                return touches(s, pin.at);
            })) {
            found("wire of {} on pin {}", net_name(wire.net), pin.name);
        }
    }
}

void Search::foreign_signs(const NetWire& wire) {
    for (const NetSign& sign : drawing_.signs) {
        if (sign.net != wire.net &&
            std::any_of(wire.segments.begin(), wire.segments.end(), [&](const Segment& s) {
                return touches(s, sign.at);
            })) {
            found("wire of {} on the sign of {}", net_name(wire.net), net_name(sign.net));
        }
    }
}

// Two wires may cross at a right angle and do nothing else together.
void Search::two_nets(const NetWire& a, const NetWire& b) {
    bool along = false, touching = false, dotted = false;
    for (const Segment& s : a.segments) {
        for (const Segment& t : b.segments) {
            along = along || shared_length(s, t) > 0.0;
            touching = touching || touches(s, t.a) || touches(s, t.b) || touches(t, s.a) ||
                       touches(t, s.b);
        }
    }
    const auto on = [](const NetWire& wire, Point point) {
        return std::any_of(wire.segments.begin(), wire.segments.end(), [&](const Segment& s) {
            return touches(s, point);
        });
    };
    for (const Point& dot : a.dots) {
        dotted = dotted || on(b, dot);
    }
    for (const Point& dot : b.dots) {
        dotted = dotted || on(a, dot);
    }
    if (along) {
        found("wires of {} and {} along each other", net_name(a.net), net_name(b.net));
    } else if (touching) {
        found("wires of {} and {} touch", net_name(a.net), net_name(b.net));
    } else if (dotted) {
        found("a dot where wires of {} and {} cross", net_name(a.net), net_name(b.net));
    }
}

void Search::pins_on_pins() {
    for (std::size_t i = 0; i < pins_.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            const bool one_net = pins_[i].net.known() && pins_[i].net == pins_[j].net;
            if (!one_net && same(pins_[i].at, pins_[j].at)) {
                found("pin {} on pin {}", pins_[i].name, pins_[j].name);
            }
        }
        for (const NetSign& sign : drawing_.signs) {
            if (sign.net != pins_[i].net && same(sign.at, pins_[i].at)) {
                found("sign of {} on pin {}", net_name(sign.net), pins_[i].name);
            }
        }
    }
}

// What lies outside the page is cut off, which is no better.
void Search::outside() {
    const Box page{
        -same_point, -same_point, drawing_.width + same_point, drawing_.height + same_point};
    const auto within = [&](const Box& box) {
        return box.left >= page.left && box.top >= page.top && box.right <= page.right &&
               box.bottom <= page.bottom;
    };
    for (const std::vector<PlacedBox>* boxes : {&parts_, &texts_}) {
        for (const PlacedBox& box : *boxes) {
            if (!within(box.box)) {
                found("{} beyond the edge of the page", box.name);
            }
        }
    }
    for (const NetWire& wire : wires_) {
        Box box = empty_box;
        for (const Segment& s : wire.segments) {
            include(box, s.a);
            include(box, s.b);
        }
        if (!wire.segments.empty() && !within(box)) {
            found("wire of {} beyond the edge of the page", net_name(wire.net));
        }
    }
}

}  // namespace

std::vector<NetWire> wires_by_net(const Drawing& drawing) {
    std::map<circuit::NetId, NetWire> by_net;
    for (const Wire& wire : drawing.wires) {
        NetWire& all = by_net[wire.net];
        all.net = wire.net;
        all.segments.insert(all.segments.end(), wire.segments.begin(), wire.segments.end());
        all.dots.insert(all.dots.end(), wire.dots.begin(), wire.dots.end());
    }
    std::vector<NetWire> result;
    for (auto& [net, wire] : by_net) {
        wire.segments = merged(wire.segments);
        result.push_back(std::move(wire));
    }
    return result;
}

std::vector<std::string> overlaps(const Drawing& drawing,
                                  const circuit::Circuit& circuit,
                                  const std::vector<NetWire>& wires) {
    return Search(drawing, circuit, wires).run();
}

}  // namespace etchback::drawing::detail
