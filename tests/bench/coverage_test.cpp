// How often the stated interval of two standard uncertainties holds the truth, over a thousand
// invented captures by seed that differ in everything: figures of light, and of things that happen.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <map>
#include <numbers>
#include <random>
#include <string>

#include "bench/events.h"
#include "bench/light.h"
#include "bench/mains.h"
#include "captures.h"

namespace etchback::bench {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr int kCaptures = 1000;

class Tallies {
public:
    void add(const std::string& name, const Estimate& e, double truth, double scale) {
        Tally& t = all_[name];
        const double error = (e.value - truth) / scale;
        t.held += std::abs(e.value - truth) <= 2.0 * e.u;
        ++t.all;
        t.squares += error * error;
        t.largest = std::max(t.largest, std::abs(error));
    }
    void expect_95() const {
        for (const auto& [name, t] : all_) {
            const double share = 100.0 * t.held / t.all;
            std::printf("| %s | %.4f %% | %.4f %% | %.1f %% |\n",
                        name.c_str(),
                        100.0 * std::sqrt(t.squares / t.all),
                        100.0 * t.largest,
                        share);
            EXPECT_NEAR(share, 95.0, 2.0) << name;
            EXPECT_GE(t.all, kCaptures - 5) << name;
        }
    }

private:
    struct Tally {
        int held = 0, all = 0;
        double squares = 0.0, largest = 0.0;
    };
    std::map<std::string, Tally> all_;
};

// One invented instrument and its dice.
struct Dice {
    std::mt19937_64 random;
    std::normal_distribution<double> normal;
    std::uniform_real_distribution<double> even;
    double gauss() { return normal(random); }
    double from(double low, double high) { return low + (high - low) * even(random); }
};

double rounded(double value, double lsb) {
    return lsb * std::round(value / lsb);
}

// A mean with a first and a second harmonic, whose figures a fine table of it gives.
struct Light {
    double hz, m1, m2, lag, mean, dark;
    double at(double turn) const {
        return mean *
               (1.0 + m1 * std::sin(2.0 * kPi * turn) + m2 * std::sin(4.0 * kPi * turn - lag));
    }
    double percent() const {
        double low = 1e300, high = -1e300;
        for (int k = 0; k < 2000; ++k) {
            low = std::min(low, at(k / 2000.0));
            high = std::max(high, at(k / 2000.0));
        }
        return 100.0 * (high - low) / (high + low);
    }
    double index() const {
        double above = 0.0;
        for (int k = 0; k < 2000; ++k) {
            above += std::max(0.0, at(k / 2000.0) / mean - 1.0) / 2000.0;
        }
        return above;
    }
    double svm() const {
        return std::pow(
            std::pow(m1 / svm_threshold(hz), 3.7) + std::pow(m2 / svm_threshold(2.0 * hz), 3.7),
            1.0 / 3.7);
    }
};

TEST(Coverage, OfTheFiguresOfLight) {
    Tallies tallies;
    Dice dice{std::mt19937_64(20260308), {}, {}};
    for (int n = 0; n < kCaptures; ++n) {
        const Light light{.hz = (n % 2 == 0 ? 100.0 : 120.0) * dice.from(0.98, 1.02),
                          .m1 = dice.from(0.05, 0.7),
                          .m2 = dice.from(0.0, 0.04),
                          .lag = dice.from(0.0, 6.0),
                          .mean = dice.from(0.5, 2.0),
                          .dark = 0.0};
        const double rate = dice.from(4.5e3, 8e3), noise = dice.from(0.004, 0.03) * light.mean;
        const double u_dark = 0.002 * light.mean, dark = u_dark * dice.gauss();
        const double lsb = 0.012 * light.mean, start = dice.even(dice.random);
        std::vector<double> y;
        for (int k = 0; k < rate * 0.13; ++k) {
            const double clean = light.at(start + light.hz * k / rate);
            const bool gone = n % 5 == 0 && dice.even(dice.random) < 0.02;
            y.push_back(gone ? std::nan("") : rounded(clean + dark + noise * dice.gauss(), lsb));
        }
        const LightFigures f = analyse_light(y, 1.0 / rate, u_dark);
        ASSERT_TRUE(f.periodic);
        ASSERT_TRUE(f.svm);
        tallies.add("frequency of the flicker", f.frequency_hz, light.hz, light.hz);
        tallies.add("percent flicker", f.percent_flicker, light.percent(), 100.0);
        tallies.add("flicker index", f.flicker_index, light.index(), 1.0);
        tallies.add("SVM", *f.svm, light.svm(), light.svm());
    }
    tallies.expect_95();
}

TEST(Coverage, OfSwitchingFrequencyAndDuty) {
    Tallies tallies;
    Dice dice{std::mt19937_64(20260309), {}, {}};
    for (int n = 0; n < kCaptures; ++n) {
        const double hz = dice.from(20e3, 150e3), duty = dice.from(0.2, 0.8);
        const double dt = dice.from(0.01, 0.02) / hz, high = dice.from(5.0, 400.0);
        const double start = dice.even(dice.random), noise = dice.from(0.002, 0.02) * high;
        const double edge = dice.from(1.5, 3.0) * dt;  // a straight slope
        std::vector<double> y;
        for (int k = 0; k < 4000; ++k) {
            const double t = std::fmod(start + hz * k * dt, 1.0) / hz;
            const double fall = duty / hz;
            const double level = t < edge          ? t / edge
                                 : t < fall        ? 1.0
                                 : t < fall + edge ? 1.0 - (t - fall) / edge
                                                   : 0.0;
            y.push_back(rounded(high * level + noise * dice.gauss(), high / 180.0));
        }
        const auto s = find_switching(y, dt);
        ASSERT_TRUE(s);
        tallies.add("switching frequency", s->frequency_hz, hz, hz);
        tallies.add("duty", s->duty, duty, 1.0);
    }
    tallies.expect_95();
}

TEST(Coverage, OfRinging) {
    Tallies tallies;
    Dice dice{std::mt19937_64(20260310), {}, {}};
    for (int n = 0; n < kCaptures; ++n) {
        const double hz = dice.from(0.5e6, 4e6), tau = dice.from(2.0, 10.0) / hz;
        const double dt = dice.from(0.02, 0.05) / hz, size = dice.from(20.0, 150.0);
        const double turn = dice.from(0.0, 6.0), noise = dice.from(0.003, 0.03) * size;
        std::vector<double> y;
        for (int k = 0; k < 700; ++k) {
            const double t = k * dt;
            y.push_back(
                rounded(300.0 + size * std::exp(-t / tau) * std::cos(2.0 * kPi * hz * t + turn) +
                            noise * dice.gauss(),
                        size / 100.0));
        }
        const auto r = find_ringing(y, dt);
        ASSERT_TRUE(r) << n;
        tallies.add("ringing frequency", r->frequency_hz, hz, hz);
        tallies.add("ringing decay", r->decay_s, tau, tau);
        tallies.add("ringing amplitude", r->amplitude, size, size);
    }
    tallies.expect_95();
}

TEST(Coverage, OfStartUpAndHoldUp) {
    Tallies tallies;
    Dice dice{std::mt19937_64(20260311), {}, {}};
    for (int n = 0; n < kCaptures; ++n) {
        const double dt = dice.from(1e-4, 4e-4), at = dice.from(0.1, 0.25),
                     last = dice.from(5.0, 40.0);
        const double tau = dice.from(5e-3, 20e-3), phase = dice.even(dice.random) * dt;
        std::vector<double> y, supply, output;
        const double noise = dice.from(0.0, 0.006) * last, lsb = last / 200.0;
        const double off = dice.from(0.1, 0.2), held = dice.from(0.01, 0.06);
        for (int k = 0; k < 5000; ++k) {
            const double t = k * dt + phase;
            const double rise = t < at ? 0.0 : last * (1.0 - std::exp((at - t) / tau));
            y.push_back(rounded(rise + noise * dice.gauss(), lsb));
            supply.push_back(t < off ? 325.0 : 0.0);
            // Falls straight, from the loss on, to reach 90 % after `held`.
            const double fall = t < off ? last : last * std::max(0.0, 1.0 - 0.1 * (t - off) / held);
            output.push_back(rounded(fall + noise * dice.gauss(), lsb));
        }
        const auto start = start_up_time(y, dt);
        const auto hold = hold_up_time(supply, output, dt);
        ASSERT_TRUE(start && hold);
        const double truth = at + tau * std::log(10.0) - phase;
        tallies.add("start-up time", *start, truth, truth);
        tallies.add("hold-up time", *hold, held, held);
    }
    tallies.expect_95();
}

TEST(Coverage, OfInrush) {
    Tallies tallies;
    Dice dice{std::mt19937_64(20260312), {}, {}};
    for (int n = 0; n < kCaptures; ++n) {
        const double peak = dice.from(2.0, 60.0), tau = dice.from(60e-6, 600e-6);
        const double dt = tau / dice.from(20.0, 90.0), start = 40.3 * dt;
        const double u_gain = 0.01, gain = 1.0 + u_gain * dice.gauss();
        const double noise = dice.from(0.001, 0.008) * peak, rise = dice.from(2.0, 6.0) * dt;
        std::vector<double> y;
        // Rises as 1 - exp, falls as exp: its own peak and integral, by a fine sum.
        const auto at = [&](double t) {
            return t < 0.0 ? 0.0 : peak * (1.0 - std::exp(-t / rise)) * std::exp(-t / tau);
        };
        double top = 0.0, i2t = 0.0;
        for (int k = 0; k < 40'000; ++k) {
            top = std::max(top, at(k * tau / 4000.0));
        }
        for (int k = 0; k < 40'000; ++k) {
            const double i = at(k * tau / 4000.0);
            const bool falling = k * tau / 4000.0 > 4.0 * rise;
            if (falling && i < 0.1 * top) {
                break;
            }
            i2t += i >= 0.1 * top ? i * i * tau / 4000.0 : 0.0;
        }
        for (int k = 0; k * dt < start + 8.0 * tau; ++k) {
            y.push_back(rounded(gain * at(k * dt - start) + noise * dice.gauss(), peak / 200.0));
        }
        const auto inrush = find_inrush(y, dt, u_gain);
        ASSERT_TRUE(inrush);
        tallies.add("inrush peak", inrush->peak_a, top, top);
        tallies.add("inrush I2t", inrush->i2t_a2s, i2t, i2t);
    }
    tallies.expect_95();
}

TEST(Coverage, OfTheDisplacementFactorNearOne) {
    Tallies tallies;
    Dice dice{std::mt19937_64(20260313), {}, {}};
    MainsSetup setup;
    setup.orders = 5;
    setup.voltage.u_delay_s = setup.current.u_delay_s = 40e-6;
    for (int n = 0; n < kCaptures; ++n) {
        Capture c;
        c.seed = static_cast<unsigned>(n + 1);
        c.frequency_hz = dice.from(49.5, 50.5);
        c.cycles = dice.from(3.0, 6.0);
        c.per_cycle = 100;
        c.i_phase = {0.0, dice.from(-0.04, 0.04)};
        c.noise_v = 2.0;
        c.noise_i = 0.004;
        c.skew_s = std::sqrt(2.0) * 40e-6 * dice.gauss();
        c.make();
        const MainsFigures f = analyse_mains(c.v, c.i, c.dt_s(), setup);
        tallies.add(
            "displacement factor near 1", f.displacement_factor, std::cos(c.i_phase[1]), 1.0);
    }
    tallies.expect_95();
}

}  // namespace
}  // namespace etchback::bench
