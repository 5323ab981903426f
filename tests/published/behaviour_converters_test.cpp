// Switching converters against textbook examples and their equations.
//
// "Ideal" parts conduct with 1 kS and leak 1 nS. Output figures of a steady state are taken over
// one switching period after the slowest mode has died away by a factor of a million or more.
#include <gtest/gtest.h>

#include <cmath>

#include "published/behaviour_kit.h"

namespace etchback::behaviour::test {
namespace {

using ida::FixedDuty;

double swing(const Measured& m, std::size_t probe) {
    return m.largest.at(probe) - m.least.at(probe);
}

// M. H. Rashid, Power Electronics, 4th ed., Example 5.5 (inputs and print format read in a
// companion file): buck, 12 V to 5 V at 25 kHz, ripple 0.8 A and 20 mV ask for 41.67 %, 145.83
// microhenries and 200 microfarads. The book's load does not enter; 2 ohms keep the coil's current
// from stopping.
TEST(PublishedConverters, RashidExample5Point5Buck) {
    Bench bench;
    bench.battery("in", "0", 12.0);
    const SwitchId gate = bench.contact("in", "x");
    bench.diode("0", "x");
    const BranchId coil = bench.coil("x", "out", 145.83e-6, 2.1);
    bench.capacitor("out", "0", 200e-6, 5.0);
    bench.resistor("out", "0", 2.0);
    bench.machine<FixedDuty>(gate, FixedDuty::Numbers{.period_s = 40e-6, .on_s = 40e-6 / 2.4});
    const ProbeId out = bench.volts("out", "0", 1e-2), current = bench.amps(coil, 1e-2);
    Simulation simulation = bench.simulate();
    const Measured m = settled(simulation, {out, current}, 500 * 40e-6, 40e-6);
    EXPECT_NEAR(m.mean.at(0), 5.0, 0.005);
    EXPECT_NEAR(swing(m, 1), 0.8, 0.001);  // the output's ripple adds a thousandth
    EXPECT_NEAR(swing(m, 0), 0.020, 0.0001);
}

// M. H. Rashid, Example 5.6 (as above): boost, 5 V to 15 V, 0.5 A, 150 microhenries, 220
// microfarads: ripple 0.89 A, peak 1.945 A (exact 1.9444), 60.61 mV.
TEST(PublishedConverters, RashidExample5Point6Boost) {
    Bench bench;
    bench.battery("in", "0", 5.0);
    const BranchId wound = bench.coil("in", "x", 150e-6, 1.0556);
    const SwitchId other = bench.contact("x", "0");
    bench.diode("x", "out");
    bench.capacitor("out", "0", 220e-6, 15.0);
    bench.resistor("out", "0", 30.0);  // 0.5 A
    bench.machine<FixedDuty>(other, FixedDuty::Numbers{.period_s = 40e-6, .on_s = 80e-6 / 3.0});
    const ProbeId volts = bench.volts("out", "0", 1e-2), amps = bench.amps(wound, 1e-2);
    Simulation resistive = bench.simulate();
    const Measured r = settled(resistive, {volts, amps}, 5000 * 40e-6, 40e-6);
    EXPECT_NEAR(r.mean.at(0), 15.0, 0.015);  // a milliohm in switch and diode
    EXPECT_NEAR(swing(r, 1), 0.89, 0.005);
    EXPECT_NEAR(r.largest.at(1), 1.945, 0.002);
    EXPECT_NEAR(swing(r, 0), 60.61e-3, 0.1e-3);  // the load is a resistor, not a constant current
}

// M. H. Rashid, Example 5.7 (as above): buck-boost, 12 V, k = 0.25, 1.25 A, 150 microhenries, 220
// microfarads: -4 V, 56.8 mV, 0.8 A, 0.4167 A, 2.067 A.
TEST(PublishedConverters, RashidExample5Point7BuckBoost) {
    Bench bench;
    const BranchId supply = bench.battery("in", "0", 12.0);
    const SwitchId gate = bench.contact("in", "x");
    const BranchId coil = bench.coil("x", "0", 150e-6, 1.267);
    bench.diode("out", "x");
    bench.capacitor("out", "0", 220e-6, -4.0);
    bench.resistor("out", "0", 3.2);
    bench.machine<FixedDuty>(gate, FixedDuty::Numbers{.period_s = 40e-6, .on_s = 10e-6});
    const ProbeId out = bench.volts("out", "0", 1e-2), current = bench.amps(coil, 1e-2);
    const ProbeId drawn = bench.amps(supply, 1e-2);
    Simulation simulation = bench.simulate();
    const Measured m = settled(simulation, {out, current, drawn}, 500 * 40e-6, 40e-6);
    // The book takes the output as constant; its ripple of 1.4 % and a milliohm in switch and diode
    // are worth two parts in a thousand.
    EXPECT_NEAR(m.mean.at(0), -4.0, 0.008);
    EXPECT_NEAR(swing(m, 0), 56.8e-3, 0.2e-3);
    EXPECT_NEAR(swing(m, 1), 0.8, 0.0005);
    EXPECT_NEAR(-m.mean.at(2), 0.4167, 0.001);
    EXPECT_NEAR(m.largest.at(1), 2.067, 0.004);
}

// M. H. Rashid, Example 5.8 (as above): the converter with two coils and a capacitor between them,
// 12 V, k = 0.25, 1.25 A: -4 V, ripple 0.67 A and 0.8 A, 62.5 mV and 18.18 mV, switch 2.4 A.
TEST(PublishedConverters, RashidExample5Point8TwoCoils) {
    Bench bench;
    bench.battery("in", "0", 12.0);
    const BranchId first = bench.coil("in", "a", 180e-6, 0.0833);
    const SwitchId gate = bench.contact("a", "0");
    bench.capacitor("a", "b", 200e-6, 16.0);
    bench.diode("b", "0");
    const BranchId second = bench.coil("out", "b", 150e-6, 0.85);
    bench.capacitor("out", "0", 220e-6, -4.0);
    bench.resistor("out", "0", 3.2);
    bench.machine<FixedDuty>(gate, FixedDuty::Numbers{.period_s = 40e-6, .on_s = 10e-6});
    const ProbeId out = bench.volts("out", "0", 1e-2), between = bench.volts("a", "b", 1e-2);
    const ProbeId one = bench.amps(first, 1e-2), two = bench.amps(second, 1e-2);
    Simulation simulation = bench.simulate();
    const Measured m = settled(simulation, {out, between, one, two}, 5000 * 40e-6, 40e-6);
    EXPECT_NEAR(m.mean.at(0), -4.0, 0.005);  // a milliohm in switch and diode
    EXPECT_NEAR(m.mean.at(2), 0.42, 0.005);
    EXPECT_NEAR(swing(m, 2), 0.67, 0.005);
    EXPECT_NEAR(swing(m, 3), 0.8, 0.003);
    EXPECT_NEAR(swing(m, 1), 62.5e-3, 0.1e-3);
    EXPECT_NEAR(swing(m, 0), 18.18e-3, 0.1e-3);
    EXPECT_NEAR(m.largest.at(2) + m.largest.at(3), 2.4, 0.005);
}

// M. H. Rashid, Examples 5.1 and 5.2 (as above): choppers at 1 kHz, k = 0.5, 220 V; the switch of
// the first drops 2 V. The second's extremes are exact exponentials.
TEST(PublishedConverters, RashidExamples5Point1And5Point2Choppers) {
    Bench plain;
    const BranchId supply = plain.battery("in", "0", 220.0);
    plain.battery("in", "x", 2.0);
    const SwitchId gate = plain.contact("x", "out");
    plain.resistor("out", "0", 10.0 - 1e-3);  // the switch has the rest
    plain.machine<FixedDuty>(gate, FixedDuty::Numbers{.period_s = 1e-3, .on_s = 0.5e-3});
    const ProbeId out = plain.volts("out");
    Simulation simulation = plain.simulate();
    const Measured m = settled(simulation, {out}, 1e-3, 1e-3);
    EXPECT_NEAR(m.mean.at(0), 109.0, 0.015);  // of a load that is a ten-thousandth short
    EXPECT_NEAR(m.rms.at(0), 154.15, 0.02);
    EXPECT_NEAR(m.rms.at(0) * m.rms.at(0) / 10.0, 2376.2, 0.6);
    EXPECT_NEAR(-m.branch_joule.at(static_cast<std::size_t>(supply.index)) / 1e-3, 2398.0, 0.5);

    Bench inductive;
    inductive.battery("in", "0", 220.0);
    const SwitchId other = inductive.contact("in", "x");
    inductive.diode("0", "x");
    // Switch and diode have a milliohm of the 5 ohms each while they conduct.
    const BranchId coil = inductive.coil("x", "0", 7.5e-3, 20.0, 5.0 - 1e-3);
    inductive.machine<FixedDuty>(other, FixedDuty::Numbers{.period_s = 1e-3, .on_s = 0.5e-3});
    const ProbeId current = inductive.amps(coil, 1e-2);
    Simulation second = inductive.simulate();
    const Measured r = settled(second, {current}, 50e-3, 1e-3);
    EXPECT_NEAR(r.least.at(0), 18.37, 0.005);
    EXPECT_NEAR(r.largest.at(0), 25.63, 0.005);
    EXPECT_NEAR(swing(r, 0), 7.27, 0.005);
    EXPECT_NEAR(r.mean.at(0), 22.0, 0.05);
    EXPECT_NEAR(r.rms.at(0), 22.1, 0.05);
}

// R. Erickson, D. Maksimovic, Fundamentals of Power Electronics, 2nd ed., ch. 5, Table 5.2
// (equations published, points derived): discontinuous conversion ratios with K = 2L / (R T). The
// equations take the output as constant over a period; a large capacitor makes it so.
TEST(PublishedConverters, EricksonTable5Point2DiscontinuousRatios) {
    constexpr double period = 10e-6, ohm = 1e3, k = 0.1, duty = 0.5;
    constexpr double henry = k * ohm * period / 2.0;
    const auto ratio = [&](int kind) {
        Bench bench;
        bench.battery("in", "0", 10.0);
        // buck: switch, diode from the reference, coil to the output; and so on.
        SwitchId gate;
        double start_v = 0.0;
        if (kind == 0) {
            gate = bench.contact("in", "x");
            bench.diode("0", "x");
            bench.coil("x", "out", henry);
            start_v = 7.65;
        } else if (kind == 1) {
            bench.coil("in", "x", henry);
            gate = bench.contact("x", "0");
            bench.diode("x", "out");
            start_v = 21.0;
        } else {
            gate = bench.contact("in", "x");
            bench.coil("x", "0", henry);
            bench.diode("out", "x");
            start_v = -15.8;
        }
        bench.capacitor("out", "0", 10e-6, start_v);
        bench.resistor("out", "0", ohm);
        bench.machine<FixedDuty>(gate,
                                 FixedDuty::Numbers{.period_s = period, .on_s = duty * period});
        const ProbeId out = bench.volts("out", "0", 1e-2);
        Simulation simulation = bench.simulate();
        return settled(simulation, {out}, 60e-3, period).mean.at(0) / 10.0;
    };
    EXPECT_NEAR(ratio(0), 2.0 / (1.0 + std::sqrt(1.0 + 4.0 * k / (duty * duty))), 2e-4);  // 0.76556
    EXPECT_NEAR(ratio(1), (1.0 + std::sqrt(1.0 + 4.0 * duty * duty / k)) / 2.0, 2e-3);
    EXPECT_NEAR(ratio(2), -duty / std::sqrt(k), 2e-3);
}

// R. Erickson, D. Maksimovic, sec. 3.3, figs. 3.9 and 3.10 (equation published, point derived): the
// boost with copper loss, RL/R = 0.02 and D = 0.5: V/Vg = 1.8519, efficiency 0.9259. The averaged
// equation leaves the ripple out; the coil is large enough that it does not matter. Of the 0.2 ohm
// a milliohm is that of switch or diode.
TEST(PublishedConverters, EricksonBoostWithCopperLoss) {
    Bench bench;
    const BranchId supply = bench.battery("in", "0", 10.0);
    const BranchId coil = bench.coil("in", "x", 5e-3, 3.7, 0.2 - 1e-3);
    const SwitchId gate = bench.contact("x", "0");
    bench.diode("x", "out");
    bench.capacitor("out", "0", 100e-6, 18.5);
    const BranchId load = bench.resistor("out", "0", 10.0);
    bench.machine<FixedDuty>(gate, FixedDuty::Numbers{.period_s = 10e-6, .on_s = 5e-6});
    const ProbeId out = bench.volts("out", "0", 1e-2), current = bench.amps(coil);
    Simulation simulation = bench.simulate();
    const Measured m = settled(simulation, {out, current}, 50e-3, 10e-6);
    EXPECT_NEAR(m.mean.at(0) / 10.0, 1.8519, 0.0001);
    EXPECT_NEAR(-m.branch_joule.at(static_cast<std::size_t>(load.index)) /
                    m.branch_joule.at(static_cast<std::size_t>(supply.index)),
                0.9259,
                0.0002);
}

// A flyback with ideal coupling: primary from `in` to `x`, secondary back to the output.
struct Flyback {
    double supply_v, primary_henry, ratio, period_s, on_s, farad, ohm, start_v, start_a;
    double switch_v = 0.0, diode_v = 0.0, switch_siemens = 1e3;
    Bench bench{};
    BranchId supply{}, magnetising{};
    ProbeId out{}, magnetising_a{}, drain_v{}, supply_a{}, secondary_a{};

    Simulation simulate() {
        supply = bench.battery("in", "0", supply_v);
        magnetising = bench.coil("in", "x", primary_henry, start_a);
        bench.transformer("in", "x", "0", "s", ratio);
        bench.battery("x", "y", switch_v);
        const SwitchId gate =
            bench.contact("y", "0", {.on_siemens = switch_siemens, .off_siemens = 1e-9});
        const BranchId diode = bench.diode("s", "out", diode_v);
        bench.capacitor("out", "0", farad, start_v);
        bench.resistor("out", "0", ohm);
        bench.machine<FixedDuty>(gate, FixedDuty::Numbers{.period_s = period_s, .on_s = on_s});
        out = bench.volts("out", "0", 1e-2);
        magnetising_a = bench.amps(magnetising, 1e-2);
        drain_v = bench.volts("x");
        supply_a = bench.amps(supply, 1e-2);
        secondary_a = bench.amps(diode, 1e-2);
        return bench.simulate();
    }
};

// R. Erickson, D. Maksimovic, sec. 14.3.2 (from memory): flyback transformer, 200 V, 150 kHz,
// D = 0.4, n2/n1 = 0.15, 20 V and 5 A: magnetising current 1.25 A, ripple 250 mA each way with
// 1.07 mH, windings 0.796 A and 6.50 A.
TEST(PublishedConverters, EricksonContinuousFlyback) {
    Flyback flyback{.supply_v = 200.0,
                    .primary_henry = 1.066666667e-3,
                    .ratio = 1.0 / 0.15,
                    .period_s = 1.0 / 150e3,
                    .on_s = 0.4 / 150e3,
                    .farad = 100e-6,
                    .ohm = 4.0,
                    .start_v = 20.0,
                    .start_a = 1.0,
                    .switch_siemens = 50.0};
    Simulation simulation = flyback.simulate();
    const Measured m =
        settled(simulation,
                {flyback.out, flyback.magnetising_a, flyback.supply_a, flyback.secondary_a},
                0.02,
                1.0 / 150e3);
    EXPECT_NEAR(m.mean.at(0), 20.0, 0.02);  // a milliohm carries 8 A
    EXPECT_NEAR(m.mean.at(1), 1.25, 0.005);
    EXPECT_NEAR(swing(m, 1) / 2.0, 0.250, 0.0005);
    EXPECT_NEAR(m.largest.at(1), 1.5, 0.005);
    EXPECT_NEAR(m.rms.at(2), 0.796, 0.0015);  // 20 milliohms in the switch
    EXPECT_NEAR(m.rms.at(3), 6.50, 0.01);
}

// A. I. Pressman, Switching Power Supply Design, 2nd ed., sec. 4.3.2.7 (from memory): 50 W at 5 V
// from 38 V, 50 kHz, turns 10:1, 56.6 microhenries, on-time 9.9 microseconds: peak 6.6 A, secondary
// 66 A, windings 2.7 A and 21 A, reset in 6.1 microseconds. The book counts 1 V for the switch and
// 1 V for the rectifier.
TEST(PublishedConverters, PressmanDiscontinuousFlyback) {
    Flyback flyback{.supply_v = 38.0,
                    .primary_henry = 56.6e-6,
                    .ratio = 10.0,
                    .period_s = 20e-6,
                    .on_s = 9.9e-6,
                    .farad = 2e-3,
                    .ohm = 0.5,
                    .start_v = 5.0,
                    .start_a = 0.0,
                    .switch_v = 1.0,
                    .diode_v = 1.0};
    Simulation simulation = flyback.simulate();
    const Measured m =
        settled(simulation,
                {flyback.out, flyback.magnetising_a, flyback.supply_a, flyback.secondary_a},
                0.01,
                20e-6);
    // With 1 V across the switch the current is (38 - 1) t / L; the book's 6.6 A leaves that out.
    const double peak = 37.0 * 9.9e-6 / 56.6e-6;
    EXPECT_NEAR(m.largest.at(1), peak, 0.002);
    EXPECT_NEAR(m.largest.at(1), 6.6, 0.2);
    EXPECT_NEAR(m.largest.at(3), 10.0 * peak, 0.05);
    EXPECT_NEAR(m.rms.at(2), peak * std::sqrt(9.9 / 20.0 / 3.0), 0.002);
    EXPECT_NEAR(m.rms.at(2), 2.7, 0.1);
    // The energy of each pulse reaches the output less the rectifier's share.
    const double watt = 0.5 * 56.6e-6 * peak * peak / 20e-6;
    const double v = m.mean.at(0);
    EXPECT_NEAR(v * v / 0.5 * (v + 1.0) / v, watt, 0.01 * watt);  // a milliohm carries 65 A
}

// M. H. Rashid, Example 13.1 (inputs and equations read in a companion file): flyback at 1 kHz, k =
// 0.5, 24 V on 0.8 ohms, switch 1.2 V, diode 0.7 V, Ns/Np = 0.25: 100 V, 30 A peak, 12.25 A RMS,
// switch 198.8 V, 7.5 A from the supply. The inductance that just empties with the switch's drop is
// 1.65 mH (98.8 V); the transcription's 1.67 mH uses the supply.
TEST(PublishedConverters, RashidExample13Point1BoundaryFlyback) {
    Flyback flyback{.supply_v = 100.0,
                    .primary_henry = 98.8 * 0.5e-3 / 30.0,
                    .ratio = 4.0,
                    .period_s = 1e-3,
                    .on_s = 0.5e-3,
                    .farad = 1.0,
                    .ohm = 0.8,
                    .start_v = 24.0,
                    .start_a = 0.0,
                    .switch_v = 1.2,
                    .diode_v = 0.7};
    Simulation simulation = flyback.simulate();
    const Measured m =
        settled(simulation,
                {flyback.out, flyback.magnetising_a, flyback.supply_a, flyback.drain_v},
                3.0,
                1e-3);
    EXPECT_NEAR(m.mean.at(0), 24.0, 0.05);
    EXPECT_NEAR(m.largest.at(1), 30.0, 0.05);
    EXPECT_NEAR(-m.mean.at(2), 7.5, 0.05);
    EXPECT_NEAR(m.rms.at(2), 12.25, 0.005);
    EXPECT_NEAR(m.largest.at(3), 198.8, 0.5);  // a milliohm carries 120 A
}

// M. H. Rashid, Example 2.9 (as above): 220 V for 50 microseconds on 250 microhenries, energy fed
// back through a winding of ten times the turns: 44 A, 4.4 A, 500 microseconds, 0.242 J; the
// feedback diode blocks 2420 V.
TEST(PublishedConverters, RashidExample2Point9EnergyRecovery) {
    Bench bench;
    const BranchId supply = bench.battery("in", "0", 220.0);
    const BranchId magnetising = bench.coil("in", "x", 250e-6);
    const SwitchId gate = bench.contact("x", "0");
    bench.transformer("in", "x", "0", "s", 0.1);
    // The diode's corner must be met to a few microamperes: what is left of the current when it
    // opens has only its leak to go through.
    const BranchId diode =
        bench.diode("s", "in", 0.0, {.on_siemens = 1.0, .off_siemens = 1e-6, .scale_v = 1e-3});
    bench.machine<FixedDuty>(gate, FixedDuty::Numbers{.period_s = 1.0, .on_s = 50e-6});
    const ProbeId current = bench.amps(magnetising), fed = bench.amps(diode);
    const ProbeId blocked = bench.volts("in", "s");
    bench.machine<Stopwatch>(
        Watch{.probe = fed, .edge = Edge::falling, .threshold = 1e-3, .level = false});
    Simulation simulation = bench.simulate();
    simulation.measure({current, fed, blocked});
    run_to(simulation, 50e-6);
    const double taken =
        -simulation.measured().branch_joule.at(static_cast<std::size_t>(supply.index));
    run_to(simulation, 600e-6);
    const Measured m = simulation.measured();
    EXPECT_NEAR(m.largest.at(0), 44.0, 0.05);
    EXPECT_NEAR(m.largest.at(1), 4.4, 0.05);
    EXPECT_NEAR(m.largest.at(2), 2420.0, 0.5);
    EXPECT_NEAR(taken, 0.242, 0.0005);
    ASSERT_FALSE(simulation.story().empty());
    // The diode of 1 ohm that the engine was given adds to the supply: 25 mH / 1 ohm * ln 1.02
    // instead of the 500 microseconds of an ideal one.
    const double with_diode = 25e-3 * std::log(1.0 + 4.4 / 220.0);
    EXPECT_NEAR(simulation.story().front().t_s - 50e-6, with_diode, 0.5e-6);
    EXPECT_NEAR(with_diode, 500e-6, 5e-6);
    expect_in_order(simulation);
}

// C. Basso, Switch-Mode Power Supplies, 1st ed., ch. 7, borderline flyback (equations published,
// point derived): 120 V, 100 V reflected, 1 mH, 15 W: D = 0.45455, peak 0.5500 A, 99.174 kHz.
TEST(PublishedConverters, BassoBorderlineFlyback) {
    Bench bench;
    const BranchId supply = bench.battery("in", "0", 120.0);
    const BranchId magnetising = bench.coil("in", "x", 1e-3);
    const SwitchId gate = bench.contact("x", "0");
    bench.transformer("in", "x", "0", "s", 1.0);
    bench.diode("s", "out");
    bench.battery("out", "0", 100.0);
    const ProbeId current = bench.amps(magnetising, 1e-2);
    bench.machine<ida::ConstantOnTime>(gate,
                                       current,
                                       ida::ConstantOnTime::Numbers{.on_s = 1e-3 * 0.55 / 120.0,
                                                                    .blanking_s = 0.0,
                                                                    .delay_s = 0.0,
                                                                    .restart_s = 1.0,
                                                                    .threshold = 1e-5});
    Simulation simulation = bench.simulate();
    simulation.measure({current});
    run_to(simulation, 10e-3);
    const Measured m = simulation.measured();
    EXPECT_NEAR(m.largest.at(0), 0.5500, 0.00005);
    EXPECT_NEAR(-m.branch_joule.at(static_cast<std::size_t>(supply.index)) / 10e-3, 15.0, 0.03);
    ASSERT_FALSE(simulation.counts().empty());
    const Simulation::Count& cycles = simulation.counts().front();
    EXPECT_NEAR(1.0 / cycles.shortest_s, 99174.0, 2.0);
    EXPECT_NEAR(1.0 / cycles.longest_s, 99174.0, 2.0);
    expect_in_order(simulation);
}

// C. Basso, ch. 7, clamp of resistor, capacitor and diode (equation published, point derived): 10
// microhenries of leakage at 1 A and 65 kHz, clamped at 150 V against 100 V reflected, dissipate
// 0.975 W; 23.1 kilohms and 13.3 nF do it with 5 % ripple.
TEST(PublishedConverters, BassoClampPower) {
    Bench bench;
    bench.battery("in", "0", 100.0);
    const BranchId leakage = bench.coil("in", "h", 10e-6);
    const BranchId magnetising = bench.coil("h", "x", 1e-3);
    const SwitchId gate = bench.contact("x", "0");
    bench.transformer("h", "x", "0", "s", 1.0);
    bench.diode("s", "out");
    bench.battery("out", "0", 100.0);
    bench.diode("x", "c");
    const BranchId clamp = bench.capacitor("c", "in", 13.33e-9, 150.0);
    const BranchId resistor = bench.resistor("c", "in", 23.08e3);
    const ProbeId clamp_v = bench.volts("c", "in"), current = bench.amps(leakage, 1e-2);
    constexpr double period = 1.0 / 65e3;
    // 7 of 15.4 microseconds leave the core empty; the current reached is measured.
    bench.machine<FixedDuty>(gate, FixedDuty::Numbers{.period_s = period, .on_s = 7e-6});
    const ProbeId stored = bench.amps(magnetising, 1e-2);
    Simulation simulation = bench.simulate();
    const Measured m = settled(simulation, {clamp_v, current, stored}, 300 * period, period);
    const double peak = m.largest.at(1);
    const double watt = m.branch_joule.at(static_cast<std::size_t>(resistor.index)) / period;
    const double v = m.mean.at(0);
    EXPECT_NEAR(watt, 0.5 * 10e-6 * peak * peak * 65e3 * v / (v - 100.0), 0.03 * watt);
    EXPECT_NEAR(
        m.branch_joule.at(static_cast<std::size_t>(clamp.index)), 0.0, 0.01 * watt * period);
}

}  // namespace
}  // namespace etchback::behaviour::test
