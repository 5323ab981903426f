// Invented outcomes of simulations, as the engine would hand them over: what the report and the
// commands show can be tested without simulating.
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>

#include "behaviour/scenario.h"
#include "report/behaviour_view.h"

namespace etchback::report {

// An envelope of `cells` over [start, end]: low, high and mean are functions of time.
template <typename Low, typename High, typename Mean>
behaviour::PlotCurve envelope_of(std::string id,
                                 std::string title,
                                 base::Unit unit,
                                 double start_s,
                                 double end_s,
                                 int cells,
                                 const Low& low,
                                 const High& high,
                                 const Mean& mean) {
    behaviour::PlotCurve curve;
    curve.id = std::move(id);
    curve.title = std::move(title);
    curve.unit = unit;
    curve.start_s = start_s;
    curve.cell_s = (end_s - start_s) / cells;
    for (int i = 0; i < cells; ++i) {
        const double t_s = start_s + (i + 0.5) * curve.cell_s;
        curve.low.push_back(low(t_s));
        curve.high.push_back(high(t_s));
        curve.mean.push_back(mean(t_s));
    }
    return curve;
}

template <typename Value>
behaviour::PlotCurve samples_from(std::string id,
                                  std::string title,
                                  base::Unit unit,
                                  double start_s,
                                  double end_s,
                                  int count,
                                  const Value& value) {
    behaviour::PlotCurve curve;
    curve.id = std::move(id);
    curve.title = std::move(title);
    curve.unit = unit;
    for (int i = 0; i < count; ++i) {
        curve.t_s.push_back(start_s + (end_s - start_s) * i / (count - 1));
        curve.value.push_back(value(curve.t_s.back()));
    }
    return curve;
}

// One cycle of the mains of a switching supply: rectified mains with the reflected voltage on top.
inline behaviour::Plot mains_cycle_plot() {
    constexpr double start = 0.4812, end = 0.5012, w = 2.0 * std::numbers::pi * 50.0;
    const auto mains = [=](double t) { return 325.0 * std::sin(w * (t - start)); };
    const auto bus = [=](double t) { return std::abs(mains(t)) + 1.0; };
    const auto amps = [=](double t) { return 0.09 * std::sin(w * (t - start)); };
    const auto out = [=](double t) { return 40.3 - 0.9 * std::sin(2.0 * w * (t - start) + 0.4); };
    behaviour::Plot plot{"mains-cycle", "Over one cycle of the mains", start, end, {}};
    plot.curves = {
        envelope_of("supply.volts",
                    "Voltage of the supply",
                    base::Unit::volt,
                    start,
                    end,
                    800,
                    mains,
                    mains,
                    mains),
        envelope_of(
            "supply.amps",
            "Current from the supply",
            base::Unit::ampere,
            start,
            end,
            800,
            [&](double t) { return amps(t) - 0.012; },
            [&](double t) { return amps(t) + 0.012; },
            amps),
        envelope_of(
            "DRAIN",
            "Voltage of DRAIN",
            base::Unit::volt,
            start,
            end,
            800,
            [](double) { return 0.4; },
            [&](double t) { return bus(t) + 131.0 + 55.0; },
            [&](double t) { return bus(t); }),
        envelope_of(
            "VCC",
            "Voltage of VCC",
            base::Unit::volt,
            start,
            end,
            800,
            [](double t) { return 14.2 - 0.2 * std::sin(2.0 * w * t); },
            [](double t) { return 14.4 - 0.2 * std::sin(2.0 * w * t); },
            [](double t) { return 14.3 - 0.2 * std::sin(2.0 * w * t); }),
        envelope_of(
            "LED1.volts",
            "Voltage across LED1",
            base::Unit::volt,
            start,
            end,
            800,
            out,
            [&](double t) { return out(t) + 0.05; },
            out),
        envelope_of(
            "LED1.amps",
            "Current through LED1",
            base::Unit::ampere,
            start,
            end,
            800,
            [&](double t) { return (out(t) - 36.0) / 12.0; },
            [&](double t) { return (out(t) - 35.9) / 12.0; },
            [&](double t) { return (out(t) - 35.95) / 12.0; }),
    };
    return plot;
}

// A few switching cycles: on, off with a ringing drain, idle until the valley.
inline behaviour::Plot switching_plot() {
    constexpr double start = 0.4862103, cycle = 8.4e-6, on = 3.1e-6, end = start + 4.0 * cycle;
    const auto phase = [=](double t) { return std::fmod(t - start, cycle); };
    const auto drain = [=](double t) {
        const double p = phase(t);
        if (p < on) {
            return 0.6 * p / on;
        }
        if (p < 6.6e-6) {
            return 455.0 + 120.0 * std::exp(-(p - on) / 0.5e-6) *
                               std::cos(2.0 * std::numbers::pi * (p - on) / 0.29e-6);
        }
        return 325.0 + 130.0 * std::cos(std::numbers::pi * (p - 6.6e-6) / 1.8e-6);
    };
    const auto amps = [=](double t) { return phase(t) < on ? 0.45 * phase(t) / on : 0.0; };
    const auto led = [=](double t) {
        const double p = phase(t);
        return p < on || p > 6.6e-6 ? 0.0 : 2.9 * (1.0 - (p - on) / (6.6e-6 - on));
    };
    behaviour::Plot plot{"switching-cycles", "A few switching cycles at the crest", start, end, {}};
    plot.curves = {
        samples_from("DRAIN", "Voltage of DRAIN", base::Unit::volt, start, end, 3000, drain),
        samples_from("Q1.amps", "Current into Q1", base::Unit::ampere, start, end, 3000, amps),
        samples_from("D5.amps", "Current through D5", base::Unit::ampere, start, end, 3000, led)};
    return plot;
}

// A supply that starts, overshoots and settles.
inline behaviour::Plot start_plot() {
    constexpr double end = 0.5;
    const auto out = [](double t) {
        return t < 0.12 ? 0.0 : 40.0 * (1.0 - std::exp(-(t - 0.12) / 0.03));
    };
    const auto supply = [](double t) {
        return t < 0.12 ? 130.0 * t : 14.0 - std::exp(-(t - 0.12) * 60.0) * 4.0;
    };
    behaviour::Plot plot{"whole", "From switching on", 0.0, end, {}};
    plot.curves = {envelope_of(
                       "DRAIN",
                       "Voltage of DRAIN",
                       base::Unit::volt,
                       0.0,
                       end,
                       1000,
                       [](double t) { return t < 0.12 ? 320.0 : 0.3; },
                       [&](double t) { return t < 0.12 ? 325.0 : 330.0 + 3.9 * out(t); },
                       [](double) { return 310.0; }),
                   envelope_of(
                       "VCC",
                       "Voltage of VCC",
                       base::Unit::volt,
                       0.0,
                       end,
                       1000,
                       supply,
                       [&](double t) { return supply(t) + 0.2; },
                       supply),
                   envelope_of(
                       "LED1.amps",
                       "Current through LED1",
                       base::Unit::ampere,
                       0.0,
                       end,
                       1000,
                       [&](double t) { return std::max(0.0, out(t) - 36.4) / 10.0; },
                       [&](double t) { return std::max(0.0, out(t) - 35.6) / 10.0; },
                       [&](double t) { return std::max(0.0, out(t) - 36.0) / 10.0; })};
    return plot;
}

inline behaviour::Outcome normal_outcome() {
    using behaviour::Limit;
    behaviour::Outcome outcome;
    outcome.scenario.id = "normal";
    outcome.scenario.title = "Normal use";
    outcome.scenario.words = "Switched on and left alone until nothing changes any more.";
    outcome.supply_v_rms = 231.0;
    outcome.supply_hz = 50.0;
    outcome.figures = {
        {"supply_current", "Current from the supply", 0.0781, base::Unit::ampere, "RMS"},
        {"input_power", "Input power", 16.1, base::Unit::watt, ""},
        {"power_factor", "Power factor", 0.943, base::Unit::none, "of the first 40 harmonics"},
        {"output_voltage.LED1", "Voltage across LED1", 40.3, base::Unit::volt, "mean"},
        {"output_current.LED1", "Current through LED1", 0.362, base::Unit::ampere, "mean"},
        {"efficiency", "Efficiency", 90.4, base::Unit::percent, ""},
        {"switching_frequency.U1", "Switching frequency of U1", 119e3, base::Unit::hertz, ""}};
    outcome.mains_current =
        behaviour::Harmonics{50.0, {0.0, 0.0734, 0.0, 0.011, 0.0, 0.004}, 0.167, 0.981};
    outcome.stress = {
        {"C5", Limit::Kind::peak_voltage, 43.1, base::Unit::volt, 35.0, false, "marking"},
        {"Q1", Limit::Kind::peak_voltage, 574.8, base::Unit::volt, 650.0, false, "type 2N65"},
        {"R9", Limit::Kind::power, 0.131, base::Unit::watt, 0.25, true, "1206: usually 0.25 W"},
        {"D5", Limit::Kind::mean_current, 0.362, base::Unit::ampere, 3.0, false, "type"},
        {"L1", Limit::Kind::rms_current, 0.078, base::Unit::ampere, std::nullopt, false, ""}};
    outcome.story = {{0.1190, "U1", "started", "The supply of U1 reaches its start threshold."},
                     {0.1202, "U1", "first_pulse", "First pulse of U1."},
                     {0.1230, "U1", "current_limit", "The current limit ends a pulse."},
                     {0.4100, "U1", "regulates", "The loop takes over."}};
    outcome.plots = {start_plot(), mains_cycle_plot(), switching_plot()};
    outcome.ledger = {.delivered_j = 0.3221,
                      .absorbed_j = 0.3220,
                      .stored_change_j = 0.0000998,
                      .throughput_j = 0.3221,
                      .worst_kirchhoff_a = 3.1e-10,
                      .worst_node = "DRAIN"};
    outcome.effort.events = 61230;
    outcome.effort.steps = 410000;
    outcome.effort.patterns = 31;
    outcome.effort.states = 16;
    outcome.steady = true;
    outcome.steady_words = "The settled state was found; two cycles of the mains differ by 0.01 %.";
    outcome.assumed = {{"D5",
                        "junction capacitance",
                        {60e-12, base::Unit::farad, 30e-12, 120e-12, {}, false},
                        "common practice"},
                       {"T1",
                        "coupling damping",
                        {4.7e3, base::Unit::ohm, 2e3, 1e4, {}, false},
                        "common practice"}};
    outcome.left_out = {"K1: relays are not simulated; taken as open"};
    return outcome;
}

inline behaviour::Outcome open_outcome() {
    behaviour::Outcome outcome = normal_outcome();
    outcome.scenario.id = "load-open";
    outcome.scenario.title = "Load open";
    outcome.scenario.words = "In normal use, the load is pulled.";
    outcome.plots = {start_plot()};
    outcome.ending = behaviour::Ending::gave_up;
    outcome.trouble = {{{}, "the voltage of DRAIN finds no state at 0.1302 s", "see R9"}};
    outcome.ledger.absorbed_j = 0.25;
    outcome.assumed.resize(1);
    outcome.mains_current.reset();
    outcome.steady_words.clear();
    return outcome;
}

inline Behaviour invented_behaviour() {
    return {.outcomes = {normal_outcome(), open_outcome()}, .why_not = {}};
}

}  // namespace etchback::report
