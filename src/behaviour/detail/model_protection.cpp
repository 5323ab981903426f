// Fuses, thermistors, varistors.
#include <fmt/format.h>

#include <cmath>

#include "behaviour/detail/model_machines.h"
#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

BranchId branch_of(Builder& b, SwitchId id) {
    return b.network().switches()[static_cast<std::size_t>(id.index)];
}

// "T1A", "T1,6AL": time-lag by its mark (IEC 60127-1).
bool time_lag(const circuit::Part& part) {
    const std::string& mark = part.said.marking.value;
    return mark.starts_with("T") || mark.find(" T") != std::string::npos ||
           part.said.kind.value.find("slow") != std::string::npos ||
           part.said.kind.value.find("lag") != std::string::npos;
}

}  // namespace

void model_fuse(Builder& b, PartId id) {
    std::optional<double> amps = b.perhaps_value(id);
    if (const auto& said = b.part(id).said.rated_current; !amps && said) {
        amps = b.number(id, "rated_current", Known{said->value, false, ""});
    }
    if (!amps || *amps <= 0.0) {
        b.note(fmt::format("{}: its current is not known; it never melts here", b.part(id).name));
    }
    const double rated = amps && *amps > 0.0 ? *amps : 1e3;
    std::optional<Known> cold;
    if (!b.part(id).said.properties.contains("resistance_cold")) {
        cold = Known{base::Quantity::of(b.number(id, "fuse_drop") / rated, base::Unit::ohm),
                     true,
                     "usual drop at the rated current"};
    }
    const double ohm = b.number(id, "resistance_cold", cold);
    const NodeId from = b.pin(id, 0), to = b.pin(id, 1);
    const SwitchId link = b.add_switch(id, "", from, to, {1.0 / ohm, off_siemens, true});
    b.current(id, branch_of(b, link));
    std::optional<Known> energy;
    if (!b.part(id).said.properties.contains("melting_energy")) {
        const double seconds =
            b.number(id, time_lag(b.part(id)) ? "melting_time_lag" : "melting_time_quick");
        energy = Known{{seconds * rated * rated,
                        base::Unit::ampere_squared_second,
                        0.4 * seconds * rated * rated,
                        2.5 * seconds * rated * rated,
                        {},
                        true},
                       true,
                       "usual time times the square of the rated current"};
    }
    FuseData fuse;
    fuse.part = b.part(id).name;
    fuse.link = link;
    fuse.amps = b.model.part_amps.at(fuse.part);
    fuse.watch_a = 2.1 * rated;  // peak of one and a half times the rated current
    fuse.melting_a2s = b.number(id, "melting_energy", energy);
    fuse.cooling_s = b.number(id, "heat_time");
    if (amps && *amps > 0.0) {
        b.machine(make_fuse(fuse));
    }
}

void model_ptc(Builder& b, PartId id) {
    std::optional<Known> cold_said;
    if (const auto value = b.perhaps_value(id)) {
        cold_said = Known{base::Quantity::of(*value, base::Unit::ohm), false, ""};
    }
    const double cold = b.number(id, "resistance_cold", cold_said);
    std::optional<Known> hold_said;
    if (const auto& said = b.part(id).said.rated_current) {
        hold_said = Known{said->value, false, ""};
    }
    const double hold = b.number(id, "hold_current", hold_said);
    const double times = b.number(id, "tripped_times");
    const NodeId from = b.pin(id, 0), to = b.pin(id, 1);
    const SwitchId body = b.add_switch(id, "", from, to, {1.0 / cold, 1.0 / (cold * times), true});
    b.current(id, branch_of(b, body));
    FuseData fuse;
    fuse.part = b.part(id).name;
    fuse.link = body;
    fuse.amps = b.model.part_amps.at(fuse.part);
    fuse.watch_a = 2.0 * hold;
    fuse.cooling_s = b.number(id, "heat_time");
    fuse.melting_a2s = 25.0 * hold * hold * b.number(id, "trip_time");  // stated at five times
    fuse.arc_s = 1e-4;
    fuse.key = "ptc_tripped";
    fuse.words = "grew hot and tripped";
    b.machine(make_fuse(fuse));
}

void model_ntc(Builder& b, PartId id) {
    std::optional<Known> cold_said;
    if (const auto value = b.perhaps_value(id)) {
        cold_said = Known{base::Quantity::of(*value, base::Unit::ohm), false, ""};
    }
    const double cold = b.number(id, "resistance_cold", cold_said);
    const double beta = b.number(id, "beta");
    ThermistorData data;
    data.part = b.part(id).name;
    data.cooling_s = b.number(id, "thermal_time");
    data.watt_per_k = b.number(id, "dissipation_factor");
    const NodeId from = b.pin(id, 0), to = b.pin(id, 1), hot = b.inner(id, "body");
    // R = R25 exp(B (1/T - 1/298 K)), in levels a factor apart; each level is a switch.
    constexpr int levels = 10;
    const double ratio = 0.7;
    const BranchId wire = b.conductor(id, "", from, hot, 1e-3);
    for (int k = 0; k < levels; ++k) {
        const double ohm = cold * std::pow(ratio, k);
        data.levels.push_back(
            b.add_switch(id, fmt::format("level {}", k), hot, to, {1.0 / ohm, 0.0, k == 0}));
        // A level holds from where the resistance is nearer to it than to the one before.
        const double edge = std::pow(ratio, k - 0.5);
        data.from_k.push_back(1.0 / (1.0 / data.ambient_k + std::log(edge) / beta));
    }
    b.conductor(id, "least", hot, to, 1e6);
    b.current(id, wire);
    data.amps = b.model.part_amps.at(data.part);
    data.volts = b.network().probe_voltage(b.name(id, "voltage"), hot, to);
    b.machine(make_thermistor(data));
}

void model_varistor(Builder& b, PartId id) {
    std::optional<double> volts = b.perhaps_value(id);
    if (!volts) {
        if (const auto& said = b.part(id).said.rated_voltage) {
            // The voltage at 1 mA is usually 1.57 times the RMS voltage that it may see for long.
            volts = b.number(id,
                             "varistor_voltage",
                             Known{base::Quantity::of(1.57 * said->value.value, base::Unit::volt),
                                   true,
                                   "1.57 times the rated RMS voltage, common practice"});
        }
    }
    if (!volts || *volts <= 0.0) {
        b.note(fmt::format("{}: its voltage is not known; it is left out", b.part(id).name));
        return;
    }
    const double clamp = *volts * b.number(id, "clamping_ratio");
    const double clamp_a = b.number(id, "clamping_current");
    // 1 mA at its voltage, a hundredth of it a tenth below; the clamping voltage at its current.
    const PiecewiseLinear shape = odd({{0.9 * *volts, 1e-5},
                                       {*volts, 1e-3},
                                       {*volts + 0.4 * (clamp - *volts), 0.1 * clamp_a},
                                       {clamp, clamp_a}});
    b.current(id, b.own_curve(id, "", b.pin(id, 0), b.pin(id, 1), shape));
}

}  // namespace etchback::behaviour::detail
