// Transistors that no controller works: currents that follow the voltages of their junctions.
#include <cmath>

#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

using parts::RegisteredType;

// Nodes with the sense in which a P-type is the mirror of an N-type.
struct Mirror {
    bool p_type = false;
    // Branch ends in the order in which an N-type carries current.
    std::pair<NodeId, NodeId> ends(NodeId from, NodeId to) const {
        return p_type ? std::pair(to, from) : std::pair(from, to);
    }
    Expression volts(NodeId plus, NodeId minus, double constant = 0.0) const {
        const double sign = p_type ? -1.0 : 1.0;
        return sum({{plus, sign}, {minus, -sign}}, constant);
    }
};

double rated_amps(Builder& b, PartId id) {
    std::optional<Known> current;
    if (const auto& said = b.part(id).said.rated_current) {
        current = Known{said->value, false, ""};
    } else {
        current = b.typed(id, &RegisteredType::current_a, base::Unit::ampere);
    }
    return b.number(id, "rated_current", current);
}

double rated_volts(Builder& b, PartId id) {
    std::optional<Known> volts;
    if (const auto& said = b.part(id).said.rated_voltage) {
        volts = Known{said->value, false, ""};
    } else {
        volts = b.typed(id, &RegisteredType::main_voltage_v, base::Unit::volt);
    }
    return b.number(id, "rated_voltage", volts);
}

// On-resistance: the type's, a row of the table, or that which drops a usual share of the rated
// voltage at the rated current.
double on_ohm(Builder& b, PartId id) {
    std::optional<Known> ohm = b.typed(id, &RegisteredType::on_resistance_ohm, base::Unit::ohm);
    if (!ohm) {
        if (const auto row = b.perhaps(id, "on_resistance")) {
            return *row;
        }
        const double share = b.number(id, "on_drop_share");
        const double value = share * rated_volts(b, id) / rated_amps(b, id);
        ohm = Known{{value, base::Unit::ohm, 0.6 * value, 1.7 * value, {}, true},
                    true,
                    "usual drop at the rated current, as a share of the rated voltage"};
    }
    return b.number(id, "on_resistance", ohm);
}

void body_diode(Builder& b, PartId id, NodeId anode, NodeId cathode, double amps) {
    Junction j;
    j.forward_v = b.number(id, "body_diode_voltage");
    j.forward_a = amps;
    j.breakdown_v = rated_volts(b, id);
    j.capacitance_f = b.number(id, "output_capacitance");
    junction(b, id, "body diode", anode, cathode, j);
}

// A channel between two ends that saturates: each end's share follows its own gate voltage, and
// the difference flows. Both on, it is a resistor of 1/siemens; one off, a current source.
void channel(Builder& b,
             PartId id,
             const Mirror& mirror,
             NodeId gate,
             NodeId drain,
             NodeId source,
             double threshold_v,
             double siemens) {
    const auto [from, to] = mirror.ends(drain, source);
    const auto [back_from, back_to] = mirror.ends(source, drain);
    b.curve(id, "channel", from, to, mirror.volts(gate, source), ramp(threshold_v, siemens), 1.0);
    b.curve(id,
            "channel from the drain",
            back_from,
            back_to,
            mirror.volts(gate, drain),
            ramp(threshold_v, siemens),
            1.0);
}

}  // namespace

std::pair<NodeId, NodeId> power_ends(Builder& b, PartId id) {
    const bool drain = b.part(id).pin("drain").has_value();
    return {b.pin(id, drain ? "drain" : "collector"), b.pin(id, drain ? "source" : "emitter")};
}

void make_driven(Builder& b, PartId controller, PartId id, const std::vector<std::size_t>& lost) {
    const circuit::Part& part = b.part(id);
    const bool mosfet = part.pin("drain").has_value();
    const auto [high, low] = power_ends(b, id);
    const double amps = rated_amps(b, id);
    const double ohm = mosfet ? on_ohm(b, id) : b.number(id, "saturation_voltage") / amps;
    NodeId end = low;
    if (!lost.empty()) {  // dormant faults that take the drive away keep the channel open
        end = b.inner(id, "drive");
        const SwitchId drive =
            b.add_switch(id, "drive", end, low, {wire_siemens, dormant_leak, true});
        for (const std::size_t f : lost) {
            b.model.dormant[f] = {drive, false};
        }
    }
    const SwitchId work = b.add_switch(id, "channel", high, end, {1.0 / ohm, off_siemens, false});
    b.driven[id] = {work, high, low, controller};
    if (mosfet) {
        const bool p_type = part.kind.id == "p_channel_mosfet";
        body_diode(b, id, p_type ? high : low, p_type ? low : high, amps);
    } else {
        b.capacitor(id, "output", high, low, b.number(id, "output_capacitance"));
    }
    const std::string ends = mosfet ? ", drain and source" : ", collector and emitter";
    const ProbeId across = b.network().probe_voltage(part.name + ends, high, low);
    b.model.notable.push_back(across);
    b.model.terminals.switches.push_back({part.name, across});
}

void model_mosfet(Builder& b, PartId id) {
    if (b.is_switch(id)) {
        return;  // make_driven() has made it
    }
    const Mirror mirror{b.part(id).kind.id == "p_channel_mosfet"};
    const NodeId gate = b.pin(id, "gate"), drain = b.pin(id, "drain"), source = b.pin(id, "source");
    const double threshold = std::abs(b.number(id, "gate_threshold"));
    channel(b, id, mirror, gate, drain, source, threshold, 1.0 / on_ohm(b, id));
    b.capacitor(id, "gate", gate, source, b.number(id, "gate_capacitance"));
    const auto [anode, cathode] = mirror.ends(source, drain);
    body_diode(b, id, anode, cathode, rated_amps(b, id));
}

void model_jfet(Builder& b, PartId id) {
    const NodeId gate = b.pin(id, "gate"), drain = b.pin(id, "drain"), source = b.pin(id, "source");
    const double pinch = std::abs(b.number(id, "pinch_off_voltage"));
    const double most = b.number(id, "saturation_current");
    channel(b, id, {}, gate, drain, source, -pinch, most / pinch);
    Junction j;
    j.forward_v = b.number(id, "base_emitter_voltage");
    j.forward_a = 0.01;
    j.capacitance_f = b.number(id, "junction_capacitance");
    junction(b, id, "gate to source", gate, source, j);
    junction(b, id, "gate to drain", gate, drain, j);
}

void model_igbt(Builder& b, PartId id) {
    if (b.is_switch(id)) {
        return;
    }
    const NodeId gate = b.pin(id, "gate"), collector = b.pin(id, "collector"),
                 emitter = b.pin(id, "emitter");
    const double amps = rated_amps(b, id);
    const double saturation = b.number(id, "saturation_voltage");
    const double start = 0.5 * saturation;
    const NodeId inside = b.inner(id, "inside");
    b.own_curve(id, "injector", collector, inside, knee(start, 0.25 * saturation / amps));
    channel(b,
            id,
            {},
            gate,
            inside,
            emitter,
            b.number(id, "gate_threshold"),
            amps / (0.25 * saturation));
    b.conductor(id, "inside leak", inside, emitter, 1e8);
    b.capacitor(id, "gate", gate, emitter, b.number(id, "gate_capacitance"));
    b.capacitor(id, "output", collector, emitter, b.number(id, "output_capacitance"));
}

void model_bjt(Builder& b, PartId id) {
    if (b.is_switch(id) || b.silent.contains(id)) {
        return;
    }
    const Mirror mirror{b.part(id).kind.id == "pnp_transistor"};
    const NodeId base = b.pin(id, "base"), collector = b.pin(id, "collector"),
                 emitter = b.pin(id, "emitter");
    const double amps = rated_amps(b, id);
    const double gain = b.number(id, "gain");
    const double reverse_gain = b.number(id, "reverse_gain");
    const double volts = b.number(id, "base_emitter_voltage");
    // The base-emitter voltage holds at a tenth of the rated current; the knee lies 50 mV below.
    const double start = volts - 0.05;
    const double siemens = 0.1 * amps / 0.05;
    const double breakdown = b.number(id, "emitter_breakdown");
    // Transport: what crosses the base from either junction (Ebers and Moll 1954, in pieces).
    const auto [ce_from, ce_to] = mirror.ends(collector, emitter);
    const auto [ec_from, ec_to] = mirror.ends(emitter, collector);
    b.curve(
        id, "transport", ce_from, ce_to, mirror.volts(base, emitter), ramp(start, siemens), 0.1);
    b.curve(id,
            "reverse transport",
            ec_from,
            ec_to,
            mirror.volts(base, collector),
            ramp(start, siemens),
            0.1);
    const auto [be_from, be_to] = mirror.ends(base, emitter);
    const auto [bc_from, bc_to] = mirror.ends(base, collector);
    b.own_curve(id,
                "base to emitter",
                be_from,
                be_to,
                knee_and_breakdown(start, gain / siemens, breakdown, 10.0),
                0.1);
    b.own_curve(id, "base to collector", bc_from, bc_to, knee(start, reverse_gain / siemens), 0.1);
    b.conductor(id, "leak", collector, emitter, 1.0 / off_siemens);
    b.capacitor(id, "emitter junction", base, emitter, b.number(id, "emitter_capacitance"));
    b.capacitor(id, "collector junction", base, collector, b.number(id, "collector_capacitance"));
}

}  // namespace etchback::behaviour::detail
