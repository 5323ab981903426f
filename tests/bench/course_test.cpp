#include "bench/course.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

namespace etchback::bench {
namespace {

constexpr double kPi = std::numbers::pi;

// Two levels whose frequency swings with a rectified mains: 50 kHz to 110 kHz, in 10 ms.
std::vector<double> swinging(double dt_s, double noise) {
    std::mt19937_64 random(4);
    std::normal_distribution<double> normal;
    std::vector<double> y;
    double phase = 0.0;
    for (int k = 0; k * dt_s < 20e-3; ++k) {
        const double hz = 110e3 - 60e3 * std::abs(std::sin(kPi * 100.0 * k * dt_s));
        phase += hz * dt_s;
        y.push_back((phase - std::floor(phase) < 0.4 ? 400.0 : 0.0) + noise * normal(random));
    }
    return y;
}

TEST(FrequencyCourse, FollowsTheMainsAndFindsItsEnds) {
    const double dt = 2e-7;
    const auto s = find_switching(swinging(dt, 8.0), dt);
    ASSERT_TRUE(s);
    const auto course = frequency_course(*s, dt);
    ASSERT_TRUE(course);
    EXPECT_NEAR(course->least_hz.value, 50e3, 1.5e3);
    EXPECT_NEAR(course->largest_hz.value, 110e3, 3e3);
    EXPECT_NEAR(std::fmod(course->least_at_s, 10e-3), 5e-3, 4e-4);
    for (std::size_t k = 0; k < course->hz.size(); ++k) {
        const double hz = 110e3 - 60e3 * std::abs(std::sin(kPi * 100.0 * course->t_s[k]));
        EXPECT_NEAR(course->hz[k], hz, 2.5e3) << course->t_s[k];
    }
}

TEST(FrequencyCourse, IsNotThrownByAMissedEdge) {
    const double dt = 2e-7;
    std::vector<double> y = swinging(dt, 0.0);
    for (int k = 20'000; k < 20'060; ++k) {
        y[static_cast<std::size_t>(k)] = 0.0;
    }
    const auto course = frequency_course(*find_switching(y, dt), dt);
    ASSERT_TRUE(course);
    EXPECT_GT(course->least_hz.value, 48e3);
    EXPECT_FALSE(frequency_course(Switching{}, dt));
}

// A switch node: it rises, rings down to a level, is pulled low again.
std::vector<double> node(double l, double c, double tau, double dt_s) {
    std::mt19937_64 random(9);
    std::normal_distribution<double> normal;
    const double w = 1.0 / std::sqrt(l * c);
    std::vector<double> y;
    for (int k = 0; k < 60'000; ++k) {
        const double t = std::fmod(k * dt_s, 15e-6);
        const double rung = 420.0 - 420.0 * std::exp(-t / tau) * std::cos(w * t) * 0.4 -
                            252.0 * std::exp(-t / 40e-9);
        y.push_back((t < 6e-6 ? rung : 2.0) + 1.5 * normal(random));
    }
    return y;
}

TEST(RingingAfter, AnEdgeGivesFrequencyDecayAndWithTheLeakageTheCapacitance) {
    const double l = 28e-6, c = 150e-12, tau = 900e-9, dt = 5e-9;
    const auto found = ringing_after(node(l, c, tau, dt), dt, After::rise);
    ASSERT_TRUE(found);
    const double hz = 1.0 / (2.0 * kPi * std::sqrt(l * c));
    EXPECT_GE(found->stretches, 10U);
    EXPECT_NEAR(found->frequency_hz.value, hz, 0.01 * hz);
    EXPECT_NEAR(found->decay_s.value, tau, 0.1 * tau);
    const Estimate farad = other_of_resonance(found->frequency_hz, {l, 0.05 * l});
    EXPECT_NEAR(farad.value, c, 2.0 * farad.u);
    EXPECT_NEAR(farad.u / farad.value, 0.05, 0.01);
}

TEST(RingingAfter, IsNotFoundWhereNothingRings) {
    std::vector<double> y;
    for (int k = 0; k < 20'000; ++k) {
        y.push_back(k / 100 % 2 == 0 ? 12.0 : 0.0);
    }
    EXPECT_FALSE(ringing_after(y, 1e-8, After::rise));
    EXPECT_FALSE(ringing_after(std::vector<double>(1000, 3.0), 1e-8, After::rise));
}

}  // namespace
}  // namespace etchback::bench
