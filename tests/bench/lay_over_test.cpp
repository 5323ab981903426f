#include "bench/lay_over.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace etchback::bench {
namespace {

constexpr double kPi = std::numbers::pi;

std::vector<double> cycle(std::size_t n, double amplitude, double late_turns) {
    std::vector<double> y;
    for (std::size_t k = 0; k < n; ++k) {
        const double turn = static_cast<double>(k) / static_cast<double>(n) - late_turns;
        y.push_back(amplitude * (std::sin(2.0 * kPi * turn) + 0.3 * std::sin(6.0 * kPi * turn)));
    }
    return y;
}

TEST(LaidOverCycle, HasTheDifferenceInSizeAndTime) {
    // 5 % larger and 0.4 ms later: r.m.s. of a sine's difference, by its phasors.
    const auto both = lay_over_cycle(cycle(512, 1.05, 0.02), cycle(400, 1.0, 0.0), 20e-3);
    ASSERT_TRUE(both);
    EXPECT_NEAR(both->later_s, 0.4e-3, 0.02e-3);
    const auto part = [](double angle) { return 1.05 * 1.05 + 1.0 - 2.0 * 1.05 * std::cos(angle); };
    const double rms = std::sqrt(0.5 * (part(2.0 * kPi * 0.02) + 0.09 * part(6.0 * kPi * 0.02)));
    EXPECT_NEAR(both->rms, rms, 0.01 * rms);
    EXPECT_NEAR(both->rms_share, rms / std::sqrt(0.5 * 1.09), 0.01 * both->rms_share);
    EXPECT_NEAR(both->measured_peak / both->simulated_peak, 1.05, 0.002);
}

TEST(LaidOverCycle, OfTheSameIsNothing) {
    const auto both = lay_over_cycle(cycle(512, 2.0, 0.0), cycle(512, 2.0, 0.0), 20e-3);
    ASSERT_TRUE(both);
    EXPECT_NEAR(both->rms, 0.0, 1e-12);
    EXPECT_NEAR(both->later_s, 0.0, 1e-9);
    EXPECT_FALSE(lay_over_cycle({}, cycle(512, 1.0, 0.0), 20e-3));
}

TEST(LaidOverBest, FindsTheStretchOfTheRecord) {
    const auto chirp = [](double t) { return std::sin(2.0 * kPi * (300.0 * t + 900.0 * t * t)); };
    std::vector<double> samples;
    for (int k = 0; k < 4000; ++k) {
        samples.push_back(chirp(k * 5e-5));
    }
    samples[700] = std::nan("");
    Curve simulated;
    for (int k = 0; k < 333; ++k) {
        simulated.t_s.push_back(0.5 + k * 3e-5);
        simulated.value.push_back(1.1 * chirp(0.0812 + k * 3e-5));
    }
    const auto both = lay_over_best(curve_of(samples, 5e-5), simulated);
    ASSERT_TRUE(both);
    EXPECT_NEAR(both->later_s, 0.0812, 2e-5);
    EXPECT_LT(both->rms_share, 0.11);
    EXPECT_FALSE(lay_over_best(simulated, curve_of(samples, 5e-5)));
}

TEST(LaidOverStart, TellsWhoComesFirst) {
    const auto rise = [](double at) {
        Curve curve;
        for (int k = 0; k < 1000; ++k) {
            const double t = k * 1e-3;
            curve.t_s.push_back(t);
            curve.value.push_back(t < at ? 0.0 : 12.0 * (1.0 - std::exp((at - t) / 0.03)));
        }
        return curve;
    };
    const auto both = lay_over_start(rise(0.55), rise(0.5));
    ASSERT_TRUE(both);
    EXPECT_NEAR(both->later_s, 0.05, 0.003);
    EXPECT_NEAR(lay_over_start(rise(0.5), rise(0.5))->rms, 0.0, 1e-12);
}

}  // namespace
}  // namespace etchback::bench
