#include "behaviour/detail/model_builder.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

namespace etchback::behaviour::detail {
namespace {

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
    if (joined && model.dormant[dormant->second].id.index >= 0) {
        return net(pin.net);  // the fault is put in elsewhere: it takes a drive away
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

// The net behind a pin that a fault has opened: what a load's terminals see of the circuit.
NodeId Builder::outside(PartId id, NodeId node) const {
    for (const auto& [ref, own] : own_nodes_) {
        if (own == node && ref.part == id && circuit[ref].net.known()) {
            return net(circuit[ref].net);
        }
    }
    return node;
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
    load.volts = network().probe_voltage(name(id, "terminals"), outside(id, from), outside(id, to));
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
