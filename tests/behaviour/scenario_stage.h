// Small circuits made by hand, with all that a scenario needs of a model: a supply, a load with its
// two switches, owners. What they do can be worked out on paper.
#pragma once

#include <numbers>
#include <string>
#include <utility>

#include "behaviour/models.h"

namespace etchback::behaviour {

class Stage {
public:
    Model model;
    NodeId plus, load_node;

    // A supply of `volts` (RMS where it alternates) between plus and the reference, without any
    // resistance of its own.
    explicit Stage(double volts, double hz = 0.0) {
        Network& net = model.network;
        plus = net.node("plus");
        const OwnerId owner = net.owner("J1");
        const double peak = hz > 0.0 ? volts * std::numbers::sqrt2 : volts;
        const KnobId knob = net.knob("J1.voltage", peak);
        const BranchId source = net.add("J1", reference, plus, source_of(knob, hz), owner);
        Terminals& ends = model.terminals;
        ends.mains = {source};
        ends.mains_peak = knob;
        ends.mains_hz = hz;
        ends.mains_v = net.probe_voltage("J1.voltage", plus);
        ends.mains_a = net.probe_current("J1.current", source);
        model.owners["J1"] = owner;
    }

    void resistor(const std::string& name, NodeId from, NodeId to, double ohm) {
        model.network.add(name, from, to, Conductance{1.0 / ohm}, owner(name));
    }
    void capacitor(const std::string& name, NodeId from, NodeId to, double farad) {
        model.network.add(name, from, to, Capacitance{farad}, owner(name));
    }
    // No voltage across it while it conducts, but 1 mV per ampere.
    void diode(const std::string& name, NodeId anode, NodeId cathode) {
        model.network.add(
            name,
            anode,
            cathode,
            Curve{Expression::voltage(anode, cathode), {{0.0}, {1e-9, 1e3}, 0.0}, 1.0},
            owner(name));
    }

    // A resistor as load between `node` and the reference.
    void load(const std::string& name, NodeId node, double ohm) {
        Network& net = model.network;
        const NodeId inside = net.node(name + ".lead");
        Terminals::Load load;
        load.part = name;
        load.owner = owner(name);
        load.series =
            net.add_switch(name + ".series", node, inside, {1e6, 1e-12, true}, load.owner);
        load.across = net.add_switch(
            name + ".across", inside, reference, {1e3, 0.0, false}, net.owner(name + " short"));
        net.add(name, inside, reference, Conductance{1.0 / ohm}, load.owner);
        load.volts = net.probe_voltage(name + ".terminals", node);
        load.amps = net.probe_current(name + ".current",
                                      net.switches()[static_cast<std::size_t>(load.series.index)]);
        model.terminals.loads.push_back(load);
    }

    void limit(const std::string& part, Limit::Kind kind, ProbeId probe, double rating) {
        Limit limit;
        limit.part = part;
        limit.kind = kind;
        limit.probe = probe;
        limit.rating = rating;
        limit.basis = "marking";
        model.limits.push_back(limit);
    }
    void power_limit(const std::string& part, double watt) {
        Limit limit;
        limit.part = part;
        limit.kind = Limit::Kind::power;
        limit.owner = owner(part);
        limit.rating = watt;
        model.limits.push_back(limit);
    }

    static VoltageSource source_of(KnobId knob, double hz) {
        if (hz > 0.0) {
            return {Sine{1.0, hz, std::numbers::pi, knob}};
        }
        return {FromKnob{knob, -1.0}};
    }

    OwnerId owner(const std::string& name) {
        const auto [at, is_new] = model.owners.try_emplace(name);
        if (is_new) {
            at->second = model.network.owner(name);
        }
        return at->second;
    }
};

}  // namespace etchback::behaviour
