#include "drawing/detail/label_nets.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "drawing/detail/label_room.h"
#include "drawing/detail/place_order.h"
#include "drawing/detail/taken.h"
#include "drawing/sheet.h"

namespace etchback::drawing::detail {

namespace {

// How hard to look for room.
struct Search {
    double step;      // along a wire
    double shortest;  // piece of wire that still bears a text
    bool below;       // under a level piece, too
};
constexpr Search for_name{1.0, 2.0, false};
constexpr Search for_voltage{0.5, 1.0, true};

// Above the longest level piece that has room; the middle of it first.
std::optional<Label> place_level(Label::Of of,
                                 const std::string& name,
                                 int net,
                                 const Wire& wire,
                                 const std::vector<Taken>& taken,
                                 const Search& search) {
    std::vector<Segment> level;
    for (const Segment& s : wire.segments) {
        if (s.a.y == s.b.y) {
            level.push_back(s);
        }
    }
    const auto length = [](const Segment& s) { return std::abs(s.a.x - s.b.x); };
    std::stable_sort(level.begin(), level.end(), [&](const Segment& a, const Segment& b) {
        return length(a) > length(b);
    });
    const double width = text_width(name, net_label_size);
    std::vector<double> aside{-0.3 - text_descent * net_label_size};
    if (search.below) {
        aside.push_back(0.3 + text_ascent * net_label_size);
    }
    for (const Segment& s : level) {
        if (length(s) < search.shortest) {
            break;
        }
        const double left = std::min(s.a.x, s.b.x) + width / 2.0;
        const double right = std::max(s.a.x, s.b.x) - width / 2.0;
        const double middle = (left + right) / 2.0;
        const int steps =
            std::max(0, static_cast<int>(std::floor((right - left) / 2.0 / search.step)));
        for (const double off : aside) {
            for (int i = 0; i <= steps; ++i) {
                for (const double x : {middle - i * search.step, middle + i * search.step}) {
                    const Point at{x, s.a.y + off};
                    const Box box = text_box(name, at, Word::Anchor::middle, net_label_size);
                    if (is_free(box, taken)) {
                        return Label{of, net, name, at, Word::Anchor::middle, net_label_size, box};
                    }
                }
            }
        }
    }
    return std::nullopt;
}

// As a name; where no level wire has room, beside an upright one.
std::optional<Label> place_beside(Label::Of of,
                                  const std::string& text,
                                  int net,
                                  const Wire& wire,
                                  const std::vector<Taken>& taken) {
    constexpr double middle = (text_ascent - text_descent) / 2.0 * net_label_size;
    for (const Segment& s : wire.segments) {
        if (s.a.x != s.b.x) {
            continue;
        }
        for (double y = std::min(s.a.y, s.b.y) + 0.5; y < std::max(s.a.y, s.b.y); y += 0.5) {
            for (const Word::Anchor anchor : {Word::Anchor::start, Word::Anchor::end}) {
                const double aside = anchor == Word::Anchor::start ? 0.4 : -0.4;
                const Point at{s.a.x + aside, y + middle};
                const Box box = text_box(text, at, anchor, net_label_size);
                if (is_free(box, taken)) {
                    return Label{of, net, text, at, anchor, net_label_size, box};
                }
            }
        }
    }
    return std::nullopt;
}

// The mains' own terminals bear the names of their nets.
bool written_at_a_pin(const circuit::Circuit& circuit, circuit::NetId net) {
    const auto& pins = circuit[net].pins;
    return std::any_of(pins.begin(), pins.end(), [&](const circuit::PinRef& ref) {
        return circuit[ref].role == parts::PinRole::line && circuit[ref].name == circuit[net].name;
    });
}

// A wire between two or three pins of which none meets the world: its name would say nothing that
// the eye does not see.
bool is_plain(const circuit::Circuit& circuit, circuit::NetId net) {
    const auto& pins = circuit[net].pins;
    return pins.size() <= 3 && !circuit[net].note &&
           std::none_of(pins.begin(), pins.end(), [&](const circuit::PinRef& ref) {
               return circuit[ref.part].kind.off_board ||
                      circuit[ref.part].kind.family.find("connector") != std::string::npos;
           });
}

std::optional<Label> place_voltage(const NetVoltage& one,
                                   const Wire& wire,
                                   const std::vector<Taken>& taken) {
    const Label::Of of = one.simulated ? Label::Of::simulated : Label::Of::voltage;
    auto label = place_level(of, one.text, one.net.index, wire, taken, for_voltage);
    return label ? label : place_beside(of, one.text, one.net.index, wire, taken);
}

}  // namespace

void add_net_names(const circuit::Circuit& circuit, Drawing& drawing) {
    std::vector<Taken> taken = taken_by(drawing);
    for (const Wire& wire : drawing.wires) {
        const std::string& name = circuit[wire.net].name;
        const bool shown =
            std::any_of(drawing.signs.begin(), drawing.signs.end(), [&](const NetSign& sign) {
                return sign.net == wire.net && sign.text == name;
            });
        if (shown || is_plain(circuit, wire.net) || !named_by_person(name) ||
            written_at_a_pin(circuit, wire.net)) {
            continue;
        }
        if (const std::optional<Label> label =
                place_level(Label::Of::net_name, name, wire.net.index, wire, taken, for_name)) {
            taken.push_back({grown(label->box, 0.2), -1, true});
            drawing.labels.push_back(*label);
        }
    }
}

}  // namespace etchback::drawing::detail

namespace etchback::drawing {

std::vector<NetVoltage> add_voltages(const std::vector<NetVoltage>& voltages, Drawing& drawing) {
    std::vector<detail::Taken> taken = detail::taken_by(drawing);
    std::vector<NetVoltage> without_room;
    for (const NetVoltage& one : voltages) {
        const auto wire = std::find_if(drawing.wires.begin(),
                                       drawing.wires.end(),
                                       [&](const Wire& w) { return w.net == one.net; });
        const auto label =
            wire == drawing.wires.end() ? std::nullopt : detail::place_voltage(one, *wire, taken);
        if (!label) {
            without_room.push_back(one);
            continue;
        }
        taken.push_back({detail::grown(label->box, 0.2), -1, true});
        drawing.labels.push_back(*label);
    }
    return without_room;
}

}  // namespace etchback::drawing
