// What is odd about drawing a part in one way or another.
#include "drawing/detail/place_taste.h"

#include <algorithm>
#include <cmath>

namespace etchback::drawing::detail {

namespace {

using circuit::Circuit;
using circuit::Part;
using parts::PinRole;
using Context = Setting;

double potential(const Context& c, int net) {
    return net < 0 ? 0.5 : c.order.potential[static_cast<std::size_t>(net)];
}
double flow(const Context& c, int net) {
    return net < 0 ? 0.0 : c.order.net_flow[static_cast<std::size_t>(net)];
}
bool is_low(const Context& c, int net) {
    return net >= 0 && c.model.nets[static_cast<std::size_t>(net)].low;
}

bool is_held(const Context& c, int net) {
    return net >= 0 && c.order.held[static_cast<std::size_t>(net)];
}

// From a net through a coil, a diode, a fuse or a few ohms to another net that is held, not back to
// `from`.
bool leads_on(const Context& c, int net, int from, int but_part) {
    if (net < 0) {
        return false;
    }
    for (const circuit::PinRef& ref : c.circuit.nets[static_cast<std::size_t>(net)].pins) {
        const Part& part = c.circuit[ref.part];
        const bool few_ohms = is_family(part, {"resistor"}) && part.value().value_or(1e3) < 10.0;
        const bool rectifier = is_family(part, {"diode"}) && !is_family(part, {"zener"});
        if (part.pins.size() != 2 || ref.part.index == but_part ||
            !(is_family(part, {"inductor"}) || is_family(part, {"fuse"}) || rectifier ||
              few_ohms)) {
            continue;
        }
        const int other = part.pins[ref.pin == 0 ? 1 : 0].net.index;
        if (other >= 0 && other != from && other != net && is_held(c, other) && !is_low(c, other)) {
            return true;
        }
    }
    return false;
}

// Another transistor's main pin on the net whose other main pin is low, or (`low` false) held
// above.
bool switches_to(const Context& c, int net, int but_part, bool low) {
    for (const circuit::PinRef& ref : c.circuit.nets[static_cast<std::size_t>(net)].pins) {
        const Part& part = c.circuit[ref.part];
        if (ref.part.index == but_part || !is_family(part, {"transistor"}) ||
            c.circuit[ref].role == PinRole::input) {
            continue;
        }
        for (const circuit::Pin& pin : part.pins) {
            const int other = pin.net.index;
            if (pin.role != PinRole::input && other != net && other >= 0 &&
                (low ? is_low(c, other) : is_held(c, other) && !is_low(c, other))) {
                return true;
            }
        }
    }
    return false;
}

// A coil that is the load of a switch: held at one end, at the other nothing goes on. Behind a
// switch that leads to a supply it lies in line.
bool is_hanging_coil(const Context& c, int part, int a, int b) {
    if (a < 0 || b < 0 || is_held(c, a) == is_held(c, b)) {
        return false;
    }
    const int held = is_held(c, a) ? a : b;
    const int free = held == a ? b : a;
    const auto& pins = c.circuit.nets[static_cast<std::size_t>(free)].pins;
    const bool switched = std::any_of(pins.begin(), pins.end(), [&](const circuit::PinRef& ref) {
        return is_family(c.circuit[ref.part], {"transistor"}) &&
               c.circuit[ref].role != PinRole::input;
    });
    return switched && !switches_to(c, free, part, false) && !leads_on(c, free, held, part);
}

// Side by side with a coil that hangs: its flyback diode, its snubber.
bool beside_hanging_coil(const Context& c, int a, int b) {
    if (a < 0 || b < 0) {
        return false;
    }
    for (const circuit::PinRef& ref : c.circuit.nets[static_cast<std::size_t>(a)].pins) {
        const Part& part = c.circuit[ref.part];
        if (part.pins.size() == 2 && is_family(part, {"inductor"}) &&
            part.pins[ref.pin == 0 ? 1 : 0].net.index == b &&
            is_hanging_coil(c, ref.part.index, a, b)) {
            return true;
        }
    }
    return false;
}

// Where a chain of parts with two pins each leads, from a part of it through one of its pins.
int end_of_chain(const Context& c, int part, std::size_t pin) {
    const auto& all = c.circuit.parts;
    int net = all[static_cast<std::size_t>(part)].pins[pin].net.index;
    for (int steps = 0; steps < 6 && net >= 0; ++steps) {
        const auto& pins = c.circuit.nets[static_cast<std::size_t>(net)].pins;
        if (pins.size() != 2) {
            break;
        }
        const circuit::PinRef next = pins[pins[0].part.index == part ? 1 : 0];
        if (c.circuit[next.part].pins.size() != 2 || next.part.index == part) {
            break;
        }
        part = next.part.index;
        net = c.circuit[next.part].pins[next.pin == 0 ? 1 : 0].net.index;
    }
    return net;
}

// Between the live side and the neutral: a suppression capacitor, a varistor, what empties it.
bool is_across_the_mains(const Context& c, int part) {
    const int a = end_of_chain(c, part, 0);
    const int b = end_of_chain(c, part, 1);
    return a >= 0 && b >= 0 &&
           c.order.neutral[static_cast<std::size_t>(a)] !=
               c.order.neutral[static_cast<std::size_t>(b)];
}

// The net at the other end of each rectifier diode on a net that has this pin there.
std::vector<int> beyond_diodes(const Context& c, int net, PinRole pin_here) {
    std::vector<int> nets;
    for (const circuit::PinRef& ref : c.circuit.nets[static_cast<std::size_t>(net)].pins) {
        const Part& part = c.circuit[ref.part];
        if (part.pins.size() == 2 && is_family(part, {"diode"}) && !is_family(part, {"zener"}) &&
            c.circuit[ref].role == pin_here) {
            nets.push_back(part.pins[ref.pin == 0 ? 1 : 0].net.index);
        }
    }
    std::sort(nets.begin(), nets.end());
    return nets;
}

// One of four diodes that make a bridge: between two nets, over two others.
bool is_in_bridge(const Context& c, int anode, int cathode) {
    const auto is_bridge = [&](int minus, int plus) {
        const std::vector<int> lower = beyond_diodes(c, minus, PinRole::positive);
        const std::vector<int> upper = beyond_diodes(c, plus, PinRole::negative);
        std::vector<int> both;
        std::set_intersection(
            lower.begin(), lower.end(), upper.begin(), upper.end(), std::back_inserter(both));
        return both.size() == 2 && both[0] >= 0 && both[0] != both[1] &&
               std::count(both.begin(), both.end(), plus) == 0;
    };
    const auto any = [](const std::vector<int>& nets, auto test) {
        return std::any_of(
            nets.begin(), nets.end(), [&](int net) { return net >= 0 && test(net); });
    };
    return any(beyond_diodes(c, cathode, PinRole::positive),
               [&](int plus) { return is_bridge(anode, plus); }) ||
           any(beyond_diodes(c, anode, PinRole::negative),
               [&](int minus) { return is_bridge(minus, cathode); });
}

bool stands_in_bridge(const Context& c, const Part& part) {
    if (!is_family(part, {"diode"}) || is_family(part, {"zener"})) {
        return false;
    }
    const std::size_t anode = part.pins[0].role == PinRole::positive ? 0 : 1;
    const int a = part.pins[anode].net.index;
    const int k = part.pins[1 - anode].net.index;
    return a >= 0 && k >= 0 && is_in_bridge(c, a, k);
}

// How much higher the first pin of a two-pin part lies than its second: by polarity where the part
// has one that must hold, else by the nets.
double lift_of(const Context& c, const Part& part, int first, int second) {
    const double by_net = potential(c, first) - potential(c, second);
    if (part.kind.polarised && is_family(part, {"capacitor"})) {
        const bool positive = part.pins[0].role == PinRole::positive;
        return (positive ? 1.0 : -1.0) * std::max(0.3, std::abs(by_net));
    }
    if (stands_in_bridge(c, part)) {
        return part.pins[0].role == PinRole::positive ? -0.5 : 0.5;
    }
    return by_net;
}

// How much a part wants to stand, 0 to 1. What carries a steady current from a higher level to a
// lower one stands, if the difference is ever so small; what lies between two nets that are held at
// levels of their own, or in the mains' way, lies in line unless they are far apart.
double wants_to_stand(
    const Context& c, int index, const Part& part, const ModelPin& a, const ModelPin& b) {
    const double lift = std::abs(lift_of(c, part, a.net, b.net));
    if (is_low(c, a.net) != is_low(c, b.net) || is_family(part, {"source"})) {
        return 1.0;
    }
    if (a.net < 0 || b.net < 0) {
        return std::min(1.0, 1.6 * lift);
    }
    if (beside_hanging_coil(c, a.net, b.net) || stands_in_bridge(c, part)) {
        return 1.0;
    }
    const auto na = static_cast<std::size_t>(a.net);
    const auto nb = static_cast<std::size_t>(b.net);
    if (c.order.alternating[na] || c.order.alternating[nb]) {
        return is_across_the_mains(c, index) ? 1.0 : 0.2 * lift;
    }
    const bool drop =
        is_family(part, {"resistor"}) || is_family(part, {"led"}) || is_family(part, {"zener"});
    if (drop && !(c.order.held[na] && c.order.held[nb])) {
        constexpr double trickle = 1e-8;
        const double current = lift / std::clamp(part.value().value_or(1e3), 0.1, 1e7);
        return current > trickle ? 1.0 : 0.0;
    }
    return std::min(1.0, 1.6 * lift);
}

// Two pins: vertical from high to low where it hangs between levels, horizontal along the flow
// where it lies in series.
double taste_of_two_pins(const Context& c, int index, const Part& part, const Variant& v) {
    const ModelPin& a = v.pins[0];
    const ModelPin& b = v.pins[1];
    const double lift = lift_of(c, part, a.net, b.net);
    const double shunt = wants_to_stand(c, index, part, a, b);
    if (a.at.x == b.at.x) {
        const double a_over_b = a.at.y < b.at.y ? lift : -lift;
        const double wrong = a_over_b < -0.02 ? 6.0 + 14.0 * std::min(1.0, -a_over_b) : 0.0;
        return 8.0 * (1.0 - shunt) + wrong;
    }
    const double along =
        a.at.x < b.at.x ? flow(c, b.net) - flow(c, a.net) : flow(c, a.net) - flow(c, b.net);
    const bool matters = !is_low(c, a.net) && !is_low(c, b.net);
    const double wrong = matters && along < -0.05 ? 4.0 + std::min(6.0, -4.0 * along) : 0.0;
    return 14.0 * shunt + wrong;
}

// More pins: the natural position is best; its mirror image where the flow asks for it.
double taste_of_many_pins(const Context& c, const Variant& v) {
    double taste = v.orientation.mirrored ? 3.0 : 0.0;
    taste += v.orientation.quarter_turns == 2 ? 12.0 : v.orientation.quarter_turns != 0 ? 9.0 : 0.0;
    double left = 0.0;
    double right = 0.0;
    int lefts = 0;
    int rights = 0;
    for (const ModelPin& pin : v.pins) {
        if (pin.net < 0 || is_low(c, pin.net)) {
            continue;
        }
        if (pin.facing == Direction::left) {
            left += flow(c, pin.net);
            ++lefts;
        }
        if (pin.facing == Direction::right) {
            right += flow(c, pin.net);
            ++rights;
        }
    }
    if (lefts > 0 && rights > 0) {
        const double along = right / rights - left / lefts;
        taste += along < 0.0 ? std::min(12.0, -10.0 * along) : 0.0;
    }
    return taste;
}

// Three pins, the main ones at the ends of an upright line: upright where they are at different
// levels, with the higher one on top; in line with the flow where they pass on one level.
double taste_of_transistor(const Context& c, int index, const Part& part, const Variant& v) {
    std::vector<const ModelPin*> mains;
    for (std::size_t k = 0; k < v.pins.size(); ++k) {
        const auto role = part.pins[static_cast<std::size_t>(v.symbol.pins[k].pin)].role;
        if (role != PinRole::input) {
            mains.push_back(&v.pins[k]);
        }
    }
    if (mains.size() != 2) {
        return taste_of_many_pins(c, v);
    }
    const int a = mains[0]->net;
    const int b = mains[1]->net;
    const bool near = std::abs(potential(c, a) - potential(c, b)) < 0.6;
    const auto passes_from = [&](int from, int to) {
        const bool on_one_level = near && is_held(c, to) && !is_low(c, to);
        const bool leads =
            to >= 0 && !switches_to(c, to, index, true) && leads_on(c, to, from, index);
        return is_held(c, from) && (on_one_level || leads);
    };
    const bool passes = !is_low(c, a) && !is_low(c, b) && (passes_from(a, b) || passes_from(b, a));
    if (mains[0]->at.x == mains[1]->at.x) {
        const double over = v.orientation.quarter_turns == 2 ? 24.0 : 0.0;
        return over + (passes ? 14.0 : 0.0);
    }
    const bool first_left = mains[0]->at.x < mains[1]->at.x;
    const double along = flow(c, b) - flow(c, a);
    const double against = (first_left ? along : -along) < 0.0 ? 5.0 : 0.0;
    return passes ? against : 16.0 + against;
}

double taste_of_terminal(const Context& c, int part, const Variant& v) {
    const Terminal terminal = terminal_of(c.circuit, part);
    double taste = 0.0;
    for (const ModelPin& pin : v.pins) {
        const bool outward = (terminal == Terminal::source && pin.facing == Direction::left) ||
                             (terminal == Terminal::load && pin.facing == Direction::right);
        taste += outward ? 8.0 : 0.0;
    }
    return taste;
}

double taste_of_facings(const Context& c, const Variant& v) {
    double taste = 0.0;
    for (const ModelPin& pin : v.pins) {
        if (pin.net < 0) {
            continue;
        }
        const ModelNet& net = c.model.nets[static_cast<std::size_t>(pin.net)];
        if (net.low && pin.facing == Direction::up) {
            const bool middle = net.rail == Rail::none && net.style == NetStyle::returns;
            taste += middle ? 2.0 : net.style == NetStyle::returns ? 12.0 : 6.0;
        }
        if (net.style == NetStyle::rail &&
            pin.facing == (net.rail == Rail::bottom ? Direction::up : Direction::down)) {
            taste += 6.0;
        }
        // Parts hang from a supply and stand on a return.
        if (net.style == NetStyle::wired && net.rail != Rail::none &&
            pin.facing == (net.rail == Rail::bottom ? Direction::up : Direction::down)) {
            taste += 5.0;
        }
    }
    return taste;
}

double taste_astride(const Context& c, const ModelPart& part, const Variant& v) {
    double taste = 0.0;
    const double middle = (v.body.left + v.body.right) / 2.0;
    for (const ModelPin& pin : v.pins) {
        if (pin.net < 0) {
            continue;
        }
        const bool primary = c.model.nets[static_cast<std::size_t>(pin.net)].zone <= part.astride;
        const bool left = pin.at.x < middle;
        taste += primary != left || pin.at.x == middle ? 40.0 : 0.0;
    }
    return taste;
}

}  // namespace

double taste_of(
    const Setting& c, int index, const ModelPart& model_part, const Variant& v, bool other_side) {
    const Part& part = c.circuit.parts[static_cast<std::size_t>(index)];
    double taste = (other_side ? 1.0 : 0.0) + taste_of_facings(c, v);
    const bool two_ended = v.pins.size() == 2 && v.pins[0].facing == opposite(v.pins[1].facing);
    if (model_part.astride >= 0) {
        taste += taste_astride(c, model_part, v);
    } else if (two_ended) {
        taste += taste_of_two_pins(c, index, part, v);
    } else if (terminal_of(c.circuit, index) != Terminal::none && v.pins.size() > 1) {
        taste += taste_of_terminal(c, index, v);
        taste += v.orientation.quarter_turns != 0 ? 10.0 : 0.0;
    } else if (v.pins.size() == 3 && is_family(part, {"transistor"})) {
        taste += taste_of_transistor(c, index, part, v);
    } else if (v.pins.size() > 1) {
        taste += taste_of_many_pins(c, v);
    }
    return taste;
}

}  // namespace etchback::drawing::detail
