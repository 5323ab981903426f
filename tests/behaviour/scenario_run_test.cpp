// Scenarios on circuits that can be worked out by hand.
#include "behaviour/detail/scenario_run.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "behaviour/scenario_stage.h"

namespace etchback::behaviour {
namespace {

using testing::Contains;
using testing::Field;
using testing::HasSubstr;

Scenario settled() {
    Scenario scenario;
    scenario.id = "normal";
    scenario.span_s = 2.0;
    scenario.measure_s = 0.04;
    scenario.steady_at_end = true;
    return scenario;
}

Outcome run(Stage& stage, const Scenario& scenario, const OutcomeOptions& options = {}) {
    auto outcome = detail::run_on(std::move(stage.model), scenario, options);
    EXPECT_TRUE(outcome) << base::to_string(outcome.errors().front());
    EXPECT_EQ(outcome->ending, Ending::reached);
    EXPECT_THAT(outcome->trouble, testing::IsEmpty());
    EXPECT_LT(outcome->ledger.residual(), 1e-6);
    return *outcome;
}

// 12 V, 1 kΩ, then 100 µF beside a load of 1 kΩ.
Stage divider() {
    Stage stage(12.0);
    const NodeId out = stage.model.network.node("out");
    stage.resistor("R1", stage.plus, out, 1e3);
    stage.capacitor("C1", out, reference, 100e-6);
    stage.load("LOAD", out, 1e3);
    return stage;
}

TEST(Scenario, OfADividerGivesHalfTheVoltageAndHalfThePower) {
    Stage stage = divider();
    const Outcome outcome = run(stage, settled());
    EXPECT_TRUE(outcome.steady) << outcome.steady_words;
    EXPECT_EQ(outcome.supply_hz, 0.0);
    EXPECT_NEAR(outcome.supply_v_rms, 12.0, 1e-12);
    EXPECT_NEAR(outcome.figure("supply_voltage").value(), 12.0, 1e-9);
    EXPECT_NEAR(outcome.figure("supply_current").value(), 6e-3, 6e-6);
    EXPECT_NEAR(outcome.figure("input_power").value(), 72e-3, 72e-6);
    EXPECT_NEAR(outcome.figure("output_voltage.LOAD").value(), 6.0, 6e-3);
    EXPECT_NEAR(outcome.figure("output_current.LOAD").value(), 6e-3, 6e-6);
    EXPECT_NEAR(outcome.figure("output_power.LOAD").value(), 36e-3, 72e-6);
    EXPECT_NEAR(outcome.figure("efficiency").value(), 50.0, 0.05);
    EXPECT_NEAR(outcome.figure("dissipation.R1").value(), 36e-3, 72e-6);
    EXPECT_FALSE(outcome.mains_current) << "a direct supply has no harmonics";
}

// Through 500 Ω (both resistors) the capacitor has a time constant of 50 ms; 90 % come after ln 10
// of them. Told to within a cell of the plot.
TEST(Scenario, TellsTheStartUpTimeAndTheInrush) {
    Stage stage = divider();
    Scenario scenario = settled();
    scenario.steady_at_end = false;
    scenario.span_s = 1.0;
    const Outcome outcome = run(stage, scenario);
    EXPECT_NEAR(outcome.figure("start_up_time.LOAD").value(), 0.05 * std::log(10.0), 1.3e-3);
    EXPECT_NEAR(outcome.figure("inrush_current").value(), 12e-3, 1e-6);
}

TEST(Scenario, OfAResistorOnTheMainsHasAPowerFactorOfOne) {
    Stage stage(230.0, 50.0);
    stage.load("LOAD", stage.plus, 529.0);
    const Outcome outcome = run(stage, settled());
    EXPECT_NEAR(outcome.figure("supply_voltage").value(), 230.0, 1e-6);
    EXPECT_NEAR(outcome.figure("input_power").value(), 100.0, 1e-3);
    EXPECT_NEAR(outcome.figure("raw_power_factor").value(), 1.0, 1e-9);
    EXPECT_NEAR(outcome.figure("power_factor").value(), 1.0, 1e-6);
    EXPECT_NEAR(outcome.figure("displacement_factor").value(), 1.0, 1e-9);
    EXPECT_NEAR(outcome.figure("distortion").value(), 0.0, 1e-4);
}

// 1 µF before 1 kΩ at 50 Hz: X = 3183.1 Ω, so that the current leads by atan(X/R).
TEST(Scenario, OfACapacitorBeforeAResistorIsDisplacedAndNotDistorted) {
    Stage stage(230.0, 50.0);
    const NodeId out = stage.model.network.node("out");
    stage.capacitor("C1", stage.plus, out, 1e-6);
    stage.load("LOAD", out, 1e3);
    const Outcome outcome = run(stage, settled());
    const double x = 1.0 / (2.0 * std::numbers::pi * 50.0 * 1e-6);
    const double factor = 1e3 / std::hypot(1e3, x);
    EXPECT_NEAR(outcome.figure("supply_current").value(), 230.0 / std::hypot(1e3, x), 1e-6);
    EXPECT_NEAR(outcome.figure("displacement_factor").value(), factor, 1e-6);
    EXPECT_NEAR(outcome.figure("power_factor").value(), factor, 1e-6);
    EXPECT_NEAR(outcome.figure("raw_power_factor").value(), factor, 1e-6);
    EXPECT_NEAR(outcome.mains_current->total_distortion, 0.0, 1e-6);
}

// One diode before 529 Ω. Of a half wave of peak I: RMS I/2, mean I/pi, fundamental I/2, and
// THD^2 = 1 - 8/pi^2 (Fourier series of a half-wave rectified sine).
TEST(Scenario, OfAHalfWaveHasTheHarmonicsOfTheTextbook) {
    Stage stage(230.0, 50.0);
    const NodeId out = stage.model.network.node("out");
    stage.diode("D1", stage.plus, out);
    stage.load("LOAD", out, 529.0);
    const Outcome outcome = run(stage, settled());
    const double peak_a = 230.0 * std::numbers::sqrt2 / 529.0;
    const double pi = std::numbers::pi;
    ASSERT_TRUE(outcome.mains_current);
    const Harmonics& harmonics = *outcome.mains_current;
    ASSERT_EQ(harmonics.amps_rms.size(), 41U);
    EXPECT_NEAR(harmonics.amps_rms[0], peak_a / pi, 1e-5);
    EXPECT_NEAR(harmonics.amps_rms[1], peak_a / 2.0 / std::numbers::sqrt2, 1e-5);
    EXPECT_NEAR(harmonics.amps_rms[2], 2.0 / (3.0 * pi) * peak_a / std::numbers::sqrt2, 1e-5);
    EXPECT_NEAR(harmonics.amps_rms[3], 0.0, 1e-6);
    EXPECT_NEAR(harmonics.total_distortion, std::sqrt(1.0 - 8.0 / (pi * pi)), 1e-4);
    EXPECT_NEAR(outcome.figure("raw_power_factor").value(), std::sqrt(0.5), 1e-5);
    EXPECT_NEAR(outcome.figure("power_factor").value(), std::sqrt(0.5), 1e-4);
    EXPECT_NEAR(outcome.figure("input_power").value(), 50.0, 1e-3);
    EXPECT_NEAR(outcome.figure("output_current.LOAD").value(), peak_a / pi, 1e-5);
    EXPECT_NEAR(outcome.figure("output_current_rms.LOAD").value(), peak_a / 2.0, 1e-5);
    EXPECT_NEAR(outcome.figure("output_current_ripple.LOAD").value(), peak_a, 1e-3);
}

TEST(Scenario, OpensAndRestoresTheLoadAtItsTimes) {
    Stage stage = divider();
    Scenario scenario;
    scenario.id = "load-open";
    scenario.from = Scenario::From::steady;
    scenario.span_s = 1.0;
    scenario.measure_s = 0.02;
    scenario.deeds = {{Deed::Kind::open_load, 0.1, 1.0, ""}};
    const Outcome outcome = run(stage, scenario);
    EXPECT_TRUE(outcome.steady);
    EXPECT_NEAR(outcome.figure("output_voltage.LOAD").value(), 12.0, 2e-3);
    EXPECT_NEAR(outcome.figure("output_current.LOAD").value(), 0.0, 1e-9);
    ASSERT_EQ(outcome.story.size(), 1U);
    EXPECT_EQ(outcome.story[0].key, "load_opened");
    EXPECT_EQ(outcome.story[0].text, "LOAD is disconnected.");
    ASSERT_FALSE(outcome.plots.empty());
    EXPECT_EQ(outcome.plots[0].id, "whole");
    EXPECT_NEAR(outcome.story[0].t_s, outcome.plots[0].start_s + 0.1, 1e-9);
}

// Shorted by 1 mΩ: all 12 V lie across R1.
TEST(Scenario, ShortsTheOutput) {
    Stage stage = divider();
    Scenario scenario;
    scenario.from = Scenario::From::steady;
    scenario.span_s = 0.5;
    scenario.measure_s = 0.02;
    scenario.deeds = {{Deed::Kind::short_load, 0.1, 1.0, "LOAD"}};
    const Outcome outcome = run(stage, scenario);
    EXPECT_NEAR(outcome.figure("output_voltage.LOAD").value(), 12e-6, 1e-6);
    EXPECT_NEAR(outcome.figure("input_power").value(), 144e-3, 1e-5);
}

TEST(Scenario, ScalesTheSupplyAndBringsItBack) {
    Scenario scenario;
    scenario.span_s = 0.1;
    scenario.measure_s = 0.04;
    scenario.deeds = {{Deed::Kind::supply_factor, 0.01, 0.5, ""}};
    Stage low(230.0, 50.0);
    low.load("LOAD", low.plus, 529.0);
    EXPECT_NEAR(run(low, scenario).figure("input_power").value(), 25.0, 1e-3);
    scenario.deeds.push_back({Deed::Kind::supply_factor, 0.05, 1.0, ""});
    Stage back(230.0, 50.0);
    back.load("LOAD", back.plus, 529.0);
    const Outcome outcome = run(back, scenario);
    EXPECT_NEAR(outcome.figure("input_power").value(), 100.0, 1e-3);
    EXPECT_EQ(outcome.story.size(), 2U);
}

TEST(Scenario, SaysWhichLoadItDoesNotFind) {
    Stage stage = divider();
    Scenario scenario;
    scenario.deeds = {{Deed::Kind::open_load, 0.1, 1.0, "LED7"}};
    const auto outcome = detail::run_on(std::move(stage.model), scenario, {});
    ASSERT_FALSE(outcome);
    EXPECT_EQ(base::to_string(outcome.errors().front()),
              "the scenario acts on LED7, which is no load; its loads are: LOAD");
}

// The capacitor, charging to 6 V with 50 ms, passes 3 V after ln 2 of them; R1 takes 36 mW of 30.
TEST(Scenario, HoldsEveryPartAgainstItsRatings) {
    Stage stage = divider();
    const ProbeId across = stage.model.network.probe_voltage("C1", NodeId{2});
    stage.limit("C1", Limit::Kind::peak_voltage, across, 3.0);
    stage.limit("C1", Limit::Kind::rms_current, stage.model.terminals.loads[0].amps, 0.6);
    stage.power_limit("R1", 30e-3);
    const Outcome outcome = run(stage, settled());
    ASSERT_EQ(outcome.stress.size(), 3U);
    EXPECT_EQ(outcome.stress[0].part, "C1");
    EXPECT_NEAR(outcome.stress[0].share().value(), 2.0, 2e-3);
    EXPECT_TRUE(outcome.stress[0].exceeded());
    EXPECT_EQ(outcome.stress[1].part, "R1");
    EXPECT_NEAR(outcome.stress[1].value, 36e-3, 1e-4);
    EXPECT_NEAR(outcome.stress[2].share().value(), 0.01, 1e-4);
    ASSERT_EQ(outcome.story.size(), 1U);
    EXPECT_EQ(outcome.story[0].who, "C1");
    EXPECT_EQ(outcome.story[0].key, "limit_passed");
    EXPECT_NEAR(outcome.story[0].t_s, 0.05 * std::log(2.0), 1e-5);
    EXPECT_THAT(outcome.story[0].text, HasSubstr("its rating (marking)"));
}

TEST(Scenario, PlotsTheWholeRunAndACycleWithoutLosingPeaks) {
    Stage stage(230.0, 50.0);
    const NodeId out = stage.model.network.node("out");
    stage.diode("D1", stage.plus, out);
    stage.load("LOAD", out, 529.0);
    const Outcome outcome = run(stage, settled());
    ASSERT_EQ(outcome.plots.size(), 2U);
    EXPECT_EQ(outcome.plots[1].id, "mains-cycle");
    EXPECT_NEAR(outcome.plots[1].end_s - outcome.plots[1].start_s, 0.02, 1e-9);
    for (const Plot& plot : outcome.plots) {
        const PlotCurve& volts = plot.curves.at(0);
        EXPECT_EQ(volts.title, "Voltage of J1");
        EXPECT_TRUE(volts.is_envelope());
        EXPECT_NEAR(std::ranges::max(volts.high), 230.0 * std::numbers::sqrt2, 0.05) << plot.id;
        EXPECT_NEAR(std::ranges::min(volts.low), -230.0 * std::numbers::sqrt2, 0.05) << plot.id;
        for (std::size_t i = 0; i < volts.low.size(); ++i) {
            EXPECT_TRUE(std::isfinite(volts.low[i]) && std::isfinite(volts.high[i])) << plot.id;
            EXPECT_LE(volts.low[i], volts.mean[i] + 1e-6) << plot.id << i;
        }
    }
}

TEST(Scenario, ThatIsInterruptedSaysSo) {
    Stage stage = divider();
    OutcomeOptions options;
    options.interrupted = [] { return true; };
    const auto outcome = detail::run_on(std::move(stage.model), settled(), options);
    ASSERT_TRUE(outcome);
    EXPECT_EQ(outcome->ending, Ending::interrupted);
    EXPECT_THAT(outcome->trouble, Contains(Field(&base::Error::what, HasSubstr("interrupted at"))));
    EXPECT_TRUE(outcome->figures.empty());
}

}  // namespace
}  // namespace etchback::behaviour
