// Wiring of the boundary-mode machines.
#include <fmt/format.h>

#include <algorithm>

#include "behaviour/detail/controller_boundary.h"

namespace etchback::behaviour::detail {

namespace {

// How the end of demagnetisation and the valley are seen.
void make_eye(Bench& bench, const Bench::Power& power, BoundarySettings& set) {
    if (const auto detect = bench.pin("detect")) {
        set.divided = true;
        set.seen = bench.volts("detection", *detect, 0.5);
        set.seen_slope = bench.slope("detection slope", *detect, 2e7);
        set.drop = bench.positive("detect_drop");
        set.fall_per_s = bench.positive("detect_fall");
        set.plateau_over_v = bench.number_or("detect_over_voltage", 0.0);
        set.plateau_short_v = bench.number_or("detect_short", 0.0);
    } else if (power.drain) {
        set.seen = bench.volts("switch node", *power.drain, 50.0);
        set.seen_slope = bench.slope("switch node slope", *power.drain, 1e9);
        set.drop = bench.positive("demagnetisation_drop");
        set.fall_per_s = bench.positive("demagnetisation_fall");
    }
}

void make_timing(Bench& bench, BoundarySettings& set) {
    set.blanking_s = bench.number("blanking");
    set.delay_s = bench.number("delay_to_output");
    set.most_on_s = bench.positive("maximum_on_time");
    set.least_on_s = bench.number_or("minimum_on_time", 0.0);
    set.off_blanking_s = bench.number("off_blanking");
    set.least_off_s = bench.number("minimum_off_time");
    const double most_hz = bench.number_or("maximum_frequency", 0.0);
    set.least_period_s = most_hz > 0.0 ? 1.0 / most_hz : 0.0;
    set.restart_s = bench.positive("restart_timer");
    if (set.least_on_s > set.most_on_s) {
        bench.complain(
            fmt::format("the minimum on-time of {} is above its maximum on-time", bench.part()),
            "check both");
    }
    if (set.restart_s < set.least_off_s || set.restart_s < set.off_blanking_s) {
        bench.complain(fmt::format("the restart timer of {} ends before its minimum off-time or "
                                   "blanking",
                                   bench.part()),
                       "give a longer restart_timer");
    }
}

void make_integrator(Bench& bench, bool by_on_time, BoundarySettings& set) {
    NodeId node;
    if (const auto pin = bench.pin("compensation")) {
        node = *pin;
    } else {
        node = bench.inner_node("compensation");
    }
    const double high_v = bench.positive("compensation_high");
    set.gm = bench.positive("transconductance");
    set.error = bench.knob("compensation current", 0.0);
    bench.add(
        "compensation current", bench.ground(), node, CurrentSource{FromKnob{*set.error, 1.0}});
    bench.clamp("compensation clamp", node, high_v, 0.1);
    // The amplifier's output resistance, so that no pin floats.
    bench.add("compensation output", node, bench.ground(), Conductance{1e-9});
    if (!bench.has_capacitor(node)) {
        bench.add("compensation inside",
                  node,
                  bench.ground(),
                  Capacitance{bench.positive("compensation_inside"), 0.0});
    }
    set.reset =
        bench.add_switch("compensation reset", node, bench.ground(), Switch{1e-3, 1e-12, true});
    set.compensation = bench.volts("compensation", node, 1.0);
    if (by_on_time) {
        set.on_per_volt_s = bench.positive("on_time_per_volt");
    } else {
        set.peak_per_volt = bench.positive("peak_per_volt");
    }
}

base::Result<std::unique_ptr<Machine>> finish(Bench& bench, Supply supply, BoundarySettings set) {
    if (!bench.errors().empty()) {
        return std::move(bench.errors());
    }
    std::unique_ptr<Machine> machine =
        std::make_unique<Boundary>(bench.part(), std::move(supply), set);
    return machine;
}

}  // namespace

base::Result<std::unique_ptr<Machine>> make_boundary_flyback(Bench& bench, bool by_on_time) {
    BoundarySettings set;
    const Supply supply = make_supply(bench);
    const Bench::Power power = bench.power();
    set.power = power.id;
    set.sense = bench.volts("sense", bench.needed_pin("sense"), 0.5);
    make_timing(bench, set);
    make_eye(bench, power, set);
    set.limit_v = bench.positive("current_limit");
    set.reference_v = bench.positive("current_reference") * thermal_share(bench);
    set.short_s = bench.number_or("short_output_time", 0.0);
    make_integrator(bench, by_on_time, set);
    return finish(bench, supply, set);
}

base::Result<std::unique_ptr<Machine>> make_boundary_buck(Bench& bench) {
    BoundarySettings set;
    const Supply supply = make_supply(bench);
    const Bench::Power power = bench.power();
    set.power = power.id;
    NodeId sense = bench.ground();
    if (bench.pin("sense")) {
        sense = *bench.pin("sense");
    } else if (power.own && power.source) {
        sense = *power.source;
    } else {
        sense = bench.needed_pin("sense");
    }
    set.sense = bench.volts("sense", sense, 0.5);
    make_timing(bench, set);
    make_eye(bench, power, set);
    set.reference_v = bench.positive("current_reference") * thermal_share(bench);
    set.limit_v = set.reference_v;
    set.least_demagnetised_s = bench.number_or("over_voltage_demagnetisation", 0.0);
    return finish(bench, supply, set);
}

}  // namespace etchback::behaviour::detail
