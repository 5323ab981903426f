#include "bench/power_triangle.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "bench/readings.h"

namespace etchback::bench {
namespace {

using test::reading;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using testing::SizeIs;

const base::Figure* figure(const PowerTriangle& triangle, std::string_view id) {
    for (const base::Figure& each : triangle.figures) {
        if (each.id == id) {
            return &each;
        }
    }
    return nullptr;
}

TEST(PowerTriangle, ComputesWhatIsMissingFromVoltageCurrentAndPower) {
    const auto triangles = power_triangles({reading("supply voltage", "230 V", "1 %"),
                                            reading("supply current", "100 mA", "1 %"),
                                            reading("input power", "18.4 W", "1 %")});
    ASSERT_THAT(triangles, SizeIs(1));
    const PowerTriangle& t = triangles[0];
    EXPECT_NEAR(t.apparent_va->value, 23.0, 1e-9);
    EXPECT_NEAR(t.power_factor->value, 0.8, 1e-9);
    EXPECT_NEAR(t.non_active_var->value, 13.8, 1e-9);
    // Products and quotients add relative uncertainties in quadrature: 0.5 % each at k = 1.
    EXPECT_NEAR(t.apparent_va->u, 23.0 * 0.005 * std::sqrt(2.0), 1e-6);
    EXPECT_NEAR(t.power_factor->u, 0.8 * 0.005 * std::sqrt(3.0), 1e-6);
    EXPECT_FALSE(t.disagreement);
    EXPECT_THAT(t.suspect, IsEmpty());
}

// N = sqrt((U·I)² - P²): u² = ((S/N)·u(S))² + ((P/N)·u(P))².
TEST(PowerTriangle, NonActivePowerCarriesTheUncertaintyOfEachReadingOnce) {
    const auto t = power_triangles({reading("supply voltage", "230 V", "1 %"),
                                    reading("supply current", "100 mA", "1 %"),
                                    reading("input power", "18.4 W", "1 %")})[0];
    const double u_s = 23.0 * 0.005 * std::sqrt(2.0);
    const double u_p = 18.4 * 0.005;
    EXPECT_NEAR(t.non_active_var->u, std::hypot(23.0 / 13.8 * u_s, 18.4 / 13.8 * u_p), 1e-6);
}

// With P and PF read, S = P/PF and P share a reading: N = P·sqrt(1/PF² - 1), so u(P) enters once
// with N/P. Taking S and P as independent would give more than twice as much.
TEST(PowerTriangle, SharedReadingsCorrelateResults) {
    const auto t = power_triangles(
        {reading("input power", "10 W", "2 %"), reading("power factor", "0.8", "0.0001")})[0];
    EXPECT_NEAR(t.non_active_var->value, 7.5, 1e-9);
    EXPECT_NEAR(t.non_active_var->u, 7.5 * 0.01, 1e-3);
}

TEST(PowerTriangle, FiguresShowFormulaAndNumbers) {
    const auto t = power_triangles({reading("supply current", "84 mA", "1 %", "warm, 245 V"),
                                    reading("input power", "20.38 W", "1 %", "warm, 245 V"),
                                    reading("power factor", "0.989", "1 %", "warm, 245 V")})[0];
    EXPECT_EQ(t.group, "warm, 245 V");
    const base::Figure* u = figure(t, "power_triangle.supply_voltage.warm_245_v");
    ASSERT_NE(u, nullptr);
    EXPECT_EQ(u->title, "Supply voltage (warm, 245 V)");
    EXPECT_EQ(u->formula, "U = P/(I·PF)");
    EXPECT_EQ(u->worked, "U = 20.38\u00a0W/(84\u00a0mA · 0.989) = 245.3\u00a0V");
    EXPECT_EQ(u->unit, base::Unit::volt);
    EXPECT_FALSE(u->assumed);
    ASSERT_THAT(u->evidence, SizeIs(3));
    EXPECT_EQ(u->evidence[0].kind, base::Evidence::Kind::reading);
    EXPECT_EQ(u->evidence[0].name, "supply current");
    EXPECT_THAT(u->evidence[0].detail, HasSubstr("±"));
}

TEST(PowerTriangle, AssumesAnUncertaintyWhereNoneIsStatedAndSaysSo) {
    const auto t = power_triangles(
        {reading("supply voltage", "230 V", "1 %"), reading("supply current", "84 mA")})[0];
    // 1 % at k = 2, and half a unit of the last digit (1 mA) evenly spread.
    EXPECT_NEAR(t.current_a_rms->u, std::hypot(0.42e-3, 0.5e-3 / std::sqrt(3.0)), 1e-9);
    const base::Figure* s = figure(t, "power_triangle.apparent_power");
    ASSERT_NE(s, nullptr);
    EXPECT_TRUE(s->assumed);
    EXPECT_THAT(s->evidence[1].detail, HasSubstr("assumed"));
}

TEST(PowerTriangle, WhatIsReadStaysAsItIs) {
    const auto t = power_triangles({reading("supply voltage", "230.7 V", "0.7 %"),
                                    reading("power factor", "0.989", "0.3 %")})[0];
    EXPECT_EQ(t.voltage_v_rms->value, 230.7);
    EXPECT_EQ(t.power_factor->value, 0.989);
}

TEST(PowerTriangle, AbsoluteUncertaintyAndRangesCount) {
    const auto t = power_triangles(
        {reading("supply voltage", "229-231 V"), reading("input power", "3.9 W", "0.1 W")})[0];
    EXPECT_NEAR(t.voltage_v_rms->u, 0.5, 1e-9);
    EXPECT_NEAR(t.power_w->u, 0.05, 1e-9);
}

TEST(PowerTriangle, PowerFactorMayBeAPercentage) {
    const auto t = power_triangles(
        {reading("power factor", "95 %", "2 %"), reading("apparent power", "20 VA", "1 %")})[0];
    EXPECT_NEAR(t.power_factor->value, 0.95, 1e-12);
    EXPECT_NEAR(t.power_factor->u, 0.0095, 1e-9);
    EXPECT_NEAR(t.power_w->value, 19.0, 1e-9);
}

TEST(PowerTriangle, ActiveAndReactivePowerGiveTheRest) {
    const auto t = power_triangles({reading("Input power", "3 W", "1 %"),
                                    reading("reactive power", "4 var", "1 %"),
                                    reading("supply voltage", "100 V", "1 %")})[0];
    EXPECT_NEAR(t.apparent_va->value, 5.0, 1e-9);
    EXPECT_NEAR(t.power_factor->value, 0.6, 1e-9);
    EXPECT_NEAR(t.current_a_rms->value, 0.05, 1e-12);
}

TEST(PowerTriangle, GroupsStandByThemselvesInTheFilesOrder) {
    const auto triangles = power_triangles({reading("supply voltage", "230 V", "1 %", "warm"),
                                            reading("supply voltage", "229 V", "1 %", "cold"),
                                            reading("input power", "4 W", "1 %", "cold"),
                                            reading("output voltage", "12 V", "1 %", "warm"),
                                            reading("supply current", "30 mA", "1 %", "cold"),
                                            reading("input power", "5 W", "1 %", "warm"),
                                            reading("supply current", "1 A", "1 %", "lonely")});
    ASSERT_THAT(triangles, SizeIs(2));
    EXPECT_EQ(triangles[0].group, "warm");
    EXPECT_NEAR(triangles[0].voltage_v_rms->value, 230.0, 1e-9);
    EXPECT_FALSE(triangles[0].current_a_rms);
    EXPECT_THAT(triangles[0].figures, IsEmpty());
    EXPECT_EQ(triangles[1].group, "cold");
    EXPECT_NEAR(triangles[1].apparent_va->value, 6.87, 1e-9);
}

TEST(PowerTriangle, ReadingsThatAgreeAreNotSuspect) {
    const auto t = power_triangles({reading("supply voltage", "230 V", "1 %"),
                                    reading("supply current", "100 mA", "1 %"),
                                    reading("input power", "18.5 W", "1 %"),
                                    reading("power factor", "0.8", "1 %")})[0];
    ASSERT_TRUE(t.disagreement);
    EXPECT_GT(*t.disagreement, 0.0);
    EXPECT_LT(*t.disagreement, 1.0);
    EXPECT_THAT(t.disagreement_text, IsEmpty());
    EXPECT_THAT(t.suspect, IsEmpty());
}

// The normalised difference, by hand: 20 - 18.4 = 1.6 W over the root of the sum of (1 % of 20 W)²
// and three times (1 % of 18.4 W)².
TEST(PowerTriangle, DisagreementIsTheDifferenceOverItsUncertainty) {
    const auto t = power_triangles({reading("supply voltage", "230 V", "1 %"),
                                    reading("supply current", "100 mA", "1 %"),
                                    reading("input power", "20 W", "1 %"),
                                    reading("power factor", "0.8", "1 %")})[0];
    ASSERT_TRUE(t.disagreement);
    const double allowed = std::sqrt(0.2 * 0.2 + 3.0 * 0.184 * 0.184);
    EXPECT_NEAR(*t.disagreement, 1.6 / allowed, 1e-6);
    EXPECT_THAT(t.disagreement_text, HasSubstr("20\u00a0W"));
    EXPECT_THAT(t.disagreement_text, HasSubstr("230\u00a0V · 100\u00a0mA · 0.8 = 18.4\u00a0W"));
}

// A meter is off by a wide margin; the others are good. The bad one's own uncertainty is large, so
// that it needs the least change.
TEST(PowerTriangle, SuspectsTheReadingThatNeedsTheLeastChangeInItsOwnUncertainty) {
    const auto t = power_triangles({reading("supply voltage", "230 V", "0.2 %"),
                                    reading("supply current", "84 mA", "5 %"),
                                    reading("input power", "20.38 W", "0.2 %"),
                                    reading("power factor", "0.989", "0.2 %")})[0];
    ASSERT_TRUE(t.disagreement);
    EXPECT_GT(*t.disagreement, 1.0);
    EXPECT_EQ(t.suspect, "supply current");
    EXPECT_THAT(t.disagreement_text, HasSubstr("supply current 89.59"));
    EXPECT_THAT(t.disagreement_text, Not(HasSubstr("power factor 1.0")));
}

// Power and apparent power agree with each other and with the power factor; only the voltage is
// left.
TEST(PowerTriangle, ASuspectMustNotBreakAnotherCheck) {
    const auto t = power_triangles({reading("supply voltage", "210 V", "1 %"),
                                    reading("supply current", "100 mA", "1 %"),
                                    reading("input power", "18.4 W", "1 %"),
                                    reading("power factor", "0.8", "1 %"),
                                    reading("apparent power", "23 VA", "1 %")})[0];
    ASSERT_TRUE(t.disagreement);
    EXPECT_TRUE(t.suspect == "supply voltage" || t.suspect == "supply current") << t.suspect;
    const auto u = power_triangles({reading("supply voltage", "230 V", "1 %"),
                                    reading("supply current", "100 mA", "1 %"),
                                    reading("input power", "21 W", "1 %"),
                                    reading("power factor", "0.8", "1 %"),
                                    reading("apparent power", "23 VA", "1 %")})[0];
    EXPECT_EQ(u.suspect, "input power");
}

TEST(PowerTriangle, PowerAboveApparentPowerIsADisagreement) {
    const auto t = power_triangles({reading("supply voltage", "230 V", "1 %"),
                                    reading("supply current", "100 mA", "1 %"),
                                    reading("input power", "25 W", "2 %")})[0];
    ASSERT_TRUE(t.disagreement);
    EXPECT_GT(*t.disagreement, 1.0);
    EXPECT_EQ(t.suspect, "input power");
    EXPECT_THAT(t.disagreement_text, HasSubstr("cannot be above U·I"));
    EXPECT_FALSE(t.non_active_var) << "there is no such triangle";
}

TEST(PowerTriangle, PowerJustAboveApparentPowerIsWithinTheUncertainty) {
    const auto t = power_triangles({reading("supply voltage", "230 V", "1 %"),
                                    reading("supply current", "100 mA", "1 %"),
                                    reading("input power", "23.1 W", "1 %")})[0];
    EXPECT_FALSE(t.disagreement);
    ASSERT_TRUE(t.non_active_var);
    EXPECT_EQ(t.non_active_var->value, 0.0);
    EXPECT_GT(t.non_active_var->u, 1.0);
    EXPECT_LT(t.non_active_var->u, 5.0);
}

TEST(PowerTriangle, APowerFactorAboveOneIsADisagreementEvenAlone) {
    const auto triangles = power_triangles({reading("power factor", "1.2", "1 %")});
    ASSERT_THAT(triangles, SizeIs(1));
    ASSERT_TRUE(triangles[0].disagreement);
    EXPECT_NEAR(*triangles[0].disagreement, 0.2 / 0.012, 1e-6);
    EXPECT_EQ(triangles[0].suspect, "power factor");
    EXPECT_THAT(power_triangles({reading("power factor", "1.001", "1 %")}), IsEmpty());
}

TEST(PowerTriangle, TwoReadingsOfOneQuantityAreAveragedAndCompared) {
    const auto t = power_triangles({reading("supply voltage", "230 V", "1 %"),
                                    reading("supply voltage", "232 V", "1 %"),
                                    reading("input power", "5 W", "1 %")})[0];
    EXPECT_NEAR(t.voltage_v_rms->value, 231.0, 0.02);
    EXPECT_LT(t.voltage_v_rms->u, 1.15 / std::sqrt(2.0) * 1.01);
    EXPECT_FALSE(t.disagreement);
    const auto apart = power_triangles({reading("supply voltage", "230 V", "1 %"),
                                        reading("supply voltage", "245 V", "1 %"),
                                        reading("input power", "5 W", "1 %")})[0];
    ASSERT_TRUE(apart.disagreement);
    EXPECT_EQ(apart.suspect, "supply voltage");
    EXPECT_THAT(apart.disagreement_text, HasSubstr("245"));
}

TEST(PowerTriangle, ReadingsOfNothingGiveNoNonsense) {
    const auto triangles = power_triangles({reading("supply voltage", "230 V"),
                                            reading("supply current", "0 A"),
                                            reading("input power", "0 W")});
    ASSERT_THAT(triangles, SizeIs(1));
    EXPECT_EQ(triangles[0].apparent_va->value, 0.0);
    EXPECT_FALSE(triangles[0].power_factor) << "nothing by nothing";
    EXPECT_THAT(power_triangles({}), IsEmpty());
    EXPECT_THAT(power_triangles({reading("input power", "-3 W"), reading("supply voltage", "5 A")}),
                IsEmpty());
}

// Any true triangle: from any readings that fix it, the rest comes out right, and nothing
// disagrees.
TEST(PowerTriangle, RandomTrianglesCloseWhateverIsRead) {
    std::mt19937 random(1459);
    std::uniform_real_distribution<double> volts(85.0, 265.0);
    std::uniform_real_distribution<double> amperes(0.01, 2.0);
    std::uniform_real_distribution<double> factors(0.3, 0.99);
    for (int round = 0; round < 300; ++round) {
        const double u = volts(random);
        const double i = amperes(random);
        const double pf = factors(random);
        const std::string all[][2] = {{"supply voltage", fmt::format("{:.9f} V", u)},
                                      {"supply current", fmt::format("{:.9f} A", i)},
                                      {"input power", fmt::format("{:.9f} W", u * i * pf)},
                                      {"power factor", fmt::format("{:.9f}", pf)}};
        const auto left_out = static_cast<std::size_t>(random() % 5);  // 4: none
        std::vector<dossier::Reading> readings;
        for (std::size_t k = 0; k < 4; ++k) {
            if (k != left_out) {
                readings.push_back(reading(all[k][0], all[k][1], "1 %"));
            }
        }
        std::shuffle(readings.begin(), readings.end(), random);
        const auto t = power_triangles(readings).at(0);
        EXPECT_NEAR(t.voltage_v_rms->value, u, 1e-4);
        EXPECT_NEAR(t.current_a_rms->value, i, 1e-6);
        EXPECT_NEAR(t.power_w->value, u * i * pf, 1e-4);
        EXPECT_NEAR(t.power_factor->value, pf, 1e-6);
        EXPECT_NEAR(t.apparent_va->value, u * i, 1e-4);
        EXPECT_NEAR(t.non_active_var->value, u * i * std::sqrt(1 - pf * pf), 1e-3);
        EXPECT_EQ(t.disagreement.has_value(), left_out == 4);
        EXPECT_THAT(t.suspect, IsEmpty());
        EXPECT_EQ(t.figures.size(), left_out == 4 ? 2u : 3u);
    }
}

// One reading is falsified by ten times its uncertainty, which is small beside the others' only for
// the rest: the falsified one must be named.
TEST(PowerTriangle, RandomFalsifiedReadingIsNamedWhereItIsTheLeastCertain) {
    std::mt19937 random(60050);
    const std::string names[] = {"supply voltage", "supply current", "input power", "power factor"};
    for (int round = 0; round < 200; ++round) {
        const std::size_t bad = random() % 4;
        const double u = 200.0 + static_cast<double>(random() % 60);
        const double i = 0.05 + 0.001 * static_cast<double>(random() % 100);
        const double values[] = {u, i, u * i * 0.7, 0.7};
        std::vector<dossier::Reading> readings;
        for (std::size_t k = 0; k < 4; ++k) {
            const double shift = k != bad ? 1.0 : (random() % 2 == 0 ? 1.2 : 0.8);
            readings.push_back(reading(
                names[k], fmt::format("{:.9f}", values[k] * shift), k == bad ? "3 %" : "0.5 %"));
        }
        const auto t = power_triangles(readings).at(0);
        ASSERT_TRUE(t.disagreement);
        EXPECT_GT(std::abs(*t.disagreement), 1.0);
        EXPECT_EQ(t.suspect, names[bad]);
    }
}

}  // namespace
}  // namespace etchback::bench
