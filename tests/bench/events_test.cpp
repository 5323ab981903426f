#include "bench/events.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <numbers>
#include <random>

namespace etchback::bench {
namespace {

std::vector<double> sampled(std::size_t n, double dt_s, const std::function<double(double)>& f) {
    std::vector<double> y;
    for (std::size_t k = 0; k < n; ++k) {
        y.push_back(f(static_cast<double>(k) * dt_s));
    }
    return y;
}

TEST(Switching, FrequencyRangeAndDutyAreFound) {
    double phase = 0.0, before = 0.0;
    const double dt = 1e-7;
    const auto y = sampled(200'000, dt, [&](double t) {  // 60 kHz to 100 kHz over 10 ms
        phase += (80e3 + 20e3 * std::sin(2.0 * std::numbers::pi * 100.0 * t)) * (t - before);
        before = t;
        return phase - std::floor(phase) < 0.3 ? 400.0 : 2.0;
    });
    const auto s = find_switching(y, dt);
    ASSERT_TRUE(s);
    EXPECT_NEAR(s->frequency_hz.value, 80e3, 0.01 * 80e3);
    EXPECT_NEAR(s->least_hz, 60e3, 1e3);
    EXPECT_NEAR(s->largest_hz, 100e3, 1.5e3);
    EXPECT_NEAR(s->duty.value, 0.3, 0.005);
    EXPECT_NEAR(s->high, 400.0, 1e-9);
    EXPECT_FALSE(find_switching(std::vector<double>(100, 1.0), dt));
}

TEST(Ringing, GivesLeakageAndNodeCapacitance) {
    // 30 uH with 120 pF, and with 100 pF more; decay by design.
    const double l = 30e-6, c = 120e-12, added = 100e-12;
    std::mt19937_64 random(5);
    std::normal_distribution<double> normal;
    const auto ring = [&](double cap) {
        const double w = 1.0 / std::sqrt(l * cap);
        return find_ringing(
            sampled(1000,
                    4e-9,
                    [&](double t) {
                        return 310.0 + 150.0 * std::exp(-t / 800e-9) * std::cos(w * t + 0.4) +
                               0.8 * normal(random);
                    }),
            4e-9);
    };
    const auto alone = ring(c), with = ring(c + added);
    ASSERT_TRUE(alone && with);
    EXPECT_NEAR(alone->decay_s.value, 800e-9, 4.0 * alone->decay_s.u);
    EXPECT_NEAR(alone->level, 310.0, 1.0);
    const Resonance r = resonance_of(alone->frequency_hz, with->frequency_hz, {added, 1e-12});
    EXPECT_NEAR(r.capacitance_f.value, c, 3.0 * r.capacitance_f.u);
    EXPECT_NEAR(r.inductance_h.value, l, 3.0 * r.inductance_h.u);
    EXPECT_LT(r.capacitance_f.u, 0.03 * c);
    EXPECT_FALSE(find_ringing(std::vector<double>(100, 1.0), 1e-9));
}

TEST(StartUp, IsWhenTheOutputStays) {
    const auto y = sampled(10'000, 1e-4, [](double t) {
        return t > 0.1 && t < 0.15 ? 12.0
               : t > 0.4           ? 12.0 * (1.0 - std::exp(-(t - 0.4) / 0.02))
                                   : 0.0;
    });
    const auto time = start_up_time(y, 1e-4);
    ASSERT_TRUE(time);
    EXPECT_NEAR(time->value, 0.4 + 0.02 * std::log(10.0), 3e-4);
    EXPECT_FALSE(start_up_time(std::vector<double>(100, 12.0), 1e-4));
}

TEST(HoldUp, CountsFromTheLossOfTheSupply) {
    const auto supply = sampled(20'000, 1e-5, [](double t) {
        return t < 0.1 ? 325.0 * std::sin(2.0 * std::numbers::pi * 50.0 * t + 1.0) : 0.0;
    });
    const auto output = sampled(20'000, 1e-5, [](double t) { return t < 0.127 ? 12.0 : 3.0; });
    const auto time = hold_up_time(supply, output, 1e-5);
    ASSERT_TRUE(time);
    EXPECT_NEAR(time->value, 0.027, 1e-4);
}

TEST(Inrush, HasPeakAndIntegralOfAnExponentialPulse) {
    const auto y = sampled(
        5000, 1e-6, [](double t) { return t < 1e-3 ? 0.0 : 30.0 * std::exp(-(t - 1e-3) / 2e-4); });
    const auto inrush = find_inrush(y, 1e-6);
    ASSERT_TRUE(inrush);
    EXPECT_NEAR(inrush->peak_a.value, 30.0, 0.1);
    // 30^2 · 2e-4 / 2 · (1 - 0.01), until a tenth of the peak
    EXPECT_NEAR(inrush->i2t_a2s.value, 0.0891, 0.001);
    EXPECT_NEAR(inrush->peak_at_s, 1e-3, 2e-6);
}

TEST(Hiccup, PeriodOfBurstsIsFound) {
    const auto y = sampled(100'000, 1e-5, [](double t) {
        const double part = std::fmod(t + 0.05, 0.2);
        return part < 0.03 ? 5.0 * std::abs(std::sin(3e4 * t)) : 0.0;
    });
    const auto period = hiccup_period(y, 1e-5);
    ASSERT_TRUE(period);
    EXPECT_NEAR(period->value, 0.2, 2.0 * period->u + 1e-3);
    EXPECT_FALSE(hiccup_period(std::vector<double>(1000, 5.0), 1e-5));
}

TEST(Ripple, OfATriangleIsItsHeight) {
    const auto y = sampled(10'000, 1e-6, [](double t) {
        const double turn = std::fmod(5000.0 * t, 1.0);
        return 12.0 + 0.1 * (turn < 0.5 ? turn : 1.0 - turn);
    });
    const Ripple r = ripple_of(y);
    EXPECT_NEAR(r.peak_to_peak, 0.05, 5e-4);
    EXPECT_NEAR(r.rms, 0.05 / std::sqrt(12.0), 1e-4);
    EXPECT_NEAR(r.mean, 12.025, 1e-3);
}

}  // namespace
}  // namespace etchback::bench
