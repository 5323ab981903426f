#include "behaviour/detail/controller_parts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "base/quantity.h"

namespace etchback::behaviour::detail {

std::optional<double> Bench::find(std::string_view name) const {
    const auto given = wiring_.numbers.find(std::string(name));
    if (given != wiring_.numbers.end()) {
        return given->second;
    }
    const auto usual = std::find_if(family_.numbers.begin(),
                                    family_.numbers.end(),
                                    [&](const FamilyNumber& n) { return n.name == name; });
    if (usual != family_.numbers.end()) {
        return usual->usual.value;
    }
    return std::nullopt;
}

double Bench::number(std::string_view name) {
    const auto found = find(name);
    if (!found) {
        complain(fmt::format("{} has no number '{}'", part(), name),
                 fmt::format("write '{}' under thresholds of {}", name, part()));
        return 1.0;
    }
    if (!std::isfinite(*found) || *found < 0.0) {
        complain(fmt::format("'{}' of {} is {}", name, part(), *found),
                 "give a finite value that is not negative");
        return 1.0;
    }
    return *found;
}

double Bench::positive(std::string_view name) {
    const double value = number(name);
    if (value <= 0.0) {
        complain(fmt::format("'{}' of {} is 0", name, part()), "give a value above zero");
        return 1.0;
    }
    return value;
}

double Bench::number_or(std::string_view name, double otherwise) const {
    return find(name).value_or(otherwise);
}

std::optional<NodeId> Bench::pin(std::string_view role) const {
    const auto tied = wiring_.tied.find(std::string(role));
    const auto wired = wiring_.pins.find(std::string(role));
    if (wired == wiring_.pins.end() || (tied != wiring_.tied.end() && tied->second)) {
        return std::nullopt;
    }
    return wired->second;
}

NodeId Bench::needed_pin(std::string_view role) {
    const auto node = pin(role);
    if (!node) {
        std::string names;
        const auto known = family_.pins.find(std::string(role));
        if (known != family_.pins.end() && !known->second.empty()) {
            names = fmt::format(" (often called {})", known->second.front());
        }
        complain(
            fmt::format("{}: the pin for {}{} is on no net or on its return", part(), role, names),
            fmt::format("trace that pin of {} and write it under pins", part()));
    }
    return node.value_or(ground());
}

NodeId Bench::ground() const {
    const auto found = wiring_.pins.find("return");
    return found == wiring_.pins.end() ? reference : found->second;
}

std::string Bench::named(std::string_view what) const {
    return fmt::format("{} {}", part(), what);
}

NodeId Bench::inner_node(std::string_view what) {
    return network_.node(named(what));
}

BranchId Bench::add(std::string_view what, NodeId from, NodeId to, Element element) {
    return network_.add(named(what), from, to, std::move(element), wiring_.owner);
}

SwitchId Bench::add_switch(std::string_view what, NodeId from, NodeId to, Switch element) {
    return network_.add_switch(named(what), from, to, element, wiring_.owner);
}

KnobId Bench::knob(std::string_view what, double initial) {
    return network_.knob(named(what), initial);
}

ProbeId Bench::volts(std::string_view what, NodeId node, double scale) {
    return network_.probe_voltage(named(what), node, ground(), scale);
}

ProbeId Bench::slope(std::string_view what, NodeId node, double scale) {
    Probe probe;
    probe.name = named(what);
    probe.kind = Probe::Kind::slope;
    probe.expression = Expression::voltage(node, ground());
    probe.scale = scale;
    return network_.probe(std::move(probe));
}

KnobId Bench::sink(std::string_view what, NodeId node, double largest_a) {
    // min(knob, g v) = g v - max(0, g v - knob), with the largest current reached at half a volt. A
    // ten-millionth of g is left above, so that a pin on nothing else has a voltage.
    const double g = std::max(largest_a, 1e-6) / 0.5;
    const KnobId amps = knob(what, least_sink_a);
    add(fmt::format("{}, limit", what), node, ground(), Conductance{g});
    Expression excess = Expression::voltage(node, ground());
    for (Expression::Volt& volt : excess.volts) {
        volt.factor *= g;
    }
    excess.knobs.push_back({amps, -1.0});
    add(what,
        node,
        ground(),
        Curve{std::move(excess), PiecewiseLinear{{0.0}, {0.0, -1.0 + 1e-7}, 0.0}, largest_a});
    return amps;
}

void Bench::clamp(std::string_view what, NodeId node, double high_v, double siemens) {
    add(what,
        node,
        ground(),
        Curve{Expression::voltage(node, ground()),
              PiecewiseLinear{{-0.05, high_v}, {siemens, 0.0, siemens}, 0.0},
              0.2});
}

namespace {

// As good as a wire: a small resistance, or a closed switch that a fault may open later.
bool is_wire(const Element& element) {
    constexpr double wire_siemens = 1.0;
    if (const auto* g = std::get_if<Conductance>(&element)) {
        return g->siemens >= wire_siemens;
    }
    const auto* contact = std::get_if<Switch>(&element);
    return contact != nullptr && contact->closed && contact->on_siemens >= wire_siemens;
}

}  // namespace

bool Bench::has_capacitor(NodeId node) const {
    std::set<NodeId> joined = {node};
    for (std::size_t before = 0; before != joined.size();) {
        before = joined.size();
        for (const Branch& branch : network_.branches()) {
            if (is_wire(branch.element) && branch.to != ground() && branch.from != ground() &&
                (joined.contains(branch.from) || joined.contains(branch.to))) {
                joined.insert({branch.from, branch.to});
            }
        }
    }
    return std::any_of(
        network_.branches().begin(), network_.branches().end(), [&](const Branch& branch) {
            return std::holds_alternative<Capacitance>(branch.element) &&
                   joined.contains(branch.from) != joined.contains(branch.to);
        });
}

Bench::Power Bench::power() {
    Power power;
    power.drain = wiring_.switch_node ? wiring_.switch_node : pin("drain");
    power.source = wiring_.switch_source;
    if (wiring_.power_switch) {
        power.id = wiring_.power_switch;
        return power;
    }
    const auto drain = pin("drain");
    if (!drain) {
        return power;
    }
    // Sense and source are one pin where a controller has its own transistor and a resistor
    // outside.
    NodeId source = ground();
    if (const auto written = pin("source")) {
        source = *written;
    } else if (const auto sense = pin("sense")) {
        source = *sense;
    }
    const double ohm = positive("on_resistance");
    power.drain = drain;
    power.source = source;
    power.id = add_switch("switch", *drain, source, Switch{1.0 / ohm, 1e-9, false});
    power.own = network_.switches()[static_cast<std::size_t>(power.id->index)];
    return power;
}

void Bench::complain(std::string what, std::string todo) {
    errors_.push_back({{}, std::move(what), std::move(todo)});
}

double thermal_share(const Bench& bench) {
    const double beyond =
        bench.number_or("junction_temperature", 25.0) - bench.number_or("foldback_start", 1e9);
    const double share = 1.0 - std::max(0.0, beyond) * bench.number_or("foldback_slope", 0.0);
    return std::max(share, std::min(1.0, bench.number_or("foldback_least", 0.0)));
}

std::string volts_text(double v) {
    return base::to_engineering(v, base::Unit::volt);
}
std::string amps_text(double a) {
    return base::to_engineering(a, base::Unit::ampere);
}
std::string time_text(double s) {
    return base::to_engineering(s, base::Unit::second);
}

}  // namespace etchback::behaviour::detail
