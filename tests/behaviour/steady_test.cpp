#include "behaviour/steady.h"

#include <gtest/gtest.h>

namespace etchback::behaviour {
namespace {

// A rectifier whose output takes two seconds to settle.
Simulation slow_rectifier(ProbeId& out) {
    Network n;
    const NodeId a = n.node("a"), b = n.node("b"), c = n.node("c");
    n.add("V", a, reference, VoltageSource{Sine{100.0, 50.0, 0.0, {}}});
    n.add("D", a, b, Curve{Expression::voltage(a, b), {{0.7}, {1e-9, 10.0}, 7e-10}, 1.0, 0.01});
    n.add("Cj", a, b, Capacitance{1e-11});
    n.add("C1", b, reference, Capacitance{10e-6});
    n.add("R1", b, reference, Conductance{1e-4});
    n.add("R2", b, c, Conductance{1e-5});
    n.add("C2", c, reference, Capacitance{10e-6});
    n.add("R3", c, reference, Conductance{1e-6});
    out = n.probe_voltage("c", c);
    return std::move(*Simulation::make(std::move(n), {}));
}

TEST(Steady, AgreesWithTheLongRunInAFractionOfItsPeriods) {
    ProbeId out;
    Simulation waiting = slow_rectifier(out);
    ASSERT_EQ(waiting.run_to(20.0), Ending::reached);
    Simulation searching = slow_rectifier(out);
    SteadyOptions options;
    options.tolerance = 1e-7;
    const Steady steady = find_steady(searching, options);
    ASSERT_TRUE(steady.found) << steady.words;
    EXPECT_LT(steady.periods, 30);
    EXPECT_NEAR(searching.value(out), waiting.value(out), 2e-5 * waiting.value(out));
}

TEST(Steady, WaitsWhereItMayNotMix) {
    ProbeId out;
    Simulation s = slow_rectifier(out);
    SteadyOptions options;
    options.mix = false;
    options.most_periods = 60;
    const Steady steady = find_steady(s, options);
    EXPECT_FALSE(steady.found);
    EXPECT_EQ(steady.periods, 60);
    EXPECT_NE(steady.words.find("C2"), std::string::npos);
}

// A capacitor that is charged through a resistor by pulses which do not keep step with the period.
Simulation pulsed(double tau_s, double start_v) {
    Network n;
    const NodeId a = n.node("a"), b = n.node("b");
    n.add("V",
          a,
          reference,
          VoltageSource{Table{{0.0, 0.003, 0.0031, 0.0073}, {10, 10, 0, 0}, 0.0073}});
    n.add("R", a, b, Conductance{1e-3});
    n.add("C", b, reference, Capacitance{1e-3 * tau_s, start_v});
    return std::move(*Simulation::make(std::move(n), {}));
}

TEST(Steady, CountsWhatOnlyGoesToAndFro) {
    Simulation s = pulsed(0.4, 10.0 * 0.00305 / 0.0073);
    const Steady steady = find_steady(s, {});
    EXPECT_TRUE(steady.found) << steady.words;
    EXPECT_NE(steady.words.find("to and fro"), std::string::npos) << steady.words;
}

TEST(Steady, DoesNotTakeADriftForNoise) {
    Simulation s = pulsed(4.0, 3.6);
    SteadyOptions options;
    options.mix = false;
    options.most_periods = 20;
    const Steady steady = find_steady(s, options);
    EXPECT_FALSE(steady.found) << steady.words;
}

}  // namespace
}  // namespace etchback::behaviour
