// The controllers of the examples at work in their circuits, as the dossiers have them.
#include <gtest/gtest.h>

#include <map>
#include <string>

#include "behaviour/models_stage.h"

namespace etchback::behaviour::test {
namespace {

Model example(const char* name, double supply_v_rms) {
    ModelOptions options;
    options.supply_v_rms = supply_v_rms;
    return model(read_dossier(std::string("examples/") + name), options);
}

// Capacitors start near where they will be, so that the slow ones need not be waited for.
void charge(Simulation& simulation, const std::map<std::string, double>& volts) {
    auto stored = simulation.stored();
    const auto& branches = simulation.network().branches();
    for (std::size_t i = 0; i < branches.size(); ++i) {
        if (const auto found = volts.find(branches[i].name); found != volts.end()) {
            stored[i] = found->second;
        }
    }
    simulation.set_stored(stored);
}

struct Seen {
    double volts = 0.0, amps = 0.0;  // of the load
    std::int64_t cycles = 0, valleys = 0;
};

Seen steady(Model made,
            const std::map<std::string, double>& volts,
            const char* told,
            double settle_s,
            double span_s) {
    const Terminals::Load load = made.terminals.loads.at(0);
    Bench run(std::move(made));
    Simulation& simulation = run.simulation();
    run.to(1e-3);
    charge(simulation, volts);
    run.to(settle_s);
    simulation.measure({load.volts, load.amps});
    run.to(settle_s + span_s);
    const Measured measured = simulation.measured();
    EXPECT_TRUE(simulation.ledger().in_order());
    EXPECT_TRUE(run.told(told)) << told;
    Seen seen{measured.mean.at(0), measured.mean.at(1), 0, 0};
    for (const Simulation::Count& count : simulation.counts()) {
        seen.cycles += count.what == "cycle" ? count.number : 0;
        seen.valleys += count.what == "valley" ? count.number : 0;
    }
    return seen;
}

TEST(ExampleSeedlingDriver, HoldsItsCurrentFromLowToHighMains) {
    // n Vref / (2 Rs) with 120 to 50 turns, 0.3 V and 1.5 ohm beside 3.3 ohm. Leakage inductance
    // and the capacitance of the switch node take some percent off.
    const double law_a = 2.4 * 0.3 / (2.0 * 1.5 * 3.3 / 4.8);
    for (const double mains_v : {198.0, 264.0}) {
        const Seen seen = steady(example("seedling-driver", mains_v),
                                 {{"C4", 17.0}, {"C5", 17.0}, {"C6", 0.55}, {"C8", 40.0}},
                                 "valley",
                                 0.08,
                                 0.02);
        EXPECT_LT(seen.amps, law_a) << mains_v;
        EXPECT_GT(seen.amps, 0.95 * law_a) << mains_v;
        EXPECT_GT(seen.cycles, 1000) << mains_v;
        EXPECT_GE(seen.valleys, seen.cycles) << mains_v;
    }
}

TEST(ExampleSewingAdapter, HoldsItsVoltage) {
    const Seen seen =
        steady(example("sewing-adapter", 230.0), {{"C4", 15.9}}, "regulating", 0.03, 0.01);
    EXPECT_NEAR(seen.volts, 12.0, 0.25);
    EXPECT_GT(seen.cycles, 500);
}

}  // namespace
}  // namespace etchback::behaviour::test
