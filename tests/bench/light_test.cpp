// Flicker: closed forms of modulation L0·(1 + m·s(t)), own derivation, and values computed from the
// formula of CIE TN 006:2016 (from memory).
#include "bench/light.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <numbers>
#include <random>

namespace etchback::bench {
namespace {

constexpr double kRate = 50'000.0;

LightFigures of(const std::function<double(double)>& light, double hz, double noise = 0.0) {
    std::vector<double> samples;
    std::mt19937_64 random(3);
    std::normal_distribution<double> normal;
    for (int k = 0; k < 60'000; ++k) {
        const double turn = hz * (k + 0.37) / kRate;
        samples.push_back(light(turn - std::floor(turn)) + noise * normal(random));
    }
    return analyse_light(samples, 1.0 / kRate);
}
double sine(double turn) {
    return std::sin(2.0 * std::numbers::pi * turn);
}
double square(double turn) {
    return turn < 0.5 ? 1.0 : -1.0;
}
double triangle(double turn) {
    return 1.0 - 4.0 * std::abs(turn - 0.5);
}

TEST(Light, HasTheClosedFormsOfSineSquareAndTriangle) {
    for (const double m : {0.1, 0.5, 1.0}) {
        for (const double hz : {100.0, 120.0, 99.7}) {
            const auto check = [&](double (*s)(double), double index, const char* name) {
                SCOPED_TRACE(testing::Message() << name << ' ' << m << ' ' << hz);
                const LightFigures f =
                    of([&](double turn) { return 7.0 * (1.0 + m * s(turn)); }, hz);
                EXPECT_NEAR(f.frequency_hz.value, hz, 1e-3 * hz);
                EXPECT_NEAR(f.percent_flicker.value, 100.0 * m, 1.0 * m);
                EXPECT_NEAR(f.flicker_index.value, index, 0.004 * m);
            };
            check(sine, m / std::numbers::pi, "sine");
            check(square, m / 2.0, "square");
            check(triangle, m / 4.0, "triangle");
        }
    }
}

TEST(Light, OfPulsesFromDarkHasTheIndexOneMinusDuty) {
    for (const double duty : {0.1, 0.25, 0.7}) {
        const LightFigures f = of([=](double turn) { return turn < duty ? 1.0 : 0.0; }, 250.0);
        EXPECT_NEAR(f.percent_flicker.value, 100.0, 1e-6);
        EXPECT_NEAR(f.flicker_index.value, 1.0 - duty, 0.006);
    }
}

TEST(Light, OfARectifiedSineHasItsClosedForm) {
    const LightFigures f = of([](double turn) { return std::sin(std::numbers::pi * turn); }, 100.0);
    const double t0 = std::asin(2.0 / std::numbers::pi);
    EXPECT_NEAR(f.flicker_index.value,
                std::cos(t0) - 2.0 / std::numbers::pi * (std::numbers::pi / 2.0 - t0),
                5e-4);
}

TEST(Light, HasTheStroboscopicVisibilityThatTheFormulaGives) {
    const auto full = [](double (*s)(double)) {
        return [s](double turn) { return 1.0 + s(turn); };
    };
    EXPECT_NEAR(of(full(sine), 100.0).svm->value, 3.902, 0.01);
    EXPECT_NEAR(of(full(sine), 120.0).svm->value, 3.627, 0.01);
    EXPECT_NEAR(of(full(square), 100.0).svm->value, 4.970, 0.02);
    EXPECT_NEAR(of(full(square), 120.0).svm->value, 4.620, 0.02);
    EXPECT_NEAR(of(full(triangle), 100.0).svm->value, 3.163, 0.01);
    EXPECT_NEAR(of([](double turn) { return std::sin(std::numbers::pi * turn); }, 100.0).svm->value,
                2.602,
                0.01);
}

TEST(Light, FallsIntoTheRegionsOfIeee1789) {
    // IEEE Std 1789-2015, clause 8 (from memory): at 100 Hz low risk to 8 %, no effect to 3.33 %.
    EXPECT_NEAR(low_risk_percent(100.0), 8.0, 1e-12);
    EXPECT_NEAR(no_effect_percent(100.0), 3.33, 1e-12);
    EXPECT_NEAR(low_risk_percent(120.0), 9.6, 1e-12);
    const auto region = [](double m) {
        return of([=](double turn) { return 1.0 + m * sine(turn); }, 100.0).region;
    };
    EXPECT_EQ(region(0.02), "no observable effect");
    EXPECT_EQ(region(0.06), "low risk");
    EXPECT_EQ(region(0.30), "beyond low risk");
}

TEST(Light, FiguresStandInNoise) {
    const LightFigures f = of([](double turn) { return 1.0 + 0.3 * sine(turn); }, 100.0, 0.05);
    EXPECT_NEAR(f.percent_flicker.value, 30.0, 3.0);
    EXPECT_NEAR(f.flicker_index.value, 0.3 / std::numbers::pi, 0.002);
}

TEST(Light, ThatIsSteadyHasNoPeriod) {
    const std::vector<double> steady(5000, 2.0);
    EXPECT_FALSE(analyse_light(steady, 1e-4).periodic);
    EXPECT_NEAR(analyse_light(steady, 1e-4).percent_flicker.value, 0.0, 1e-9);
}

}  // namespace
}  // namespace etchback::bench
