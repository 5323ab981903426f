// Triac, thyristor, diac and optotriac: a channel that a machine latches, behind a knee.
#include <algorithm>

#include "behaviour/detail/model_machines.h"
#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

// Current of a switch.
ProbeId amps_of(Builder& b, PartId id, SwitchId channel) {
    const BranchId branch = b.network().switches()[static_cast<std::size_t>(channel.index)];
    return b.network().probe_current(b.name(id, "channel current"), branch);
}

// Knee and slope in series with a switch, both ways or one way; with what the open channel holds.
SwitchId channel(
    Builder& b, PartId id, NodeId from, NodeId to, double knee_v, double ohm, bool one_way) {
    const NodeId inside = b.inner(id, "inside");
    const double leak = off_siemens * knee_v;
    b.own_curve(id,
                "knee",
                from,
                inside,
                one_way ? knee(knee_v, ohm) : odd({{knee_v, leak}, {knee_v + ohm, 1.0 + leak}}));
    const SwitchId out =
        b.add_switch(id, "channel", inside, to, {wire_siemens, off_siemens, false});
    b.capacitor(id, "off capacitance", from, to, b.number(id, "off_capacitance"));
    return out;
}

// Gate to first main terminal: a junction that conducts either way in a triac. Gives its current.
ProbeId gate_amps(Builder& b, PartId id, NodeId gate, NodeId to, bool one_way) {
    const double volts = b.number(id, "gate_voltage");
    const double ohm = b.number(id, "gate_resistance");
    const double leak = off_siemens * volts;
    const BranchId branch =
        b.own_curve(id,
                    "gate",
                    gate,
                    to,
                    one_way ? knee(volts, ohm) : odd({{volts, leak}, {volts + ohm, 1.0 + leak}}));
    return b.network().probe_current(b.name(id, "gate current"), branch, 1e-3);
}

double on_slope(Builder& b, PartId id) {
    std::optional<Known> amps;
    if (const auto& said = b.part(id).said.rated_current) {
        amps = Known{said->value, false, ""};
    } else {
        amps = b.typed(id, &parts::RegisteredType::current_a, base::Unit::ampere);
    }
    return b.number(id, "on_slope_voltage") / b.number(id, "rated_current", amps);
}

}  // namespace

void model_triac(Builder& b, PartId id) {
    const NodeId far = b.pin(id, "mt2"), near = b.pin(id, "mt1");
    LatchData data;
    data.part = b.part(id).name;
    data.channel = channel(b, id, far, near, b.number(id, "on_voltage"), on_slope(b, id), false);
    data.amps = amps_of(b, id, data.channel);
    data.trigger = gate_amps(b, id, b.pin(id, "gate"), near, false);
    data.trigger_level = b.number(id, "gate_current");
    data.hold_a = b.number(id, "hold_current");
    b.machine(make_latch(data));
}

void model_thyristor(Builder& b, PartId id) {
    const NodeId anode = b.pin(id, "anode"), cathode = b.pin(id, "cathode");
    LatchData data;
    data.part = b.part(id).name;
    data.one_way = true;
    data.channel =
        channel(b, id, anode, cathode, b.number(id, "on_voltage"), on_slope(b, id), true);
    data.amps = amps_of(b, id, data.channel);
    data.trigger = gate_amps(b, id, b.pin(id, "gate"), cathode, true);
    data.trigger_level = b.number(id, "gate_current");
    data.hold_a = b.number(id, "hold_current");
    b.machine(make_latch(data));
}

void model_diac(Builder& b, PartId id) {
    const NodeId from = b.pin(id, 0), to = b.pin(id, 1);
    std::optional<Known> said;
    if (const auto value = b.perhaps_value(id)) {
        said = Known{base::Quantity::of(*value, base::Unit::volt), false, ""};
    }
    const double breakover = b.number(id, "breakover_voltage", said);
    const double on = std::max(0.3 * breakover, breakover - b.number(id, "breakback_voltage"));
    LatchData data;
    data.part = b.part(id).name;
    data.channel = channel(b, id, from, to, on, b.number(id, "on_resistance"), false);
    data.amps = amps_of(b, id, data.channel);
    data.volts = b.network().probe_voltage(b.name(id, "voltage"), from, to);
    data.breakover_v = breakover;
    data.hold_a = b.number(id, "hold_current");
    b.model.part_amps[data.part] = data.amps;
    b.machine(make_latch(data));
}

void model_spark_gap(Builder& b, PartId id) {
    std::optional<double> volts = b.perhaps_value(id);
    const auto& said = b.part(id).said.properties;
    if (!volts && said.contains("gap")) {
        // Paschen's law near one bar, for gaps above a tenth of a millimetre: 3 kV a millimetre
        // and 1.3 kV more (common practice).
        volts = 1300.0 + 3e6 * said.at("gap").value.value;
    }
    if (!volts) {
        b.note(b.part(id).name + ": its voltage is not known; it is taken as open");
        return;
    }
    const NodeId from = b.pin(id, 0), to = b.pin(id, 1);
    LatchData data;
    data.part = b.part(id).name;
    // An arc that asked for more than what fired it would go out at once, without end.
    const double arc = std::min(b.number(id, "arc_voltage"), 0.5 * *volts);
    data.channel = channel(b, id, from, to, arc, b.number(id, "arc_resistance"), false);
    data.amps = amps_of(b, id, data.channel);
    data.volts = b.network().probe_voltage(b.name(id, "voltage"), from, to);
    data.breakover_v = *volts;
    data.hold_a = b.number(id, "hold_current");
    data.fired = "spark";
    b.model.part_amps[data.part] = data.amps;
    b.machine(make_latch(data));
}

void model_opto_triac(Builder& b, PartId id) {
    const NodeId anode = b.pin(id, "anode"), cathode = b.pin(id, "cathode");
    Junction led;
    led.forward_v = b.number(id, "forward_voltage");
    led.forward_a = 0.01;
    led.knee_share = 0.85;
    led.capacitance_f = b.number(id, "junction_capacitance");
    const BranchId light = junction(b, id, "LED", anode, cathode, led);
    LatchData data;
    data.part = b.part(id).name;
    data.channel = channel(b,
                           id,
                           b.pin(id, "mt2"),
                           b.pin(id, "mt1"),
                           b.number(id, "on_voltage"),
                           on_slope(b, id),
                           false);
    data.amps = amps_of(b, id, data.channel);
    data.trigger = b.network().probe_current(b.name(id, "LED current"), light, 1e-3);
    data.trigger_level = b.number(id, "trigger_current");
    data.hold_a = b.number(id, "hold_current");
    b.machine(make_latch(data));
}

}  // namespace etchback::behaviour::detail
