// The engine against closed forms and against itself.
#include "behaviour/simulation.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace etchback::behaviour {
namespace {

Simulation start(Network n, std::vector<std::unique_ptr<Machine>> machines = {}) {
    auto made = Simulation::make(std::move(n), std::move(machines));
    EXPECT_TRUE(made) << (made ? "" : base::to_string(made.errors().front()));
    return std::move(*made);
}

// A diode of two segments with a junction capacitance.
void add_diode(Network& n,
               const std::string& name,
               NodeId anode,
               NodeId cathode,
               double knee = 0.7,
               double on_ohm = 0.05,
               double farad = 20e-12) {
    n.add(
        name,
        anode,
        cathode,
        Curve{
            Expression::voltage(anode, cathode), {{knee}, {1e-9, 1.0 / on_ohm}, 1e-9 * knee}, 1.0});
    n.add(name + " junction", anode, cathode, Capacitance{farad});
}

// Closes a switch for a share of each period.
class Clock final : public Machine {
public:
    Clock(SwitchId sw, double period_s, double share) : sw_(sw), period_(period_s), on_(share) {}
    std::string name() const override { return "clock"; }
    void start(Hands& h) override { h.timer(0, 0.0); }
    void crossed(Hands&, int) override {}
    void alarm(Hands& h, int timer) override {
        if (timer == 0) {
            h.set(sw_, true);
            h.count("cycle");
            h.timer(1, (cycle_ + on_) * period_);
            h.timer(0, ++cycle_ * period_);
        } else {
            h.set(sw_, false);
        }
    }
    std::unique_ptr<Machine> clone() const override { return std::make_unique<Clock>(*this); }

private:
    SwitchId sw_;
    double period_, on_, cycle_ = 0;
};

TEST(Simulation, ChargesACapacitorThroughAResistor) {
    Network n;
    const NodeId a = n.node("a"), b = n.node("b");
    n.add("V", a, reference, VoltageSource{Constant{10.0}});
    n.add("R", a, b, Conductance{1e-3});
    n.add("C", b, reference, Capacitance{1e-6});
    const ProbeId v = n.probe_voltage("b", b);
    Simulation s = start(std::move(n));
    ASSERT_EQ(s.run_to(2e-3), Ending::reached);
    EXPECT_NEAR(s.value(v), 10.0 * (1.0 - std::exp(-2.0)), 1e-6);
    const Ledger l = s.ledger();
    EXPECT_LT(l.residual(), 1e-6);
    EXPECT_NEAR(l.delivered_j, 1e-6 * 10.0 * s.value(v), 1e-9);
    EXPECT_LT(l.worst_kirchhoff_a, 1e-9);
}

TEST(Simulation, RingsASeriesCircuitAtItsFrequencyAndDamping) {
    Network n;
    const NodeId a = n.node("a"), b = n.node("b");
    n.add("V", a, reference, VoltageSource{Constant{1.0}});
    n.add("L", a, b, Winding{1e-3, 10.0});
    n.add("C", b, reference, Capacitance{1e-7});
    const ProbeId v = n.probe_voltage("b", b);
    Simulation s = start(std::move(n));
    const double alpha = 10.0 / (2 * 1e-3), w0 = 1.0 / std::sqrt(1e-3 * 1e-7);
    const double w = std::sqrt(w0 * w0 - alpha * alpha);
    for (const double t : {1e-5, 7e-5, 2e-4}) {
        ASSERT_EQ(s.run_to(t), Ending::reached);
        const double expected =
            1.0 - std::exp(-alpha * t) * (std::cos(w * t) + alpha / w * std::sin(w * t));
        EXPECT_NEAR(s.value(v), expected, 1e-6);
    }
    EXPECT_LT(s.ledger().residual(), 1e-6);
}

TEST(Simulation, SolvesCriticalDamping) {
    Network n;
    const NodeId a = n.node("a"), b = n.node("b");
    n.add("V", a, reference, VoltageSource{Constant{1.0}});
    n.add("L", a, b, Winding{1e-3, 2.0 * std::sqrt(1e-3 / 1e-7)});
    n.add("C", b, reference, Capacitance{1e-7});
    const ProbeId v = n.probe_voltage("b", b);
    Simulation s = start(std::move(n));
    const double w0 = 1.0 / std::sqrt(1e-3 * 1e-7), t = 2e-5;
    ASSERT_EQ(s.run_to(t), Ending::reached);
    EXPECT_NEAR(s.value(v), 1.0 - std::exp(-w0 * t) * (1.0 + w0 * t), 1e-6);
}

// Five equal stages, each fed by the one before: one eigenvalue five times with one eigenvector.
// The products of so nearly equal exponentials have no digits, the answer must have them all the
// same.
TEST(Simulation, KeepsItsDigitsWhereExponentialsAreNearlyAlike) {
    Network n;
    const NodeId in = n.node("in");
    n.add("V", in, reference, VoltageSource{Constant{1.0}});
    NodeId before = in;
    for (int k = 0; k < 5; ++k) {
        const NodeId node = n.node("stage");
        Expression feed;
        feed.volts.push_back({before, -1e-3});
        n.add("gm", node, reference, Controlled{feed});
        n.add("R", node, reference, Conductance{1e-3});
        n.add("C", node, reference, Capacitance{1e-6});
        before = node;
    }
    const ProbeId v = n.probe_voltage("out", before);
    Simulation s = start(std::move(n));
    s.measure({v});
    ASSERT_EQ(s.run_to(10e-3), Ending::reached);
    // v = 1 - exp(-x) (1 + x + x^2/2 + x^3/6 + x^4/24), x = t / RC; its integrals by Simpson's
    // rule.
    const auto exact = [](double x) {
        return 1.0 - std::exp(-x) * (1.0 + x * (1.0 + x / 2 * (1.0 + x / 3 * (1.0 + x / 4))));
    };
    double mean = 0.0, square = 0.0;
    constexpr int pieces = 2000;
    for (int i = 0; i <= pieces; ++i) {
        const double weight = (i == 0 || i == pieces ? 1.0 : i % 2 == 1 ? 4.0 : 2.0) / 3 / pieces;
        const double value = exact(10.0 * i / pieces);
        mean += weight * value;
        square += weight * value * value;
    }
    EXPECT_NEAR(s.value(v), exact(10.0), 1e-5);
    EXPECT_NEAR(s.measured().mean[0], mean, 1e-4);
    EXPECT_NEAR(s.measured().rms[0], std::sqrt(square), 1e-4);
    EXPECT_TRUE(s.ledger().in_order()) << s.ledger().residual();
}

TEST(Simulation, ChargesACapacitorThatNothingElseHolds) {
    Network n;
    const NodeId a = n.node("a");
    n.add("I", reference, a, CurrentSource{Constant{1e-3}});
    n.add("C", a, reference, Capacitance{1e-6});
    const ProbeId v = n.probe_voltage("a", a);
    Simulation s = start(std::move(n));
    ASSERT_EQ(s.run_to(5e-3), Ending::reached);
    EXPECT_NEAR(s.value(v), 5.0, 1e-6);
}

TEST(Simulation, FollowsATableOfRampsAndJumps) {
    Network n;
    const NodeId a = n.node("a"), b = n.node("b");
    n.add("V",
          a,
          reference,
          VoltageSource{Table{{0.0, 1e-3, 1e-3, 2e-3}, {0.0, 4.0, 1.0, 1.0}, 3e-3}});
    n.add("R", a, b, Conductance{1e-3});
    n.add("C", b, reference, Capacitance{1e-7});
    const ProbeId va = n.probe_voltage("a", a), vb = n.probe_voltage("b", b);
    Simulation s = start(std::move(n));
    const double tau = 1e-4;
    ASSERT_EQ(s.run_to(0.5e-3), Ending::reached);
    EXPECT_NEAR(s.value(va), 2.0, 1e-9);
    EXPECT_NEAR(s.value(vb), 4e3 * (0.5e-3 - tau * (1 - std::exp(-5.0))), 1e-6);
    ASSERT_EQ(s.run_to(1.5e-3), Ending::reached);
    EXPECT_NEAR(s.value(va), 1.0, 1e-9);
    ASSERT_EQ(s.run_to(3.25e-3), Ending::reached);
    EXPECT_NEAR(s.value(va), 1.0, 1e-8);
    EXPECT_LT(s.ledger().residual(), 1e-5);
}

TEST(Simulation, TakesACapacitorOnAnIdealSourceAndATransformerBetweenCapacitors) {
    Network n;
    const NodeId a = n.node("a"), p = n.node("p"), q = n.node("q");
    n.add("V", a, reference, VoltageSource{Sine{10.0, 1000.0, 0.0, {}}});
    const BranchId c0 = n.add("C0", a, reference, Capacitance{1e-6});
    n.add("R", a, p, Conductance{0.01});
    n.add("C1", p, reference, Capacitance{1e-7});
    n.transformer({"T", p, reference, q, reference, 2.0});
    n.add("C2", q, reference, Capacitance{4e-7});
    const ProbeId vp = n.probe_voltage("p", p), vq = n.probe_voltage("q", q);
    const ProbeId ic = n.probe_current("ic", c0);
    Simulation s = start(std::move(n));
    ASSERT_EQ(s.run_to(10.25e-3), Ending::reached);
    EXPECT_NEAR(s.value(vp), 2.0 * s.value(vq), 1e-9);
    // C1 and C2 seen through the transformer: 1e-7 + 4e-7 / 4.
    const double wrc = 2 * std::numbers::pi * 1000 * 100 * 2e-7;
    const double amplitude = 10.0 / std::hypot(1.0, wrc);
    EXPECT_NEAR(s.value(vp), amplitude * std::sin(std::numbers::pi / 2 - std::atan(wrc)), 1e-6);
    EXPECT_NEAR(s.value(ic), 0.0, 1e-9);
    EXPECT_LT(s.ledger().residual(), 1e-6);
}

TEST(Simulation, MeasuresMeansAndRootMeanSquaresExactly) {
    Network n;
    const NodeId a = n.node("a");
    const BranchId v = n.add("V", a, reference, VoltageSource{Sine{100.0, 50.0, 0.3, {}}});
    n.add("R", a, reference, Conductance{0.1});
    const ProbeId pv = n.probe_voltage("a", a), pi = n.probe_current("i", v);
    Simulation s = start(std::move(n));
    ASSERT_EQ(s.run_to(3e-3), Ending::reached);
    s.harmonics(pv, 50.0, 3);
    s.measure({pv, pi});
    ASSERT_EQ(s.run_to(23e-3), Ending::reached);
    const Measured m = s.measured();
    EXPECT_NEAR(m.rms[0], 100.0 / std::numbers::sqrt2, 1e-6);
    EXPECT_NEAR(m.mean[0], 0.0, 1e-6);
    EXPECT_NEAR(m.rms[1], 10.0 / std::numbers::sqrt2, 1e-7);
    EXPECT_NEAR(m.largest[0], 100.0, 2e-2);
    EXPECT_NEAR(m.branch_joule[1], 100.0 * 10.0 / 2 * 20e-3, 1e-6);
    const auto h = s.harmonics();
    EXPECT_NEAR(h[1].amplitude, 100.0, 1e-6);
    EXPECT_NEAR(h[1].phase_rad, 0.3, 1e-6);
    EXPECT_NEAR(h[3].amplitude, 0.0, 1e-6);
}

TEST(Simulation, RectifiesHalfTheWave) {
    Network n;
    const NodeId a = n.node("a"), b = n.node("b");
    n.add("V", a, reference, VoltageSource{Sine{100.0, 50.0, 0.0, {}}});
    add_diode(n, "D", a, b, 0.0, 1e-3, 1e-12);
    n.add("R", b, reference, Conductance{0.01});
    const ProbeId v = n.probe_voltage("b", b);
    Simulation s = start(std::move(n));
    ASSERT_EQ(s.run_to(20e-3), Ending::reached);
    s.measure({v});
    ASSERT_EQ(s.run_to(60e-3), Ending::reached);
    const Measured m = s.measured();
    EXPECT_NEAR(m.mean[0], 100.0 / std::numbers::pi, 1e-3);
    EXPECT_NEAR(m.rms[0], 50.0, 2e-3);
    EXPECT_LT(s.ledger().residual(), 1e-6);
}

TEST(Simulation, ChargesABulkCapacitorThroughABridge) {
    Network n;
    const NodeId s1 = n.node("s"), l = n.node("l"), r = n.node("n"), p = n.node("+");
    n.add("V", s1, r, VoltageSource{Sine{325.0, 50.0, 0.0, {}}});
    n.add("Rs", s1, l, Conductance{0.5});
    add_diode(n, "D1", l, p);
    add_diode(n, "D2", r, p);
    add_diode(n, "D3", reference, l);
    add_diode(n, "D4", reference, r);
    n.add("C", p, reference, Capacitance{33e-6});
    n.add("R", p, reference, Conductance{1.0 / 7000});
    const ProbeId v = n.probe_voltage("+", p);
    Simulation s = start(std::move(n));
    ASSERT_EQ(s.run_to(0.2), Ending::reached) << base::to_string(s.trouble().front());
    s.measure({v});
    ASSERT_EQ(s.run_to(0.3), Ending::reached);
    const Measured m = s.measured();
    EXPECT_GT(m.mean[0], 305.0);
    EXPECT_LT(m.largest[0], 323.7);
    EXPECT_LT(s.ledger().residual(), 1e-4);
}

// Without any capacitance at their joint, rounding alone decides which of the two opens first.
TEST(Simulation, OpensTwoDiodesInSeriesAtOneInstant) {
    Network n;
    const NodeId s1 = n.node("s"), r = n.node("n"), a = n.node("a"), p = n.node("p");
    n.add("V", s1, r, VoltageSource{Sine{100.0, 50.0, 0.0, {}}});
    n.add("Rs", s1, a, Conductance{1.0 / 9.98});
    const auto bare = [&](const char* name, NodeId from, NodeId to) {
        n.add(name,
              from,
              to,
              Curve{Expression::voltage(from, to), {{0.0}, {1e-9, 100.0}, 0.0}, 1e-2});
    };
    bare("D1", a, p);
    bare("D2", r, p);
    bare("D3", reference, a);
    bare("D4", reference, r);
    n.add("Rn", r, reference, Conductance{1e-8});
    n.add("C", p, reference, Capacitance{159.155e-6});
    n.add("R", p, reference, Conductance{1e-3});
    const ProbeId v = n.probe_voltage("p", p);
    Simulation s = start(std::move(n));
    ASSERT_EQ(s.run_to(0.5), Ending::reached) << base::to_string(s.trouble().front());
    EXPECT_GT(s.value(v), 80.0);
    EXPECT_LT(s.value(v), 100.0);
    EXPECT_LT(s.ledger().residual(), 1e-6);
}

TEST(Simulation, StepsUpAVoltageAsTheTextbookSays) {
    Network n;
    const NodeId in = n.node("in"), x = n.node("x"), out = n.node("out");
    n.add("V", in, reference, VoltageSource{Constant{12.0}});
    n.add("L", in, x, Winding{100e-6, 1e-3});
    const SwitchId q = n.add_switch("Q", x, reference, Switch{1e3, 1e-9, false});
    n.add("Coss", x, reference, Capacitance{50e-12});
    add_diode(n, "D", x, out, 0.0, 1e-3);
    n.add("C", out, reference, Capacitance{10e-6});
    n.add("R", out, reference, Conductance{1.0 / 24});
    const ProbeId v = n.probe_voltage("out", out);
    std::vector<std::unique_ptr<Machine>> m;
    m.push_back(std::make_unique<Clock>(q, 10e-6, 0.5));
    Simulation s = start(std::move(n), std::move(m));
    ASSERT_EQ(s.run_to(5e-3), Ending::reached) << base::to_string(s.trouble().front());
    s.measure({v});
    ASSERT_EQ(s.run_to(6e-3), Ending::reached);
    EXPECT_NEAR(s.measured().mean[0], 24.0, 0.05);
    EXPECT_LT(s.ledger().residual(), 1e-4);
    ASSERT_EQ(s.counts().size(), 1u);
    EXPECT_NEAR(s.counts()[0].shortest_s, 10e-6, 1e-11);
}

TEST(Simulation, SaysThatSourcesContradict) {
    Network n;
    const NodeId p = n.node("p"), q = n.node("q");
    n.add("V1", p, reference, VoltageSource{Constant{5.0}});
    n.add("V2", q, reference, VoltageSource{Constant{5.0}});
    n.transformer({"T1", p, reference, q, reference, 2.0});
    const auto made = Simulation::make(std::move(n), {});
    ASSERT_FALSE(made);
    EXPECT_NE(made.errors()[0].what.find("T1"), std::string::npos);
}

TEST(Simulation, TiesWhatFloatsAndSaysSo) {
    Network n;
    const NodeId a = n.node("a"), b = n.node("b"), c = n.node("c");
    n.add("V", a, reference, VoltageSource{Constant{1.0}});
    n.add("R", a, reference, Conductance{1.0});
    n.add("R2", b, c, Conductance{1.0});
    Simulation s = start(std::move(n));
    ASSERT_EQ(s.run_to(1e-3), Ending::reached);
    EXPECT_NE(s.effort().note.find("nothing fixes the voltage"), std::string::npos);
}

TEST(Simulation, GoesBackToASnapshotAndRepeatsItselfExactly) {
    Network n;
    const NodeId in = n.node("in"), x = n.node("x"), out = n.node("out");
    n.add("V", in, reference, VoltageSource{Constant{12.0}});
    n.add("L", in, x, Winding{100e-6, 1e-3});
    const SwitchId q = n.add_switch("Q", x, reference, Switch{1e2, 1e-9, false});
    n.add("Coss", x, reference, Capacitance{50e-12});
    add_diode(n, "D", x, out);
    n.add("C", out, reference, Capacitance{10e-6});
    n.add("R", out, reference, Conductance{1.0 / 24});
    const ProbeId v = n.probe_voltage("out", out);
    std::vector<std::unique_ptr<Machine>> m;
    m.push_back(std::make_unique<Clock>(q, 10e-6, 0.5));
    Simulation s = start(std::move(n), std::move(m));
    ASSERT_EQ(s.run_to(1e-3), Ending::reached);
    const auto snap = s.snapshot();
    s.restore(*snap);
    ASSERT_EQ(s.run_to(2e-3), Ending::reached);
    const double once = s.value(v);
    s.restore(*snap);
    ASSERT_EQ(s.run_to(2e-3), Ending::reached);
    EXPECT_EQ(s.value(v), once);
    const auto stored = s.stored();
    s.set_stored(stored);
    const auto again = s.stored();
    for (std::size_t i = 0; i < stored.size(); ++i) {
        EXPECT_NEAR(again[i], stored[i], 1e-9);
    }
}

TEST(Simulation, KeepsThePeaksOfARingInTraceAndEnvelope) {
    Network n;
    const NodeId a = n.node("a");
    n.add("L", a, reference, Winding{1e-6, 0.01, 1.0});
    n.add("C", a, reference, Capacitance{1e-9});
    const ProbeId v = n.probe_voltage("a", a);
    Simulation s = start(std::move(n));
    s.record({v}, 0.0, 2e-6);
    s.envelope({v}, 0.0, 2e-6, 10);
    s.measure({v});
    ASSERT_EQ(s.run_to(2e-6), Ending::reached);
    const double peak = std::sqrt(1e-6 / 1e-9);  // 1 A times the characteristic impedance
    const auto& trace = s.traces()[0];
    EXPECT_NEAR(*std::min_element(trace.value.begin(), trace.value.end()), -peak, 0.01 * peak);
    EXPECT_NEAR(*std::min_element(s.envelopes()[0].low.begin(), s.envelopes()[0].low.end()),
                -peak,
                0.01 * peak);
    EXPECT_NEAR(s.measured().least[0], -peak, 0.01 * peak);
    for (std::size_t i = 1; i < trace.t_s.size(); ++i) {
        EXPECT_GE(trace.t_s[i], trace.t_s[i - 1]);
    }
}

}  // namespace
}  // namespace etchback::behaviour
