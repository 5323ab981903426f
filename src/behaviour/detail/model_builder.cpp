#include "behaviour/detail/model_builder.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

namespace etchback::behaviour::detail {
namespace {

// Tolerances that are usual where none is written, in percent.
constexpr std::string_view tolerance_key = "tolerance";

const Fault* find_fault(const std::vector<Fault>& faults, const circuit::Part& part) {
    const auto it = std::find_if(
        faults.begin(), faults.end(), [&](const Fault& f) { return f.part == part.name; });
    return it == faults.end() ? nullptr : &*it;
}

}  // namespace

Builder::Builder(const circuit::Circuit& the_circuit,
                 const dossier::Dossier& the_dossier,
                 const std::vector<parts::RegisteredType>& the_types,
                 const Tables& the_tables,
                 const ModelOptions& the_options)
    : circuit(the_circuit),
      dossier(the_dossier),
      types(the_types),
      tables(the_tables),
      options(the_options),
      domains(circuit::domains(the_circuit)) {
    choose_reference();
    for (std::size_t n = 0; n < circuit.nets.size(); ++n) {
        const bool is_reference = static_cast<int>(n) == reference_net_.index;
        nets_.push_back(is_reference ? reference : network().node(circuit.nets[n].name));
    }
    for (const circuit::Part& part : circuit.parts) {
        owners_.push_back(network().owner(part.name));
        model.owners[part.name] = owners_.back();
    }
    check_faults(options.faults);
    check_faults(options.dormant);
    for (const Fault& fault : options.faults) {
        const auto pins = opened_by(fault);
        open_.insert(pins.begin(), pins.end());
    }
    model.dormant.resize(options.dormant.size(), {SwitchId{}, true});
    for (std::size_t f = 0; f < options.dormant.size(); ++f) {
        for (const circuit::PinRef ref : opened_by(options.dormant[f])) {
            dormant_open_.emplace(ref, f);
        }
    }
}

// The return of the domain that the supply feeds: of the mains side, else of the side of a
// controller or a supply, else of whatever comes first.
void Builder::choose_reference() {
    const auto reference_of = [&](int domain) {
        return domain >= 0 ? domains.domains[static_cast<std::size_t>(domain)].reference : NetId{};
    };
    const auto with = [&](auto&& fits) {
        for (std::size_t d = 0; d < domains.domains.size() && !reference_net_.known(); ++d) {
            if (fits(static_cast<int>(d))) {
                reference_net_ = reference_of(static_cast<int>(d));
            }
        }
    };
    const auto holds_family = [&](int domain, std::string_view family) {
        return std::any_of(
            circuit.parts.begin(), circuit.parts.end(), [&](const circuit::Part& part) {
                return part.kind.family == family &&
                       std::any_of(part.pins.begin(), part.pins.end(), [&](const auto& pin) {
                           return pin.net.known() && domains.of(pin.net) == domain;
                       });
            });
    };
    with([&](int d) {
        return domains.domains[static_cast<std::size_t>(d)].nature ==
               circuit::Domain::Nature::mains;
    });
    with([&](int d) { return holds_family(d, "source"); });
    with([&](int d) { return holds_family(d, "controller"); });
    with([&](int) { return true; });
    if (!reference_net_.known() && !circuit.nets.empty()) {
        reference_net_ = NetId{0};
    }
}

void Builder::check_faults(const std::vector<Fault>& faults) {
    const auto say = [&](std::string what, std::string todo) {
        errors.push_back({{}, std::move(what), std::move(todo)});
    };
    for (const Fault& fault : faults) {
        const auto id = circuit.part(fault.part);
        if (!id) {
            say(fmt::format("the fault '{}' speaks of no part", fault.id()),
                "name a fitted part of the circuit");
            continue;
        }
        for (const std::string& pin : {fault.pin, fault.other_pin}) {
            if (!pin.empty() && !part(*id).pin(pin)) {
                say(fmt::format("{} has no pin '{}'", fault.part, pin), "name a pin of the part");
            }
        }
        if (fault.kind == Fault::Kind::shorted && part(*id).pins.size() != 2) {
            say(fmt::format("{} has not two pins", fault.part),
                "bridge two of its pins instead of shorting all of it");
        }
        if (fault.kind == Fault::Kind::bridged && (fault.pin.empty() || fault.other_pin.empty())) {
            say(fmt::format("the bridge on {} has one end", fault.part), "name two pins");
        }
    }
}

// The pins that a fault opens: the one that it names, one of two, or all of more.
std::vector<circuit::PinRef> Builder::opened_by(const Fault& fault) const {
    std::vector<circuit::PinRef> out;
    const auto id = circuit.part(fault.part);
    if (!id || fault.kind != Fault::Kind::open) {
        return out;
    }
    const auto& pins = part(*id).pins;
    const auto only = fault.pin.empty() ? std::nullopt : part(*id).pin(fault.pin);
    const std::size_t many = pins.size() == 2 ? 1 : pins.size();
    for (std::size_t p = 0; p < pins.size(); ++p) {
        if (only ? p == *only : fault.pin.empty() && p < many) {
            out.push_back({*id, static_cast<int>(p)});
        }
    }
    return out;
}

std::optional<std::pair<circuit::PinRef, circuit::PinRef>> Builder::joined_by(
    const Fault& fault) const {
    const auto id = circuit.part(fault.part);
    if (!id || fault.kind == Fault::Kind::open) {
        return std::nullopt;
    }
    const bool shorted = fault.kind == Fault::Kind::shorted;
    const auto one = shorted ? std::optional<std::size_t>(0) : part(*id).pin(fault.pin);
    const auto two = shorted ? std::optional<std::size_t>(1) : part(*id).pin(fault.other_pin);
    if (!one || !two || *one >= part(*id).pins.size() || *two >= part(*id).pins.size()) {
        return std::nullopt;
    }
    return std::pair(circuit::PinRef{*id, static_cast<int>(*one)},
                     circuit::PinRef{*id, static_cast<int>(*two)});
}

NodeId Builder::pin(PartId id, std::size_t index) {
    const circuit::PinRef ref{id, static_cast<int>(index)};
    const circuit::Pin& pin = circuit[ref];
    const bool joined = pin.net.known() && !open_.contains(ref);
    const auto dormant = dormant_open_.find(ref);
    if (joined && dormant == dormant_open_.end()) {
        return net(pin.net);
    }
    const auto it = own_nodes_.find(ref);
    if (it != own_nodes_.end()) {
        return it->second;
    }
    const NodeId own = network().node(part(id).name + "." + pin.name);
    own_nodes_[ref] = own;
    if (joined) {
        const std::string what = "dormant: " + options.dormant[dormant->second].id();
        model.dormant[dormant->second] = {
            network().add_switch(what, net(pin.net), own, {dormant_siemens, dormant_leak, true}),
            false};
    }
    return own;
}

NodeId Builder::pin(PartId id, std::string_view name) {
    const auto index = part(id).pin(name);
    if (!index) {  // a pin that the kind does not have: a mistake of ours
        return inner(id, name);
    }
    return pin(id, *index);
}

bool Builder::on_net(PartId id, std::string_view name) const {
    return part(id).net(name).known();
}

NodeId Builder::inner(PartId id, std::string_view what) {
    return network().node(name(id, what));
}

NodeId Builder::return_of(NetId id) const {
    if (!id.known()) {
        return reference;
    }
    const NetId found = domains.domains[static_cast<std::size_t>(domains.of(id))].reference;
    return found.known() ? net(found) : reference;
}

const parts::RegisteredType* Builder::type(PartId id) const {
    const auto match = parts::find_type(types, part(id).said.type.value);
    return match && match->type->kind == part(id).kind.id ? match->type : nullptr;
}

std::optional<Known> Builder::typed(PartId id,
                                    double parts::RegisteredType::*field,
                                    base::Unit unit) const {
    const parts::RegisteredType* found = type(id);
    if (found == nullptr || found->*field <= 0.0) {
        return std::nullopt;
    }
    return Known{base::Quantity::of(found->*field, unit),
                 true,
                 fmt::format("{}: {}", found->type, found->source)};
}

double Builder::booked(PartId id, std::string_view key, const base::Quantity& value, bool assumed) {
    const std::string full = name(id, key);
    const auto replaced = options.values.find(full);
    const double now = replaced == options.values.end() ? value.value : replaced->second;
    const auto same = [&](const Parameter& p) { return p.part == part(id).name && p.name == key; };
    if (std::none_of(model.parameters.begin(), model.parameters.end(), same)) {
        model.parameters.push_back({part(id).name,
                                    std::string(key),
                                    value.value,
                                    value.low,
                                    value.high,
                                    value.unit,
                                    assumed});
    }
    return now;
}

std::optional<double> Builder::perhaps(PartId id,
                                       std::string_view key,
                                       const std::optional<Known>& known) {
    const auto before =
        std::find_if(model.parameters.begin(), model.parameters.end(), [&](const Parameter& p) {
            return p.part == part(id).name && p.name == key;
        });
    if (before != model.parameters.end()) {  // asked before: it stays what it was
        const auto replaced = options.values.find(name(id, key));
        return replaced == options.values.end() ? before->nominal : replaced->second;
    }
    const auto said = part(id).said.properties.find(std::string(key));
    if (said != part(id).said.properties.end()) {
        return booked(id, key, said->second.value, false);
    }
    const DeviceParameter* parameter = tables.devices.parameter(key);
    const auto assume = [&](const base::Quantity& value, const std::string& source) {
        std::string title(key);
        if (parameter != nullptr) {
            title = parameter->title;
        } else {
            std::replace(title.begin(), title.end(), '_', ' ');
        }
        const Assumed row{part(id).name, title, value, source};
        if (std::find(model.assumed.begin(), model.assumed.end(), row) == model.assumed.end()) {
            model.assumed.push_back(row);
        }
        return booked(id, key, value, true);
    };
    if (known) {
        return known->assumed ? assume(known->value, known->source)
                              : booked(id, key, known->value, false);
    }
    const DeviceRow* row =
        parameter == nullptr ? nullptr : tables.devices.row(*parameter, part(id));
    if (row == nullptr) {
        return std::nullopt;
    }
    return assume(row->value, row->source);
}

double Builder::number(PartId id, std::string_view key, const std::optional<Known>& known) {
    const auto found = perhaps(id, key, known);
    if (!found || !std::isfinite(*found)) {
        complain(id,
                 fmt::format("its {} is not known", key),
                 "add a row for it to data/behaviour/devices.toml");
        return 1.0;
    }
    return *found;
}

std::optional<double> Builder::perhaps_value(PartId id) {
    const circuit::Part& p = part(id);
    if (!p.said.value) {
        return std::nullopt;
    }
    base::Quantity value = p.said.value->value;
    if (value.exact()) {
        double percent = 0.0;
        if (p.said.tolerance) {
            percent = p.said.tolerance->value.value;
        } else if (const DeviceParameter* usual = tables.devices.parameter(tolerance_key)) {
            const DeviceRow* row = tables.devices.row(*usual, p);
            percent = row == nullptr ? 0.0 : row->value.value;
        }
        value.low = value.value * (1.0 - percent / 100.0);
        value.high = value.value * (1.0 + percent / 100.0);
    }
    return booked(id, "value", value, false);
}

double Builder::value(PartId id) {
    const auto found = perhaps_value(id);
    if (!found) {
        complain(id, "it has no value", "write what it has: value = \"...\"");
        return 1.0;
    }
    if (!std::isfinite(*found) || *found <= 0.0) {
        complain(id,
                 fmt::format("its value is {}", *found),
                 "write a value above zero: nothing less can be computed");
        return 1.0;
    }
    return *found;
}

std::string Builder::name(PartId id, std::string_view what) const {
    return what.empty() ? part(id).name : part(id).name + "." + std::string(what);
}

BranchId Builder::add(PartId id, std::string_view what, NodeId from, NodeId to, Element element) {
    return network().add(name(id, what), from, to, std::move(element), owner(id));
}

SwitchId Builder::add_switch(
    PartId id, std::string_view what, NodeId from, NodeId to, Switch element) {
    return network().add_switch(name(id, what), from, to, element, owner(id));
}

BranchId Builder::conductor(PartId id, std::string_view what, NodeId from, NodeId to, double ohm) {
    return add(id, what, from, to, Conductance{1.0 / ohm});
}

BranchId Builder::capacitor(
    PartId id, std::string_view what, NodeId from, NodeId to, double farad) {
    return add(id, what, from, to, Capacitance{farad, 0.0});
}

BranchId Builder::curve(PartId id,
                        std::string_view what,
                        NodeId from,
                        NodeId to,
                        Expression control,
                        PiecewiseLinear current,
                        double scale) {
    return add(id, what, from, to, Curve{std::move(control), std::move(current), scale});
}

BranchId Builder::own_curve(PartId id,
                            std::string_view what,
                            NodeId from,
                            NodeId to,
                            PiecewiseLinear current,
                            double scale) {
    return curve(id, what, from, to, Expression::voltage(from, to), std::move(current), scale);
}

BranchId Builder::winding(PartId id,
                          std::string_view what,
                          NodeId from,
                          NodeId to,
                          double henry,
                          double ohm,
                          std::string_view loss) {
    const BranchId coil = add(id, what, from, to, Winding{henry, ohm, 0.0});
    const double quality = number(id, std::string(loss) + "_quality");
    const double at_hz = number(id, std::string(loss) + "_quality_frequency");
    conductor(id,
              what.empty() ? "damping" : std::string(what) + " damping",
              from,
              to,
              quality * 2.0 * std::numbers::pi * at_hz * henry);
    return coil;
}

void Builder::current(PartId id, BranchId branch) {
    model.part_amps[part(id).name] = network().probe_current(part(id).name + ".current", branch);
}

NodeId Builder::load_terminals(PartId id, NodeId from, NodeId to) {
    const NodeId begin = inner(id, "lead");
    Terminals::Load load;
    load.part = part(id).name;
    load.owner = owner(id);
    load.series = add_switch(
        id, "series switch", from, begin, {1.0 / number(id, "lead_resistance"), off_siemens, true});
    load.across = network().add_switch(name(id, "across"),
                                       begin,
                                       to,
                                       {fault_siemens, 0.0, false},
                                       network().owner("short of " + part(id).name));
    load.volts = network().probe_voltage(name(id, "terminals"), from, to);
    load.amps = network().probe_current(
        name(id, "current"), network().switches()[static_cast<std::size_t>(load.series.index)]);
    model.part_amps[part(id).name] = load.amps;
    model.terminals.loads.push_back(load);
    return begin;
}

void Builder::complain(PartId id, std::string what, std::string todo) {
    errors.push_back(
        {part(id).said.place, fmt::format("{}: {}", part(id).name, what), std::move(todo)});
}

bool Builder::has_capacitor_across(PartId self, NetId a, NetId b) const {
    if (!a.known() || !b.known()) {
        return false;
    }
    const auto& nets_a = circuit.parts_on(a);
    return std::any_of(nets_a.begin(), nets_a.end(), [&](PartId id) {
        const circuit::Part& p = part(id);
        return id != self && p.kind.family == "capacitor" && p.pins.size() == 2 &&
               find_fault(options.faults, p) == nullptr &&
               ((p.pins[0].net == a && p.pins[1].net == b) ||
                (p.pins[0].net == b && p.pins[1].net == a));
    });
}

void Builder::put_in_faults() {
    const OwnerId owner = options.faults.empty() ? OwnerId{} : network().owner("fault");
    for (const Fault& fault : options.faults) {
        const auto ends = joined_by(fault);
        if (!ends) {
            continue;
        }
        const NodeId a = pin(ends->first.part, static_cast<std::size_t>(ends->first.pin));
        const NodeId b = pin(ends->second.part, static_cast<std::size_t>(ends->second.pin));
        if (a != b) {
            network().add("fault: " + fault.id(), a, b, Conductance{fault_siemens}, owner);
        }
    }
}

void Builder::put_in_dormant_faults() {
    for (std::size_t f = 0; f < options.dormant.size(); ++f) {
        if (model.dormant[f].id.index >= 0) {
            continue;  // opens a pin, or takes a drive away
        }
        const std::string what = "dormant: " + options.dormant[f].id();
        NodeId a = reference, b = reference;
        if (const auto ends = joined_by(options.dormant[f])) {
            a = pin(ends->first.part, static_cast<std::size_t>(ends->first.pin));
            b = pin(ends->second.part, static_cast<std::size_t>(ends->second.pin));
        }
        if (a == b) {  // without effect: a part that is not simulated, or pins of one net
            b = network().node(what);
            network().add("tie of " + what, b, reference, Conductance{1e-9});
        }
        model.dormant[f] = {network().add_switch(what, a, b, {fault_siemens, dormant_leak, false}),
                            true};
    }
}

// Whatever hangs in the air by itself is tied to the reference, or its voltage would be anything.
void Builder::tie_floating() {
    std::vector<int> root(network().nodes().size());
    std::iota(root.begin(), root.end(), 0);
    const auto find = [&](int i) {
        while (root[static_cast<std::size_t>(i)] != i) {
            i = root[static_cast<std::size_t>(i)];
        }
        return i;
    };
    // The smaller number stays the root, so that the reference is one wherever it belongs.
    const auto join = [&](NodeId a, NodeId b) {
        const int x = find(a.index), y = find(b.index);
        root[static_cast<std::size_t>(std::max(x, y))] = std::min(x, y);
    };
    for (const Branch& branch : network().branches()) {
        const auto* open = std::get_if<Switch>(&branch.element);
        const bool current_only = std::holds_alternative<CurrentSource>(branch.element) ||
                                  std::holds_alternative<Controlled>(branch.element) ||
                                  std::holds_alternative<Capacitance>(branch.element) ||
                                  (open != nullptr && open->off_siemens == 0.0);
        if (!current_only) {
            join(branch.from, branch.to);
        }
    }
    for (const IdealTransformer& t : network().transformers()) {
        join(t.first_plus, t.first_minus);
        join(t.second_plus, t.second_minus);
    }
    const OwnerId ties = network().owner("ties");
    const auto tie = [&](NodeId node, double siemens) {
        network().add("tie of " + network().nodes()[static_cast<std::size_t>(node.index)],
                      node,
                      reference,
                      Conductance{siemens},
                      ties);
        join(node, reference);
    };
    for (const circuit::Domain& domain : domains.domains) {
        if (domain.reference.known() && find(net(domain.reference).index) != 0) {
            note(fmt::format("{}: floats against {} and is tied to it by 1 GΩ",
                             circuit[domain.reference].name,
                             circuit[reference_net_].name));
            tie(net(domain.reference), 1e-9);
        }
    }
    for (std::size_t n = 1; n < network().nodes().size(); ++n) {
        if (find(static_cast<int>(n)) == static_cast<int>(n) && n != 0) {
            tie({static_cast<int>(n)}, 1e-9);
        }
    }
}

}  // namespace etchback::behaviour::detail
