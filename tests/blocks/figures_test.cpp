#include "blocks/figures.h"

#include <gmock/gmock.h>

#include <cmath>
#include <set>

#include "blocks/discharge.h"
#include "board.h"

namespace etchback::test {
namespace {

using ::testing::HasSubstr;
using ::testing::IsNull;
using ::testing::NotNull;

double value(const Derived& d, const std::string& id) {
    const base::Figure* f = d.figure(id);
    return f == nullptr ? std::nan("") : f->value;
}

Board with_x_capacitor() {
    return rectified()
        .with("C5", R"(kind = "X2 capacitor"
value = "220n"
pins = { 1 = "LF", 2 = "N" })")
        .with("R5", R"(kind = "resistor"
value = "1M"
pins = { 1 = "LF", 2 = "M" })")
        .with("R6", R"(kind = "resistor"
value = "1M"
pins = { 1 = "M", 2 = "N" })");
}

TEST(Figures, TheCrestOfTheMainsIsTheFirstOfThem) {
    EXPECT_NEAR(value(Derived(rectified()), "mains_peak"), crest_230, 0.001);
}

TEST(Figures, TwoResistorsInSeriesBleedAnXCapacitor) {
    const Derived d(with_x_capacitor());
    EXPECT_NEAR(value(d, "bleed_time.C5"), 0.44 * std::log(crest_230 / 60.0), 1e-4);
    EXPECT_NEAR(value(d, "residual.C5"), crest_230 * std::exp(-1.0 / 0.44), 0.01);
    EXPECT_NEAR(value(d, "residual_2s.C5"), crest_230 * std::exp(-2.0 / 0.44), 0.01);
}

TEST(Figures, CapacitorsSideBySideAreBledTogether) {
    const Derived d(with_x_capacitor().with("C6", R"(kind = "X2 capacitor"
value = "220n"
pins = { 1 = "AC", 2 = "N" })"));
    EXPECT_NEAR(value(d, "bleed_time.C5"), 0.88 * std::log(crest_230 / 60.0), 1e-4);
}

TEST(Figures, WithoutABleederAllOfItStays) {
    const Derived d(with_x_capacitor().without("R6"));
    EXPECT_THAT(d.figure("bleed_time.C5"), IsNull());
    EXPECT_NEAR(value(d, "residual.C5"), crest_230, 0.01);
    EXPECT_THAT(d.figure("residual.C5")->worked, HasSubstr("no path found"));
}

TEST(Figures, ABridgeIntoAReservoirIsNoBleeder) {
    Board board = with_x_capacitor().without("R5").without("R6");
    board.with("R7", R"(kind = "resistor"
value = "470k"
pins = { 1 = "HV+", 2 = "HV-" })");
    EXPECT_NEAR(value(Derived(board), "residual.C5"), crest_230, 0.01);
}

TEST(Figures, ABridgeIntoAFilmCapacitorWithAResistorIsOne) {
    Board board = with_x_capacitor().without("R5").without("R6");
    board.with("R7", R"(kind = "resistor"
value = "1M"
pins = { 1 = "HV+", 2 = "HV-" })");
    board.with("C1", R"(kind = "film capacitor"
value = "100n"
pins = { 1 = "HV+", 2 = "HV-" })");
    EXPECT_NEAR(value(Derived(board), "bleed_time.C5"), 0.32 * std::log(crest_230 / 60.0), 1e-4);
}

TEST(Figures, ATransformerAcrossTheMainsDischargesAtOnce) {
    Board board = with_x_capacitor().without("R5").without("R6");
    board.with("T1", R"(kind = "transformer"
pins = { 1 = "LF", 2 = "N", 3 = "A", 4 = "B" }
windings = [ { name = "p", pins = ["1", "2"] }, { name = "s", pins = ["3", "4"] } ])");
    EXPECT_NEAR(value(Derived(board), "residual.C5"), 0.0, 1e-9);
}

TEST(Figures, PowerAtTheMainsGoesByRms) {
    // Each of two takes 115 V RMS.
    EXPECT_NEAR(value(Derived(with_x_capacitor()), "dissipation.R5"), 115.0 * 115.0 / 1e6, 1e-9);
}

TEST(Figures, TheDividerOfAShuntRegulatorGivesTheOutput) {
    EXPECT_NEAR(value(Derived(flyback()), "divider.R14.R15"), 12.0, 1e-9);
}

TEST(Figures, ADividerAtASenseInputGivesItsShare) {
    Board board = rectified();
    board.with("R20", R"(kind = "resistor"
value = "900k"
pins = { 1 = "HV+", 2 = "SEN" })");
    board.with("R21", R"(kind = "resistor"
value = "100k"
pins = { 1 = "SEN", 2 = "HV-" })");
    board.with("U1", R"(kind = "controller"
pins = { MULT = "SEN", GND = "HV-", VCC = "V" })");
    EXPECT_NEAR(value(Derived(board), "divider.R20.R21"), 0.1, 1e-12);
}

TEST(Figures, ADropperGivesItsCurrentByChargeBalance) {
    const Derived d(dropper());
    EXPECT_NEAR(value(d, "dropper_current.C1"), 4 * 50 * 470e-9 * (crest_230 - 60 - 1.4), 1e-6);
    EXPECT_NEAR(value(d, "led_power.LED1"), 60 * 4 * 50 * 470e-9 * (crest_230 - 60 - 1.4), 1e-4);
    EXPECT_NEAR(value(d, "led_knee.LED1"), 60.0, 1e-9);
}

TEST(Figures, TheDroppersCurrentHeatsItsSeriesResistor) {
    const double amps = 2 * M_PI * 50 * 470e-9 * 230;
    EXPECT_NEAR(value(Derived(dropper()), "dissipation.R1"), amps * amps * 100, 1e-6);
}

TEST(Figures, ASeriesResistorThatFeedsSomethingElseTooIsLeftOut) {
    const Derived d(dropper().with("LA1", R"(kind = "lamp"
value = "15 W"
pins = { 1 = "LF", 2 = "N" })"));
    EXPECT_THAT(d.figure("dissipation.R1"), IsNull());
}

TEST(Figures, AResistorRightAcrossACapacitorHasATimeConstant) {
    const Derived d(with_x_capacitor().with("R7", R"(kind = "resistor"
value = "470k"
pins = { 1 = "HV+", 2 = "HV-" })"));
    EXPECT_NEAR(value(d, "time_constant.C1.R7"), 4.7, 1e-9);
    EXPECT_NEAR(value(d, "time_constant.C5.R5.R6"), 0.44, 1e-9);
}

TEST(Figures, OnlyResistorsAcrossACapacitorOrAtASenseInputHaveATimeConstant) {
    const Derived d(flyback()
                        .with("C20", R"(kind = "ceramic capacitor"
value = "1n"
pins = { 1 = "CS2", 2 = "HV-" })")
                        .with("R20", R"(kind = "resistor"
value = "1k"
pins = { 1 = "CS", 2 = "CS2" })")
                        .with("U1", R"(kind = "controller"
pins = { GND = "HV-", FB = "FB", CS = "CS2", VCC = "VCC", DRV = "GATE" })"));
    std::vector<std::string> ids;
    for (const base::Figure& f : d.figures) {
        if (f.id.starts_with("time_constant")) {
            ids.push_back(f.id);
        }
    }
    EXPECT_THAT(ids, ::testing::ElementsAre("time_constant.C9.R14.R15", "time_constant.C20.R20"));
}

TEST(Figures, AReservoirsEnergyIsShown) {
    EXPECT_NEAR(value(Derived(rectified()), "stored_energy.C1"), 0.529, 0.001);
}

TEST(Figures, AFusesLoadNeedsAReading) {
    EXPECT_THAT(Derived(rectified()).figure("fuse_load.F1"), IsNull());
    const Derived d(rectified().also(R"([[readings]]
quantity = "supply current"
value = "0.12 A")"));
    EXPECT_NEAR(value(d, "fuse_load.F1"), 12.0, 1e-9);
}

TEST(Figures, WhatRestsOnAnAssumptionNamesIt) {
    const Derived d(with_x_capacitor().with("R5", R"(kind = "resistor"
value = "1M"
pins = { 1 = "LF", 2 = "M" }
known = { value = "assumed" })"));
    const base::Figure* f = d.figure("bleed_time.C5");
    ASSERT_THAT(f, NotNull());
    EXPECT_TRUE(f->assumed);
    EXPECT_TRUE(std::any_of(f->evidence.begin(), f->evidence.end(), [](const base::Evidence& e) {
        return e.kind == base::Evidence::Kind::assumption && e.name == "R5";
    }));
}

TEST(Figures, IdsAreUnique) {
    for (const Board& board :
         {rectified(), flyback(), dropper(), led_driver(), with_x_capacitor()}) {
        std::set<std::string> ids;
        for (const base::Figure& f : Derived(board).figures) {
            EXPECT_TRUE(ids.insert(f.id).second) << f.id;
            EXPECT_FALSE(f.title.empty()) << f.id;
            EXPECT_FALSE(f.worked.empty()) << f.id;
            EXPECT_FALSE(f.source.empty()) << f.id;
        }
    }
}

// IEC 62368-1:2018, Table 5, rows remembered and so marked: the limits at the rows and between
// them.
TEST(ChargeLimit, FollowsTheTableAndInterpolates) {
    EXPECT_DOUBLE_EQ(blocks::es1_charge_limit_v(300e-9), 60.0);
    EXPECT_DOUBLE_EQ(blocks::es1_charge_limit_v(1e-6), 60.0);
    EXPECT_DOUBLE_EQ(blocks::es1_charge_limit_v(170e-9), 75.0);
    EXPECT_NEAR(blocks::es1_charge_limit_v(235e-9), 67.5, 1e-9);
    EXPECT_DOUBLE_EQ(blocks::es1_charge_limit_v(1e-9), 1000.0);
}

}  // namespace
}  // namespace etchback::test
