#include "drawing/detail/place_model.h"

#include <algorithm>
#include <cmath>

#include "drawing/detail/place_taste.h"
#include "drawing/detail/wire_flow.h"

namespace etchback::drawing::detail {

namespace {

using circuit::Circuit;
using circuit::Part;
using parts::PinRole;

constexpr double pin_halo = 1.5;   // room in front of a pin, for its wire to turn
constexpr double side_halo = 0.6;  // beside a body

struct Context : Setting {
    const Options& options;
    const PinHeights& heights;
    const Model* like;
};

double potential(const Context& c, int net) {
    return net < 0 ? 0.5 : c.order.potential[static_cast<std::size_t>(net)];
}
std::vector<Orientation> orientations_of(const Part& part, const Symbol& symbol, bool fixed) {
    const bool one_sided =
        symbol.pins.size() == 2 && symbol.pins[0].facing == symbol.pins[1].facing;
    if (part.pins.size() <= 2 && !one_sided) {
        return {{0, false}, {1, false}, {2, false}, {3, false}};
    }
    const bool small = symbol.box.right - symbol.box.left < 7.0 && part.pins.size() <= 4 &&
                       part.kind.symbol != "box";
    if (small && !fixed && !is_family(part, {"bridge"}) && !is_family(part, {"choke"}) &&
        !is_family(part, {"transformer"})) {
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
                           value_text(part),
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
    const bool feedback = is_family(part, {"optocoupler"}) || is_family(part, {"shunt_regulator"});
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
    const Context context{{circuit, order, model}, options, heights, like};
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
