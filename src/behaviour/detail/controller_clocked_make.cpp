// Wiring of the clocked machines.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "behaviour/detail/controller_clocked.h"

namespace etchback::behaviour::detail {

namespace {

void make_clock(Bench& bench, ClockedSettings& set) {
    set.blanking_s = bench.number("blanking");
    set.delay_s = bench.number("delay_to_output");
    set.hz = bench.positive("switching_frequency");
    set.least_hz = std::min(set.hz, bench.number_or("lowest_frequency", set.hz));
    set.most_duty = bench.positive("maximum_duty");
    if (set.most_duty > 1.0) {
        set.most_duty /= 100.0;  // written in percent
    }
    if (set.most_duty >= 1.0) {
        bench.complain(fmt::format("the largest duty of {} is 100 % or more", bench.part()),
                       "give a share of the period below 1");
    }
    if (set.least_hz <= 0.0) {
        bench.complain(fmt::format("the lowest frequency of {} is 0", bench.part()),
                       "give a frequency above zero");
    }
    set.soft_start_s = bench.number_or("soft_start", 0.0);
    set.limit = bench.positive("current_limit") * thermal_share(bench);
    set.slope_per_s = bench.number_or("slope_compensation", 0.0);
    set.burst_enter_v = bench.number_or("burst_enter", 0.0);
    set.burst_exit_v = std::max(set.burst_enter_v, bench.number_or("burst_exit", 0.0));
    set.full_frequency_v = bench.number_or("full_frequency", 0.0);
}

void make_sense(Bench& bench, const Bench::Power& power, ClockedSettings& set) {
    const auto pin = bench.pin("sense");
    if (pin || !power.own) {
        set.sense = bench.volts("sense", pin ? *pin : bench.needed_pin("sense"), 0.5);
        return;
    }
    set.sense = bench.network().probe_current(bench.part() + " switch current", *power.own, 0.5);
    set.sense_in_amps = true;
}

base::Result<std::unique_ptr<Machine>> finish(Bench& bench, Supply supply, ClockedSettings set) {
    if (!bench.errors().empty()) {
        return std::move(bench.errors());
    }
    std::unique_ptr<Machine> machine =
        std::make_unique<Clocked>(bench.part(), std::move(supply), set);
    return machine;
}

// An error amplifier that drives a resistor and a capacitor; returns the node of its output.
NodeId make_amplifier(Bench& bench, NodeId feedback, ClockedSettings& set) {
    const double gm = bench.positive("transconductance");
    const double reference_v = bench.positive("feedback_reference") * thermal_share(bench);
    const double high_v = bench.positive("compensation_high");
    const auto pin = bench.pin("compensation");
    const NodeId output = pin ? *pin : bench.inner_node("compensation");
    Expression error;  // gm (reference - feedback), into the output
    error.volts = {{feedback, -gm}, {bench.ground(), gm}};
    error.constant = gm * reference_v;
    bench.add("error amplifier", bench.ground(), output, Controlled{std::move(error)});
    bench.add("error amplifier output", output, bench.ground(), Conductance{1e-9});
    bench.clamp("error amplifier clamp", output, high_v, 0.05);
    if (!pin) {
        const NodeId middle = bench.inner_node("compensation capacitor");
        bench.add("compensation resistor",
                  output,
                  middle,
                  Conductance{1.0 / bench.positive("compensation_resistor")});
        bench.add("compensation capacitor",
                  middle,
                  bench.ground(),
                  Capacitance{bench.positive("compensation_capacitor"), 0.0});
    } else if (!bench.has_capacitor(output)) {
        bench.add("compensation inside", output, bench.ground(), Capacitance{100e-12, 0.0});
    }
    set.reset =
        bench.add_switch("compensation reset", output, bench.ground(), Switch{1e-3, 1e-12, true});
    return output;
}

// A rectifier inside that conducts as a switch does, and only forwards: the second switch of a
// synchronous converter, which turns off at zero current.
void make_synchronous(Bench& bench, const Bench::Power& power) {
    if (!bench.has_positive("synchronous") || !power.drain || !power.source) {
        return;
    }
    const double g = 1.0 / bench.positive("on_resistance");
    const Curve curve{{}, PiecewiseLinear{{0.02}, {1e-9, g}, 0.0}, 0.2};
    const auto rectify = [&](NodeId from, NodeId to) {
        Curve one = curve;
        one.control = Expression::voltage(from, to);
        bench.add("synchronous rectifier", from, to, one);
    };
    if (*power.source == bench.ground()) {  // boost: from the switch node to the output
        rectify(*power.drain, bench.needed_pin("output"));
    } else {  // buck: from the return to the switch node
        rectify(bench.ground(), *power.source);
    }
}

}  // namespace

base::Result<std::unique_ptr<Machine>> make_fixed_frequency_flyback(Bench& bench) {
    ClockedSettings set;
    const Supply supply = make_supply(bench);
    const Bench::Power power = bench.power();
    set.power = power.id;
    make_clock(bench, set);
    make_sense(bench, power, set);
    const NodeId feedback = bench.needed_pin("feedback");
    set.pull_up_v = bench.positive("feedback_open");
    set.pull_up = bench.knob("feedback supply", 0.0);
    const NodeId inside = bench.inner_node("feedback supply");
    bench.add(
        "feedback supply", inside, bench.ground(), VoltageSource{FromKnob{*set.pull_up, 1.0}});
    bench.add("feedback pull-up",
              inside,
              feedback,
              Conductance{1.0 / bench.positive("feedback_resistance")});
    set.demand = bench.volts("feedback", feedback, 1.0);
    // In amperes where the sense input is the current of a switch inside: the limit at full demand.
    const double divider = bench.positive("feedback_divider");
    set.sense_per_demand = 1.0 / divider;
    if (set.sense_in_amps) {
        set.sense_per_demand = set.limit / bench.positive("feedback_at_limit");
    }
    set.overload_s = bench.number_or("overload_time", 0.0);
    if (set.overload_s > 0.0) {
        set.overload = set.demand;
        set.overload_level = bench.positive("overload_feedback");
        set.overload_back = 0.95 * set.overload_level;
        if (set.overload_level >= set.pull_up_v) {
            bench.complain(
                fmt::format("the overload threshold {} of {} is not below the {} of its open "
                            "feedback pin",
                            volts_text(set.overload_level),
                            bench.part(),
                            volts_text(set.pull_up_v)),
                "check overload_feedback and feedback_open");
        }
    }
    return finish(bench, supply, set);
}

base::Result<std::unique_ptr<Machine>> make_low_voltage_converter(Bench& bench) {
    ClockedSettings set;
    const Supply supply = make_supply(bench);
    const Bench::Power power = bench.power();
    set.power = power.id;
    make_clock(bench, set);
    make_sense(bench, power, set);
    make_synchronous(bench, power);
    const NodeId feedback = bench.needed_pin("feedback");
    const NodeId output = make_amplifier(bench, feedback, set);
    set.demand = bench.volts("error amplifier", output, 0.1);
    const double high_v = bench.positive("compensation_high");
    set.sense_per_demand = set.limit / high_v;
    set.overload_s = bench.number_or("overload_time", 0.0);
    const double share = bench.number_or("overload_share", 0.0);
    if (set.overload_s > 0.0 && share > 0.0) {
        set.overload = bench.volts("feedback", feedback, 0.1);
        set.overload_edge = Edge::falling;
        set.overload_level = share * bench.positive("feedback_reference");
        set.overload_back = 1.1 * set.overload_level;
    }
    const auto sensed = bench.pin("output");
    if (sensed && bench.has_positive("output_over_voltage")) {
        set.output = bench.volts("output", *sensed, 1.0);
        set.output_over_v = bench.positive("output_over_voltage");
    }
    return finish(bench, supply, set);
}

}  // namespace etchback::behaviour::detail
