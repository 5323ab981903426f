// What feeds the circuit: mains, direct supplies, batteries.
#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

constexpr double pi = std::numbers::pi;

// Public supplies of the world; a wide-range label means one of them, not the middle.
constexpr double public_v_rms[] = {230.0, 120.0, 100.0};

double nominal_of(const base::Quantity& said) {
    if (said.exact() || said.nominal) {
        return said.value;
    }
    for (const double v : public_v_rms) {
        if (said.low <= v && v <= said.high) {
            return v;
        }
    }
    return said.value;
}

std::optional<Known> said_voltage(const Builder& b, std::optional<double> of_part) {
    if (b.options.supply_v_rms) {
        return Known{base::Quantity::of(*b.options.supply_v_rms, base::Unit::volt), false, ""};
    }
    if (of_part) {
        return Known{base::Quantity::of(*of_part, base::Unit::volt), false, ""};
    }
    if (b.dossier.supply.voltage) {
        // One of the supplies that the label allows: its range is no tolerance.
        const double volts = nominal_of(b.dossier.supply.voltage->value);
        return Known{base::Quantity::of(volts, base::Unit::volt), false, ""};
    }
    return std::nullopt;
}

std::optional<Known> said_frequency(const Builder& b) {
    if (b.options.supply_hz) {
        return Known{base::Quantity::of(*b.options.supply_hz, base::Unit::hertz), false, ""};
    }
    if (b.dossier.supply.frequency) {
        const base::Quantity& said = b.dossier.supply.frequency->value;
        const double hz = said.choices.empty() ? said.value : said.choices.front();
        return Known{base::Quantity::of(hz, base::Unit::hertz), false, ""};
    }
    return std::nullopt;
}

// A sine behind the impedance of the public supply, between two nodes.
void put_mains(Builder& b, PartId id, NodeId live, NodeId neutral) {
    Terminals& ends = b.model.terminals;
    const double volts = b.number(id, "voltage", said_voltage(b, b.part(id).value()));
    const double hz = b.number(id, "frequency", said_frequency(b));
    if (!(volts >= 0.0) || !(hz > 0.0)) {
        b.complain(id,
                   fmt::format("a supply of {} V at {} Hz is none", volts, hz),
                   "write a voltage and a frequency above zero");
        return;
    }
    const bool first = !ends.mains_peak;
    const KnobId peak =
        first ? b.network().knob(b.name(id, "peak voltage"), volts * std::numbers::sqrt2)
              : *ends.mains_peak;
    const NodeId far = b.inner(id, "source");
    // From neutral to the source, so that current into the circuit counts as positive: the sine is
    // turned by half a cycle.
    const BranchId source =
        b.add(id,
              "source",
              neutral,
              far,
              VoltageSource{Sine{1.0, hz, b.options.supply_phase_rad + pi, peak}});
    const double ohm = b.number(id, "source_resistance");
    const double henry = b.number(id, "source_inductance");
    b.add(id, "source impedance", far, live, Winding{henry, ohm, 0.0});
    b.conductor(id, "source damping", far, live, b.number(id, "source_damping"));
    ends.mains.push_back(source);
    if (first) {
        ends.mains_peak = peak;
        ends.mains_hz = hz;
        ends.mains_v = b.network().probe_voltage(b.name(id, "voltage"), live, neutral);
        ends.mains_a = b.network().probe_current(b.name(id, "current"), source);
        b.model.part_amps[b.part(id).name] = *ends.mains_a;
    }
}

double battery_volts(Builder& b, PartId id) {
    const auto value = b.perhaps_value(id);
    if (value) {
        return *value;
    }
    const double cells = b.number(id, "count");
    return cells * b.number(id, "cell_voltage");
}

}  // namespace

void model_mains_at(Builder& b, PartId id, NodeId live, NodeId neutral) {
    put_mains(b, id, live, neutral);
}

void model_mains(Builder& b, PartId id) {
    if (!b.on_net(id, "L") || !b.on_net(id, "N")) {
        b.complain(id,
                   "it feeds nothing: live or neutral is on no net",
                   "write the nets of both: pins = { L = \"L\", N = \"N\" }");
        return;
    }
    if (b.part(id).net("L") == b.part(id).net("N")) {
        b.complain(id,
                   "live and neutral are on the same net, so the supply is shorted",
                   "write the net of each wire; look for a bridge between them");
        return;
    }
    const NodeId neutral = b.pin(id, "N");
    put_mains(b, id, b.pin(id, "L"), neutral);
    if (b.on_net(id, "PE")) {
        // Neutral is earthed where the supply comes from (TN system, IEC 60364-1).
        b.conductor(id, "earthing", b.pin(id, "PE"), neutral, b.number(id, "earth_resistance"));
    }
}

void model_dc_supply(Builder& b, PartId id) {
    Terminals& ends = b.model.terminals;
    const NodeId plus = b.pin(id, "plus"), minus = b.pin(id, "minus");
    const bool battery = b.part(id).kind.id == "battery";
    double volts = 0.0;
    if (battery && !b.options.supply_v_rms) {
        volts = battery_volts(b, id);
    } else {
        const auto known = said_voltage(b, b.part(id).value());
        if (!known) {
            b.complain(id, "its voltage is not known", "write voltage = \"...\" in [supply]");
            return;
        }
        volts = b.number(id, "voltage", known);
    }
    const NodeId far = b.inner(id, "source");
    const bool first = !ends.mains_peak && ends.mains.empty();
    Signal signal = Constant{-volts};
    if (first) {
        ends.mains_peak = b.network().knob(b.name(id, "voltage"), volts);
        signal = FromKnob{*ends.mains_peak, -1.0};
    }
    const BranchId source = b.add(id, "source", minus, far, VoltageSource{signal});
    b.conductor(id, "inner resistance", far, plus, b.number(id, "resistance"));
    ends.mains.push_back(source);
    if (first) {
        ends.mains_hz = 0.0;
        ends.mains_v = b.network().probe_voltage(b.name(id, "voltage"), plus, minus);
        ends.mains_a = b.network().probe_current(b.name(id, "current"), source);
        b.model.part_amps[b.part(id).name] = *ends.mains_a;
    }
}

}  // namespace etchback::behaviour::detail
