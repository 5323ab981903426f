// The engine against SUNDIALS IDA: the same circuits from hand-written equations.
//
// Both sides have the same parameters and start from the same state; nothing else is shared. IDA
// runs at a relative tolerance of 1e-6, at which its figures change by less than 1e-4 when the
// tolerance is cut tenfold (docs/engine-proof.md). What is asked is 0.5 %; what is found is written
// there.
#include <gtest/gtest.h>

#include <cmath>

#include "reference/circuits/networks.h"

namespace etchback::ida {
namespace {

constexpr double kShare = 0.005;
constexpr double kCell = 5e-6;

template <typename Circuit>
std::vector<int> integrals() {
    const int first = Circuit::integrals;
    return {first, first + 1, first + 2, first + 3};
}

template <typename Circuit>
Figures solved(Circuit equations,
               int peak,
               const EngineRun& engine,
               double begin_s,
               double end_s,
               double v_rms,
               double hz) {
    const Course course = solve(equations,
                                {.end_s = end_s,
                                 .relative = 1e-6,
                                 .cell_s = kCell,
                                 .longest_step_s = hz > 0.0 ? 1e-4 : 1e-5,
                                 .sampled = integrals<Circuit>(),
                                 .extremes = {peak}});
    EXPECT_EQ(course.trouble, "");
    if constexpr (requires { equations.cycles(); }) {
        // Chopping a whole circuit into pulses by the same rule must give the same number of them.
        EXPECT_NEAR(static_cast<double>(equations.cycles()),
                    static_cast<double>(engine.cycles),
                    1.0 + 1e-3 * static_cast<double>(engine.cycles));
    }
    return figures_of(course, kCell, begin_s, end_s, v_rms, hz);
}

void near(double engine, double equations, const char* what, double share = kShare) {
    EXPECT_NEAR(engine, equations, share * std::abs(equations)) << what;
    testing::Test::RecordProperty(what, std::to_string(engine / equations - 1.0));
}

void compare(const EngineRun& engine, const Figures& equations, bool mains) {
    ASSERT_TRUE(engine.trouble.empty()) << base::to_string(engine.trouble.front());
    near(engine.figures.load_a, equations.load_a, "mean load current");
    near(engine.figures.input_w, equations.input_w, "input power");
    near(engine.figures.input_a_rms, equations.input_a_rms, "input current");
    near(engine.figures.peak_v, equations.peak_v, "peak voltage");
    if (mains) {
        near(engine.figures.power_factor, equations.power_factor, "power factor");
        near(engine.figures.power_factor_40,
             equations.power_factor_40,
             "power factor of 40 harmonics");
    }
    EXPECT_LT(engine.ledger.residual(), 1e-3);
    EXPECT_LT(engine.ledger.worst_kirchhoff_a, 1e-4) << engine.ledger.worst_node;
}

TEST(EngineAgainstIda, CapacitorInputRectifier) {
    const Rectifier p;
    const EngineRun engine = run(network_of(p), 0.04, 0.06);
    using Circuit = RectifierEquations<Rectifier>;
    compare(engine,
            solved(Circuit(p), Circuit::bulk, engine, 0.04, 0.06, p.supply_v_rms, p.supply_hz),
            true);
}

// Diodes of straight pieces against diodes that follow the exponential law: what the engine's
// simplification is worth.
TEST(EngineAgainstIda, CapacitorInputRectifierWithExponentialDiodes) {
    const JunctionRectifier p;
    const EngineRun engine = run(network_of(p), 0.04, 0.06);
    using Circuit = RectifierEquations<JunctionRectifier>;
    compare(engine,
            solved(Circuit(p), Circuit::bulk, engine, 0.04, 0.06, p.supply_v_rms, p.supply_hz),
            true);
}

TEST(EngineAgainstIda, CapacitiveDropper) {
    const Dropper p;
    const EngineRun engine = run(network_of(p), 0.04, 0.06);
    compare(engine,
            solved(DropperEquations(p),
                   DropperEquations::bulk,
                   engine,
                   0.04,
                   0.06,
                   p.supply_v_rms,
                   p.supply_hz),
            true);
}

TEST(EngineAgainstIda, FlybackAtSixtyFiveKilohertz) {
    const FixedFlyback p;
    const EngineRun engine = run(network_of(p), 0.0, 3e-3);
    compare(engine,
            solved(FixedFlybackEquations(p),
                   FixedFlybackEquations::drain,
                   engine,
                   0.0,
                   3e-3,
                   p.supply_v,
                   0.0),
            false);
}

TEST(EngineAgainstIda, FlybackOfHighPowerFactorOverOneMainsCycle) {
    const MainsFlyback p;
    const EngineRun engine = run(network_of(p), 0.0, 0.02);
    compare(engine,
            solved(MainsFlybackEquations(p),
                   MainsFlybackEquations::drain,
                   engine,
                   0.0,
                   0.02,
                   p.supply_v_rms,
                   p.supply_hz),
            true);
}

}  // namespace
}  // namespace etchback::ida
