// Supplies straight from the mains: capacitive droppers, and the flyback of high power factor.
#include <gtest/gtest.h>

#include <cmath>

#include "published/behaviour_kit.h"

namespace etchback::behaviour::test {
namespace {

// Charge balance of a dropper (derived): a bridge passes 4 f C (Vpk - Vout - 2 Vf), a diode with a
// second one that returns the charge f C (2 Vpk - Vout - 2 Vf). 230 V, 50 Hz, 470 nF, 24 V, 0.7 V:
// 28.188 mA and 14.691 mA. An ohm in series is needed here and costs less than the last digit.
TEST(PublishedMains, DropperCurrentsFollowTheChargeBalance) {
    for (const bool bridge : {true, false}) {
        Bench bench;
        bench.sine("s", "n", 230.0 * std::numbers::sqrt2, 50.0);
        bench.resistor("s", "x", 1.0);
        bench.capacitor("x", "a", 470e-9);
        constexpr Ideal ideal{.on_siemens = 10.0, .off_siemens = 1e-9, .scale_v = 0.1};
        if (bridge) {
            bench.bridge("a", "n", "p", "0", 0.7, ideal);
            bench.resistor("n", "0", 1e7);
        } else {
            bench.diode("a", "p", 0.7, ideal);
            bench.diode("0", "a", 0.7, ideal);
            bench.resistor("n", "0", 1e-3);
        }
        const BranchId sink = bench.battery("p", "0", 24.0);
        const ProbeId current = bench.amps(sink, 1e-3);
        Simulation simulation = bench.simulate();
        const Measured m = settled(simulation, {current}, 0.1, 0.02);
        EXPECT_NEAR(1e3 * m.mean.at(0), bridge ? 28.188 : 14.691, 0.01);
    }
}

// R. Condit, application note AN954 of a maker of microcontrollers, 2004, Eqs. 1 to 4 (from memory;
// a stored page gives 9.9 mA for nearly the same values): 110 V, 59.5 Hz, 0.376 microfarads, 517
// ohms, 5.1 V: 9.9 mA. The note adds reactance and resistance as numbers and takes the RMS value of
// a half-wave as its peak over two, which gives the current on average in the half-wave circuit
// less the form factor; the exact mean current of the circuit is the charge balance above, f C (2
// Vpk - Vz
// - ...). Held to that, and the note's figure to 40 %, which is what its approximations are worth.
TEST(PublishedMains, DropperOfApplicationNote954) {
    Bench bench;
    bench.sine("s", "0", 110.0 * std::numbers::sqrt2, 59.5);
    bench.resistor("s", "x", 517.0);
    bench.capacitor("x", "a", 0.376e-6);
    constexpr Ideal ideal{.on_siemens = 10.0, .off_siemens = 1e-9, .scale_v = 0.1};
    bench.diode("a", "p", 0.0, ideal);
    bench.diode("0", "a", 0.0, ideal);
    const BranchId sink = bench.battery("p", "0", 5.1);
    const ProbeId current = bench.amps(sink, 1e-3);
    Simulation simulation = bench.simulate();
    const Measured m = settled(simulation, {current}, 0.2, 1.0 / 59.5);
    const double balance = 59.5 * 0.376e-6 * (2.0 * 110.0 * std::numbers::sqrt2 - 5.1);
    EXPECT_NEAR(m.mean.at(0), balance, 0.02 * balance);  // the resistor takes the rest
    EXPECT_NEAR(1e3 * m.mean.at(0), 9.9, 4.0);
}

// One row of the design equations: K is the mains' peak over the reflected voltage.
struct HighPowerFactor {
    double k, power_factor, distortion;
};

// Constant on-time and turn-on at zero current, with ideal parts: a bridge on a stiff supply, a
// winding without leakage, an output that holds its voltage.
struct IdealFlyback {
    Bench bench{};
    BranchId supply{};
    ProbeId line{}, magnetising{};
    SwitchId gate{};

    IdealFlyback(double peak_v, double k, double henry, double on_s) {
        constexpr Ideal ideal{.on_siemens = 1e3, .off_siemens = 1e-9, .scale_v = 0.1};
        supply = bench.sine("s", "n", peak_v, 50.0);
        bench.bridge("s", "n", "p", "0", 0.0, ideal);
        bench.resistor("n", "0", 1e6);
        const BranchId winding = bench.coil("p", "x", henry);
        gate = bench.contact("x", "0", ideal);
        bench.transformer("p", "x", "0", "r", 1.0);
        bench.diode("r", "out", 0.0, ideal);
        bench.battery("out", "0", peak_v / k);
        line = bench.amps(supply, 1e-2);
        magnetising = bench.amps(winding, 1e-2);
        bench.machine<ida::ConstantOnTime>(gate,
                                           magnetising,
                                           ida::ConstantOnTime::Numbers{.on_s = on_s,
                                                                        .blanking_s = 0.0,
                                                                        .delay_s = 0.0,
                                                                        .restart_s = 1.0,
                                                                        .threshold = 1e-4});
    }
};

// C. Adragna, Design equations of high-power-factor flyback converters, application note AN1059 of
// a maker of semiconductors: PF = sqrt(2) F2 / sqrt(mean of sin^2/(1 + K sin)^2), THD = sqrt(1/PF^2
// - 1) (equations from memory, rows derived by integration). The equations average over each
// switching cycle, which is what the orders below 40 of the simulated current do. With some 2,000
// cycles in a half period the averaging is worth less than 2e-4 of the power factor.
TEST(PublishedMains, AdragnaPowerFactorOfTheConstantOnTimeFlyback) {
    for (const HighPowerFactor& row :
         std::initializer_list<HighPowerFactor>{{0.5, 0.99776, 0.06705},
                                                {1.0, 0.99385, 0.11143},
                                                {1.5, 0.98980, 0.14395},
                                                {2.0, 0.98598, 0.16927},
                                                {2.5, 0.98247, 0.18977},
                                                {3.0, 0.97927, 0.20686},
                                                {4.0, 0.97370, 0.23401}}) {
        SCOPED_TRACE("K " + std::to_string(row.k));
        IdealFlyback flyback(325.0, row.k, 1e-3, 2e-6);
        Simulation simulation = flyback.bench.simulate();
        simulation.harmonics(flyback.line, 50.0, 40);
        simulation.measure({flyback.line});
        run_to(simulation, 0.02);
        expect_in_order(simulation);
        const Measured m = simulation.measured();
        double square = 0.0;
        for (const Simulation::Harmonic& h : simulation.harmonics()) {
            square += h.amplitude * h.amplitude / 2.0;
        }
        const double watt =
            -m.branch_joule.at(static_cast<std::size_t>(flyback.supply.index)) / 0.02;
        const double pf = watt / (325.0 * std::sqrt(square / 2.0));
        EXPECT_NEAR(pf, row.power_factor, 2e-4);
        const double first = simulation.harmonics().at(1).amplitude;
        EXPECT_NEAR(std::sqrt(2.0 * square / (first * first) - 1.0), row.distortion, 1e-3);
    }
}

// C. Adragna, as above (equations from memory, point derived): 90 V, 100 V reflected, 12 W at 85 %,
// 65 kHz at the crest: K = 1.2728, envelope of the primary's peaks 0.9106 A, on-time 6.7690
// microseconds, 946.2 microhenries, RMS 0.2595 A.
TEST(PublishedMains, AdragnaDesignPoint) {
    IdealFlyback flyback(90.0 * std::numbers::sqrt2, 1.272792206, 946.1784e-6, 6.769037e-6);
    Simulation simulation = flyback.bench.simulate();
    simulation.measure({flyback.magnetising, flyback.line});
    run_to(simulation, 0.02);
    expect_in_order(simulation);
    const Measured m = simulation.measured();
    EXPECT_NEAR(m.largest.at(0), 0.9106, 0.0005);
    EXPECT_NEAR(m.rms.at(1), 0.2595, 0.0005);
    const double watt = -m.branch_joule.at(static_cast<std::size_t>(flyback.supply.index)) / 0.02;
    EXPECT_NEAR(watt, 12.0 / 0.85, 0.01);
    ASSERT_FALSE(simulation.counts().empty());
    EXPECT_NEAR(1.0 / simulation.counts().front().longest_s, 65e3, 50.0);
}

// Inrush (selection guides; point derived): 264 V at its crest through 10 ohms into an empty 10
// microfarads: 37.3 A and 0.697 J. The example leaves the supply at its crest; here it falls while
// the capacitor fills, which is worth 3 % of the energy.
TEST(PublishedMains, InrushThroughAThermistorAtTheCrest) {
    Bench bench;
    Sine sine;
    sine.amplitude = 264.0 * std::numbers::sqrt2;
    sine.phase_rad = std::numbers::pi / 2.0;
    bench.source("s", "0", sine);
    const BranchId ntc = bench.resistor("s", "a", 10.0);
    bench.diode("a", "p");
    bench.capacitor("p", "0", 10e-6);
    const ProbeId current = bench.amps(ntc), across = bench.volts("p");
    Simulation simulation = bench.simulate();
    simulation.measure({current});
    run_to(simulation, 5e-3);
    const Measured m = simulation.measured();
    EXPECT_NEAR(m.largest.at(0), 37.3, 0.05);
    const double volt = simulation.value(across);
    EXPECT_NEAR(0.5 * 10e-6 * volt * volt, 0.697, 0.03 * 0.697);
    expect_in_order(simulation);
}

}  // namespace
}  // namespace etchback::behaviour::test
