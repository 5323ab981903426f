#include "drawing/detail/place_model.h"

#include <algorithm>
#include <cmath>

#include "drawing/detail/wire_flow.h"

namespace etchback::drawing::detail {

namespace {

using circuit::Circuit;
using circuit::Part;
using parts::PinRole;

constexpr double pin_halo = 1.5;   // room in front of a pin, for its wire to turn
constexpr double side_halo = 0.6;  // beside a body

struct Context {
    const Circuit& circuit;
    const Order& order;
    const Options& options;
    const Model& model;
    const PinHeights& heights;
    const Model* like;
};

double potential(const Context& c, int net) {
    return net < 0 ? 0.5 : c.order.potential[static_cast<std::size_t>(net)];
}
double flow(const Context& c, int net) {
    return net < 0 ? 0.0 : c.order.net_flow[static_cast<std::size_t>(net)];
}
bool is_low(const Context& c, int net) {
    return net >= 0 && c.model.nets[static_cast<std::size_t>(net)].low;
}

bool family(const Part& part, const char* word) {
    return part.kind.family.find(word) != std::string::npos ||
           part.kind.id.find(word) != std::string::npos;
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
        const bool few_ohms = family(part, "resistor") && part.value().value_or(1e3) < 10.0;
        const bool rectifier = family(part, "diode") && !family(part, "zener");
        if (part.pins.size() != 2 || ref.part.index == but_part ||
            !(family(part, "inductor") || family(part, "fuse") || rectifier || few_ohms)) {
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
        if (ref.part.index == but_part || !family(part, "transistor") ||
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
        return family(c.circuit[ref.part], "transistor") && c.circuit[ref].role != PinRole::input;
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
        if (part.pins.size() == 2 && family(part, "inductor") &&
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
        if (part.pins.size() == 2 && family(part, "diode") && !family(part, "zener") &&
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
    if (!family(part, "diode") || family(part, "zener")) {
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
    if (part.kind.polarised && family(part, "capacitor")) {
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
    if (is_low(c, a.net) != is_low(c, b.net) || family(part, "source")) {
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
    const bool drop = family(part, "resistor") || family(part, "led") || family(part, "zener");
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

std::vector<Orientation> orientations_of(const Part& part, const Symbol& symbol, bool fixed) {
    const bool one_sided =
        symbol.pins.size() == 2 && symbol.pins[0].facing == symbol.pins[1].facing;
    if (part.pins.size() <= 2 && !one_sided) {
        return {{0, false}, {1, false}, {2, false}, {3, false}};
    }
    const bool small = symbol.box.right - symbol.box.left < 7.0 && part.pins.size() <= 4 &&
                       part.kind.symbol != "box";
    if (small && !fixed && !family(part, "bridge") && !family(part, "choke") &&
        !family(part, "transformer")) {
        return {{0, false},
                {0, true},
                {1, false},
                {1, true},
                {2, false},
                {2, true},
                {3, false},
                {3, true}};
    }
    return {{0, false}, {0, true}};
}

Box halo_of(const Symbol& symbol) {
    Box halo = grown(symbol.box, side_halo);
    for (const SymbolPin& pin : symbol.pins) {
        const Step step = step_of(pin.facing);
        const Point tip{pin.at.x + pin_halo * step.x, pin.at.y + pin_halo * step.y};
        halo = joined(halo, {tip.x, tip.y, tip.x, tip.y});
    }
    return halo;
}

Direction away_from_ground(const ModelNet& net) {
    return net.rail == Rail::bottom ? Direction::down : Direction::up;
}

void reserve_sign(const Context& c, const ModelPin& pin, Variant& v) {
    const ModelNet& net = c.model.nets[static_cast<std::size_t>(pin.net)];
    const Point at{static_cast<double>(pin.at.x), static_cast<double>(pin.at.y)};
    const Step step = step_of(pin.facing);
    const Point end{at.x + step.x, at.y + step.y};
    if (net.style == NetStyle::returns && pin.facing == Direction::down) {
        v.rooms.push_back(moved(sign_box(net.sign, Direction::down, net.sign_text), end));
    } else if (net.style == NetStyle::returns && pin.facing != Direction::up) {
        v.rooms.push_back(
            moved(sign_box(net.sign, Direction::down, net.sign_text), {end.x, end.y + 1.0}));
    } else if (net.style == NetStyle::rail && pin.facing == away_from_ground(net)) {
        v.rooms.push_back(moved(sign_box(net.sign, pin.facing, net.name), end));
    } else if ((net.style == NetStyle::flagged || net.style == NetStyle::rail) &&
               (pin.facing == Direction::left || pin.facing == Direction::right)) {
        const auto kind = net.style == NetStyle::rail ? net.sign : NetSign::Kind::flag;
        v.rooms.push_back(moved(sign_box(kind, pin.facing, net.name), end));
    }
}

Variant variant_of(const Context& c,
                   const Part& part,
                   const ModelPart& model_part,
                   const Symbol& symbol,
                   const Orientation& orientation,
                   bool other_side) {
    Variant v;
    v.orientation = orientation;
    v.symbol = oriented(symbol, orientation);
    v.body = v.symbol.box;
    for (const SymbolPin& pin : v.symbol.pins) {
        const circuit::Pin& p = part.pins[static_cast<std::size_t>(pin.pin)];
        v.pins.push_back(
            {p.net.known() ? p.net.index : -1,
             {static_cast<int>(std::lround(pin.at.x)), static_cast<int>(std::lround(pin.at.y))},
             pin.facing});
    }
    v.labels = label_rooms(v.symbol,
                           part.name,
                           value_text(part, {c.options.tolerances, c.options.doubts}),
                           other_side,
                           model_part.astride >= 0);
    v.rooms.push_back(halo_of(v.symbol));
    for (const LabelRoom& label : v.labels) {
        v.rooms.push_back(grown(label.box, 0.2));
    }
    for (const ModelPin& pin : v.pins) {
        if (pin.net >= 0) {
            reserve_sign(c, pin, v);
        }
    }
    v.bounds = v.rooms.front();
    for (const Box& room : v.rooms) {
        v.bounds = joined(v.bounds, room);
    }
    return v;
}

double taste_of(
    const Context& c, int index, const ModelPart& model_part, const Variant& v, bool other_side) {
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
    } else if (v.pins.size() == 3 && family(part, "transistor")) {
        taste += taste_of_transistor(c, index, part, v);
    } else if (v.pins.size() > 1) {
        taste += taste_of_many_pins(c, v);
    }
    return taste;
}

std::vector<double> pin_heights(const Context& c, int index) {
    if (!c.heights.empty()) {
        return c.heights[static_cast<std::size_t>(index)];
    }
    const Part& part = c.circuit.parts[static_cast<std::size_t>(index)];
    std::vector<double> heights;
    for (const circuit::Pin& pin : part.pins) {
        heights.push_back(pin.net.known() ? potential(c, pin.net.index) : 0.5);
    }
    return heights;
}

void apply_place(const Context& c, int index, ModelPart& model_part) {
    const std::string& name = c.circuit.parts[static_cast<std::size_t>(index)].name;
    for (const Stand& stand : c.options.nudges.stands) {
        if (stand.part == name && stand.at && std::abs(stand.at->x) < 1e4 &&
            std::abs(stand.at->y) < 1e4) {
            model_part.fixed = true;
            model_part.at = {static_cast<int>(std::lround(stand.at->x)),
                             static_cast<int>(std::lround(stand.at->y))};
        }
    }
}

bool is_as_asked(const Nudges& nudges, const std::string& name, const Orientation& orientation) {
    return std::all_of(nudges.stands.begin(),
                       nudges.stands.end(),
                       [&](const Stand& stand) {
                           return stand.part != name || !stand.turned ||
                                  *stand.turned == orientation;
                       }) &&
           std::all_of(nudges.turns.begin(), nudges.turns.end(), [&](const Turn& turn) {
               return turn.part != name ||
                      ((!turn.quarter_turns || *turn.quarter_turns == orientation.quarter_turns) &&
                       (!turn.mirrored || *turn.mirrored == orientation.mirrored));
           });
}

// Those that a person asked for: of the usual ones if there are such, else of all that the symbol
// allows. What no orientation can grant is passed over.
std::vector<Orientation> orientations_asked(const Context& c,
                                            const Part& part,
                                            const Symbol& symbol,
                                            bool astride,
                                            const std::vector<Orientation>& usual) {
    std::vector<Orientation> all;
    for (int turns = 0; turns < 4; ++turns) {
        for (const bool mirrored : {false, true}) {
            const bool lies = turns % 2 == 1 && (symbol.upright || astride);
            if (!lies) {
                all.push_back({turns, mirrored});
            }
        }
    }
    for (const std::vector<Orientation>& some : {usual, all}) {
        std::vector<Orientation> kept;
        for (const Orientation& orientation : some) {
            if (is_as_asked(c.options.nudges, part.name, orientation)) {
                kept.push_back(orientation);
            }
        }
        if (!kept.empty()) {
            return kept;
        }
    }
    return usual;
}

void add_variants(const Context& c, int index, ModelPart& model_part) {
    const Part& part = c.circuit.parts[static_cast<std::size_t>(index)];
    const Symbol symbol = symbol_of(part, c.options.standard, pin_heights(c, index));
    if (c.like != nullptr && c.like->parts[static_cast<std::size_t>(index)].symbol == symbol) {
        model_part = c.like->parts[static_cast<std::size_t>(index)];
        model_part.nets.clear();
        model_part.tie = -1;
        return;
    }
    model_part.symbol = symbol;
    const bool fixed = model_part.astride >= 0 || terminal_of(c.circuit, index) != Terminal::none;
    for (const Orientation& orientation : orientations_asked(
             c, part, symbol, model_part.astride >= 0, orientations_of(part, symbol, fixed))) {
        for (const bool other_side : {false, true}) {
            Variant v = variant_of(c, part, model_part, symbol, orientation, other_side);
            v.taste = taste_of(c, index, model_part, v, other_side);
            model_part.variants.push_back(std::move(v));
            if (model_part.astride >= 0) {
                break;
            }
        }
    }
    std::stable_sort(model_part.variants.begin(),
                     model_part.variants.end(),
                     [](const Variant& a, const Variant& b) { return a.taste < b.taste; });
    apply_place(c, index, model_part);
    // What is far off the best is never worth a try, unless an earlier drawing has it.
    const double best = model_part.variants.front().taste;
    const auto& before = c.options.nudges.before;
    const auto was = std::find_if(
        before.begin(), before.end(), [&](const Stand& s) { return s.part == part.name; });
    std::erase_if(model_part.variants, [&](const Variant& v) {
        return v.taste > best + 25.0 && (was == before.end() || was->turned != v.orientation);
    });
}

std::vector<std::vector<int>> together_of(const Circuit& circuit, const Options& options) {
    std::vector<std::vector<int>> groups;
    for (const std::vector<std::string>& names : options.nudges.together) {
        std::vector<int> group;
        for (const std::string& name : names) {
            if (const auto part = circuit.part(name)) {
                group.push_back(part->index);
            }
        }
        if (group.size() > 1) {
            groups.push_back(std::move(group));
        }
    }
    return groups;
}

void place_in_zone(const Context& c, int index, ModelPart& model_part) {
    const Part& part = c.circuit.parts[static_cast<std::size_t>(index)];
    int low = c.model.zones;
    int high = -1;
    for (const circuit::Pin& pin : part.pins) {
        if (pin.net.known()) {
            const int zone = c.order.zones.of_net[static_cast<std::size_t>(pin.net.index)];
            low = std::min(low, zone);
            high = std::max(high, zone);
        }
    }
    model_part.zone = high < 0 ? 0 : low;
    model_part.astride = high > low ? low : -1;
    const Terminal terminal = terminal_of(c.circuit, index);
    model_part.rim = terminal == Terminal::source ? -1 : terminal == Terminal::load ? 1 : 0;
}

double height_of(const Context& c, const Part& part) {
    double sum = 0.0;
    int count = 0;
    for (const circuit::Pin& pin : part.pins) {
        if (pin.net.known()) {
            sum += potential(c, pin.net.index);
            ++count;
        }
    }
    const double mean = count == 0 ? 0.5 : sum / count;
    const bool feedback = family(part, "optocoupler") || family(part, "shunt_regulator");
    return feedback ? mean - 0.6 : mean;
}

std::vector<Lead> leads_of(const Circuit& circuit, const Model& model) {
    const std::vector<bool> back = carries_back(circuit);
    const std::vector<int> steps = steps_from_source(circuit);
    const auto steps_to = [&](const PinOf& pin) {
        const int far = steps[static_cast<std::size_t>(pin.part)];
        return far < 0 ? static_cast<int>(circuit.parts.size()) : far;
    };
    std::vector<Lead> leads;
    for (std::size_t i = 0; i < model.nets.size(); ++i) {
        const ModelNet& net = model.nets[i];
        if (net.style != NetStyle::wired || net.low || back[i] || net.pins.size() < 2) {
            continue;
        }
        Lead lead{static_cast<int>(i), {}};
        for (const PinOf& pin : net.pins) {
            if (!lead.from.empty() && steps_to(pin) < steps_to(lead.from.front())) {
                lead.from.clear();
            }
            if (lead.from.empty() || steps_to(pin) == steps_to(lead.from.front())) {
                lead.from.push_back(pin);
            }
        }
        if (lead.from.size() < net.pins.size()) {
            leads.push_back(std::move(lead));
        }
    }
    return leads;
}

// A return's shape alone tells what it is, unless another net has the same.
void leave_out_lone_texts(Model& model) {
    for (const NetSign::Kind kind :
         {NetSign::Kind::mains_return, NetSign::Kind::isolated_return, NetSign::Kind::earth}) {
        const auto same = [&](const ModelNet& net) { return net.sign == kind; };
        if (std::count_if(model.nets.begin(), model.nets.end(), same) == 1) {
            std::find_if(model.nets.begin(), model.nets.end(), same)->sign_text.clear();
        }
    }
}

// Whatever the pins' heights; `like` has them already.
void add_shapes(const Circuit& circuit, const Model* like, Model& model) {
    if (like != nullptr) {
        model.symmetries = like->symmetries;
        model.repeats = like->repeats;
        model.joinings = like->joinings;
        model.leads = like->leads;
    } else {
        model.symmetries = symmetries_of(circuit, model);
        model.repeats = repeats_of(circuit, model);
        model.joinings = joinings_of(circuit, model);
        model.leads = leads_of(circuit, model);
    }
    for (const Joining& joining : model.joinings) {
        model.parts[static_cast<std::size_t>(joining.part)].rim = 0;
    }
}

}  // namespace

Box sign_box(NetSign::Kind kind, Direction facing, const std::string& text) {
    return symbol_of_sign(kind, facing, text).box;
}

Model model_of(const Circuit& circuit,
               const circuit::Domains& domains,
               const Options& options,
               Manner manner,
               const PinHeights& heights,
               const Model* like) {
    const Order order = order_of(circuit, domains);
    Model model;
    model.zones = order.zones.count;
    model.order_zones = order.zones;
    for (std::size_t i = 0; i < circuit.nets.size(); ++i) {
        ModelNet net;
        net.style = order.styles[i];
        net.sign = order.signs[i];
        net.name = circuit.nets[i].name;
        net.sign_text = net.name;
        net.may_be_signs = order.spare_wires[i];
        net.zone = order.zones.of_net[i];
        net.rail = order.rails[i];
        net.low = order.signs[i] != NetSign::Kind::rail;
        if (net.style == NetStyle::wired && net.may_be_signs && manner != Manner::rails) {
            net.style = net.low                   ? NetStyle::returns
                        : manner == Manner::signs ? NetStyle::rail
                                                  : net.style;
        }
        model.nets.push_back(std::move(net));
    }
    leave_out_lone_texts(model);
    const Context context{circuit, order, options, model, heights, like};
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        ModelPart part;
        place_in_zone(context, static_cast<int>(i), part);
        part.flow = order.part_flow[i];
        part.height = height_of(context, circuit.parts[i]);
        add_variants(context, static_cast<int>(i), part);
        const Variant& v = part.variants.front();
        for (std::size_t k = 0; k < v.pins.size(); ++k) {
            const int net = v.pins[k].net;
            if (net >= 0) {
                model.nets[static_cast<std::size_t>(net)].pins.push_back(
                    {static_cast<int>(i), static_cast<int>(k)});
                if (std::find(part.nets.begin(), part.nets.end(), net) == part.nets.end()) {
                    part.nets.push_back(net);
                }
            }
        }
        model.parts.push_back(std::move(part));
    }
    add_shapes(circuit, like, model);
    model.links = links_of(circuit, model);
    model.together = together_of(circuit, options);
    add_wishes(circuit, options.nudges, model);
    return model;
}

}  // namespace etchback::drawing::detail
