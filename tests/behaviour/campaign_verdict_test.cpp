#include "behaviour/detail/campaign_verdict.h"

#include <gtest/gtest.h>

#include <limits>

#include "behaviour/detail/campaign_json.h"

namespace etchback::behaviour::detail {
namespace {

Look lamp(double volts, double amps) {
    Look look;
    look.loads = {{"LED1", volts, amps}};
    look.supply_a_rms = 0.07;
    return look;
}

StressRow drain(double volts) {
    return {"Q1", Limit::Kind::peak_voltage, volts, base::Unit::volt, 600.0, false, "marking"};
}

TEST(Verdict, OfTheSameIsNoChange) {
    const Look healthy = lamp(40.0, 0.35);
    EXPECT_EQ(judge(healthy, lamp(40.1, 0.352)),
              (Verdict{"no change", "Nothing that a user would notice."}));
}

TEST(Verdict, TellsByHowMuchTheOutputChanges) {
    const Look healthy = lamp(40.0, 0.35);
    EXPECT_EQ(judge(healthy, lamp(41.0, 0.42)),
              (Verdict{"output changed", "LED1: current rises by 20 %."}));
    EXPECT_EQ(judge(healthy, lamp(30.0, 0.07)),
              (Verdict{"output changed", "LED1: current falls by 80 %, voltage falls by 25 %."}));
    EXPECT_EQ(judge(healthy, lamp(40.0, 5.25)).words, "LED1: current is 15 times as large.");
}

// An output capacitor that opens leaves the mean as it was.
TEST(Verdict, TellsThatTheCurrentSwingsMoreAtTheSameMean) {
    Look healthy = lamp(40.0, 0.35), faulty = healthy;
    healthy.loads[0].rms_amps = 0.36;
    faulty.loads[0].rms_amps = 0.54;
    EXPECT_EQ(judge(healthy, faulty),
              (Verdict{"output changed",
                       "LED1: RMS value of the current rises by 50 % at the same mean."}));
}

TEST(Verdict, TellsThatTheOutputIsLost) {
    EXPECT_EQ(judge(lamp(40.0, 0.35), lamp(20.0, 1e-4)),
              (Verdict{"output lost", "LED1 gets no power any more."}));
}

TEST(Verdict, WeighsAnOverStressMoreThanTheOutput) {
    Look faulty = lamp(0.0, 0.0);
    faulty.exceeded = {drain(780.0)};
    EXPECT_EQ(judge(lamp(40.0, 0.35), faulty),
              (Verdict{"over-stress",
                       "Q1: peak voltage 780\u00a0V, 1.3 times its rating. LED1 gets no power any "
                       "more."}));
}

TEST(Verdict, DoesNotBlameAFaultForWhatWasTooMuchBefore) {
    Look healthy = lamp(40.0, 0.35), faulty = healthy;
    healthy.exceeded = {drain(640.0)};
    faulty.exceeded = {drain(650.0)};
    EXPECT_EQ(judge(healthy, faulty).verdict, "no change");
    faulty.exceeded = {drain(700.0)};
    EXPECT_EQ(judge(healthy, faulty).verdict, "over-stress");
}

TEST(Verdict, TellsWhenAFuseOpens) {
    Look faulty = lamp(0.0, 0.0);
    faulty.supply_a_rms = 20.0;
    faulty.story = {{2.5e-3, "F1", "fuse_melted", "F1 melted and opened."}};
    const Verdict verdict = judge(lamp(40.0, 0.35), faulty);
    EXPECT_EQ(verdict.verdict, "fuse opens");
    EXPECT_EQ(verdict.words, "F1 opens 2.5\u00a0ms after the fault. LED1 gets no power any more.");
}

TEST(Verdict, TellsThatTheSupplyIsShortedAndNothingOpens) {
    Look faulty = lamp(0.0, 0.0);
    faulty.supply_a_rms = 20.0;
    EXPECT_EQ(judge(lamp(40.0, 0.35), faulty).verdict, "supply shorted");
}

TEST(Verdict, TellsOfRestarts) {
    Look faulty = lamp(35.0, 0.02);
    faulty.story = {{30e-3, "U1", "restart", "U1 starts again."}};
    const Verdict verdict = judge(lamp(40.0, 0.35), faulty);
    EXPECT_EQ(verdict.verdict, "restarts");
    EXPECT_EQ(verdict.words.substr(0, 27), "U1 stops and starts anew. L");
}

TEST(Verdict, SaysWhyTheEngineGaveUp) {
    Look faulty = lamp(0.0, 0.0);
    faulty.gave_up = "a voltage is not finite";
    EXPECT_EQ(judge(lamp(40.0, 0.35), faulty),
              (Verdict{"not simulated", "The engine gave up: a voltage is not finite."}));
}

TEST(FaultRunAsJson, ReadsBackEqual) {
    FaultRun run;
    run.fault = {Fault::Kind::bridged, "U1", "CS \"x\"", "DRV"};
    run.corner = "198 V";
    run.verdict = "over-stress";
    run.words = "Größer als 1 kΩ.\nZwei Zeilen.";
    run.exceeded = {drain(0.1 + 0.2)};
    run.exceeded.push_back(run.exceeded[0]);
    run.exceeded[1].rating.reset();
    run.figures = {{"input_power", "Input power", 1.0 / 3.0, base::Unit::watt, "note"},
                   {"odd", "", std::numeric_limits<double>::infinity(), base::Unit::none, ""},
                   {"small", "", 5e-324, base::Unit::none, ""},
                   {"whole", "", 5.0, base::Unit::none, ""}};
    run.story = {{1e-9, "U1", "started", "U1 starts."}};
    run.ledger_in_order = false;
    const std::string json = json_of(run);
    EXPECT_EQ(json.find('\n'), std::string::npos);
    const auto back = fault_run_in(json);
    ASSERT_TRUE(back);
    EXPECT_EQ(*back, run);
    EXPECT_EQ(json_of(*back), json);
}

TEST(FaultRunAsJson, OfAnotherFormIsNothing) {
    for (const char* text : {"", "{}", "[]", "{\"fault\":3}", "null", "{\"fault\":[0,\"R1\"]}"}) {
        EXPECT_FALSE(fault_run_in(text)) << text;
        EXPECT_FALSE(sample_run_in(text)) << text;
    }
}

}  // namespace
}  // namespace etchback::behaviour::detail
