#include "bench/mains.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <map>

#include "bench/captures.h"

namespace etchback::bench {
namespace {

// Definitions of IEEE Std 1459-2010, 3.1.2 (from memory) on a wave whose exact figures follow from
// its parts: V1 = 230 V, V3 = 9.2 V, V5 = 4.6 V; I1 = 0.5 A lagging by 30 degrees, I3 = 0.3 A,
// I5 = 0.1 A, 20 mA direct.
Capture distorted() {
    Capture c;
    c.v_rms = {0.0, 230.0, 0.0, 9.2, 0.0, 4.6};
    c.i_rms = {0.02, 0.5, 0.0, 0.3, 0.0, 0.1};
    c.i_phase = {0.0, std::numbers::pi / 6.0, 0.0, 1.0, 0.0, -0.4};
    return c;
}

TEST(Mains, FiguresOfADistortedWaveAreThoseOfIeee1459) {
    for (const double hz : {50.0, 60.0, 49.37, 400.0}) {
        for (const double cycles : {10.0, 2.3, 7.77}) {
            Capture c = distorted();
            c.frequency_hz = hz;
            c.cycles = cycles;
            c.make();
            const MainsFigures f = analyse_mains(c.v, c.i, c.dt_s());
            const double p = c.power(), s = Capture::rms(c.v_rms) * Capture::rms(c.i_rms);
            SCOPED_TRACE(testing::Message() << hz << " Hz, " << cycles << " cycles");
            EXPECT_NEAR(f.frequency_hz.value, hz, 1e-7 * hz);
            EXPECT_NEAR(f.voltage.rms.value, std::sqrt(230.0 * 230 + 9.2 * 9.2 + 4.6 * 4.6), 1e-6);
            EXPECT_NEAR(f.current.rms.value, std::sqrt(0.02 * 0.02 + 0.25 + 0.09 + 0.01), 1e-8);
            EXPECT_NEAR(f.current.mean.value, 0.02, 1e-8);
            EXPECT_NEAR(f.power_w.value, p, 1e-6);
            EXPECT_NEAR(f.apparent_va.value, s, 1e-6);
            EXPECT_NEAR(f.non_active_var.value, std::sqrt(s * s - p * p), 1e-6);
            EXPECT_NEAR(f.fundamental_power_w.value, 115.0 * std::cos(std::numbers::pi / 6), 1e-6);
            EXPECT_NEAR(f.fundamental_reactive_var.value, 57.5, 1e-6);
            EXPECT_NEAR(f.fundamental_apparent_va.value, 115.0, 1e-6);
            EXPECT_NEAR(f.power_factor.value, p / s, 1e-8);
            EXPECT_NEAR(f.displacement_factor.value, std::sqrt(0.75), 1e-8);
            EXPECT_NEAR(f.distortion_factor.value, 0.5 / Capture::rms(c.i_rms), 1e-8);
            EXPECT_NEAR(f.current.thd.value, std::sqrt(0.02 * 0.02 + 0.09 + 0.01) / 0.5, 1e-8);
            EXPECT_NEAR(f.current.thd_40.value, std::sqrt(0.1) / 0.5, 1e-8);
            EXPECT_NEAR(f.voltage.thd.value, std::sqrt(9.2 * 9.2 + 4.6 * 4.6) / 230.0, 1e-8);
        }
    }
}

TEST(Mains, PowerFactorIsDisplacementTimesDistortionWhereTheVoltageIsClean) {
    Capture c = distorted();
    c.v_rms = {0.0, 230.0};
    c.make();
    const MainsFigures f = analyse_mains(c.v, c.i, c.dt_s());
    EXPECT_NEAR(
        f.power_factor.value, f.displacement_factor.value * f.distortion_factor.value, 1e-9);
}

TEST(Mains, SquareWaveHasTheHarmonicsOfItsSeries) {
    std::vector<double> v, i;
    for (int k = 0; k < 4000; ++k) {  // 10 cycles; samples midway between the edges
        const double turn = (k + 0.5) / 400.0;
        v.push_back(325.27 * std::sin(2.0 * std::numbers::pi * turn));
        i.push_back(turn - std::floor(turn) < 0.5 ? 1.0 : -1.0);
    }
    const MainsFigures f = analyse_mains(v, i, 5e-5);
    for (const int h : {1, 3, 5, 39}) {  // of the sampled wave: 4/(N·sin(pi·h/N)), N to a cycle
        EXPECT_NEAR(f.current.harmonics[h].rms.value,
                    4.0 / (400.0 * std::sin(std::numbers::pi * h / 400.0) * std::numbers::sqrt2),
                    1e-7);
    }
    EXPECT_NEAR(f.current.harmonics[2].rms.value, 0.0, 1e-9);
    // What lies beyond the fortieth counts as ripple.
    EXPECT_NEAR(f.current.rms.value, 1.0, 0.01);
}

TEST(Mains, ScaleOffsetAndDelayOfTheChannelsAreTakenOut) {
    Capture c = distorted();
    c.skew_s = 40e-6;
    c.make();
    for (double& i : c.i) {
        i = i * 0.1 + 0.03;  // 100 mV/A with an offset of 30 mV
    }
    MainsSetup setup;
    setup.current = {.scale = 10.0, .offset = 0.03, .delay_s = 40e-6};
    const MainsFigures f = analyse_mains(c.v, c.i, c.dt_s(), setup);
    EXPECT_NEAR(f.power_w.value, c.power(), 1e-6);
    EXPECT_NEAR(f.current.mean.value, 0.02, 1e-8);
    const MainsFigures crooked = analyse_mains(c.v, c.i, c.dt_s());
    EXPECT_GT(std::abs(crooked.power_w.value - 0.1 * c.power()), 0.01);
}

TEST(Mains, FlagsClippingAndMissingSamples) {
    Capture c = distorted();
    c.make();
    EXPECT_FALSE(analyse_mains(c.v, c.i, c.dt_s()).current.clipped);
    c.clip_i = 0.6;
    c.missing = 0.02;
    c.make();
    const MainsFigures f = analyse_mains(c.v, c.i, c.dt_s());
    EXPECT_TRUE(f.current.clipped);
    EXPECT_FALSE(f.voltage.clipped);
    EXPECT_GT(f.current.missing, 10U);
    EXPECT_THAT(f.warnings, testing::Contains(testing::HasSubstr("clipped")));
}

TEST(Mains, AnEightBitSineIsNotTakenForClipped) {
    Capture c;
    c.per_cycle = 2000;
    c.lsb_v = 3.0;
    c.lsb_i = 0.0025;
    c.make();
    EXPECT_FALSE(looks_clipped(c.v));
    EXPECT_FALSE(looks_clipped(c.i));
}

// A half-wave rectifier draws one pulse a period and nothing in between: rest at zero is no rail.
TEST(Mains, RestBetweenPulsesIsNotTakenForClipped) {
    std::vector<double> pulses;
    for (int i = 0; i < 2000; ++i) {
        pulses.push_back(0.12 * std::max(0.0, std::sin(0.0157 * i) - 0.92) / 0.08);
    }
    EXPECT_FALSE(looks_clipped(pulses));
    for (double& v : pulses) {
        v = -v;
    }
    EXPECT_FALSE(looks_clipped(pulses));
    for (double& v : pulses) {
        v = std::max(v, -0.06);  // half of each pulse is cut off
    }
    EXPECT_TRUE(looks_clipped(pulses));
}

TEST(Mains, SaysWhyWhereThereIsNoMains) {
    const std::vector<double> flat(500, 3.0);
    const MainsFigures f = analyse_mains(flat, {}, 1e-4);
    EXPECT_EQ(f.cycles, 0.0);
    EXPECT_FALSE(f.warnings.empty());
}

TEST(Mains, LongRecordsAreFittedThinnedWithoutLoss) {
    Capture c = distorted();
    c.per_cycle = 20'000;
    c.noise_i = 0.01;
    c.make();
    const MainsFigures f = analyse_mains(c.v, c.i, c.dt_s());
    EXPECT_NEAR(f.power_w.value, c.power(), 4.0 * f.power_w.u + 1e-3);
    EXPECT_NEAR(f.current.rms.value, Capture::rms(c.i_rms), 1e-3);
    EXPECT_NEAR(f.current.noise_rms, 0.01, 5e-4);
}

TEST(Mains, RecordsOfAnyLengthAreFitted) {
    for (const double cycles : {2.56, 5.12, 5.125}) {  // 256, 512 and 512.5 samples
        Capture c = distorted();
        c.per_cycle = 100;
        c.cycles = cycles;
        c.make();
        EXPECT_NEAR(analyse_mains(c.v, c.i, c.dt_s()).power_w.value, c.power(), 1e-4);
    }
}

// How often the stated interval of two standard uncertainties holds the truth, over many captures
// that differ in everything; and how far off each figure is on the average.
struct Tally {
    int held = 0, all = 0;
    double squares = 0.0, largest = 0.0;
    void add(const Estimate& e, double truth, double scale) {
        const double error = e.value - truth;
        held += std::abs(error) <= 2.0 * e.u;
        ++all;
        squares += error * error / (scale * scale);
        largest = std::max(largest, std::abs(error) / scale);
    }
    double share() const { return 100.0 * held / all; }
};

TEST(Mains, UncertaintyHoldsTheTruthInNinetyFivePercent) {
    std::map<std::string, Tally> tallies;
    constexpr int kCaptures = 1000;
    std::mt19937_64 random(20260307);
    std::normal_distribution<double> normal;
    std::uniform_real_distribution<double> even;
    MainsSetup setup;
    setup.orders = 9;
    setup.voltage = {.u_gain = 0.005, .u_offset = 0.3, .u_delay_s = 1e-6};
    setup.current = {.u_gain = 0.008, .u_offset = 0.001, .u_delay_s = 1e-6};
    setup.u_clock = 50e-6;
    for (int n = 0; n < kCaptures; ++n) {
        Capture c;
        c.seed = static_cast<unsigned>(n + 1);
        const double nominal = n % 2 == 0 ? 50.0 : 60.0;
        const double hz = nominal * (0.98 + 0.04 * even(random));
        c.frequency_hz = hz;
        c.cycles = n % 3 == 0 ? 2.3 : 2.0 + 6.0 * even(random);
        c.per_cycle = 120;
        c.i_rms = {0.005 * even(random),
                   0.2,
                   0.0,
                   0.02 + 0.1 * even(random),
                   0.0,
                   0.01 + 0.05 * even(random)};
        c.i_phase = {0.0, 2.0 * even(random) - 1.0, 0.0, even(random), 0.0, even(random)};
        c.v_rms = {0.0, 230.0, 0.0, 5.0 * even(random)};
        c.noise_v = 1.0 + 3.0 * even(random);
        c.noise_i = 0.002 + 0.006 * even(random);
        c.lsb_v = 3.1;
        c.lsb_i = 0.004;
        c.jitter_s = 2e-6 * even(random);
        c.missing = n % 5 == 0 ? 0.03 : 0.0;
        c.make();
        // The instrument's own errors, as large as it states them.
        const double gain_v = 1.0 + setup.voltage.u_gain * normal(random);
        const double gain_i = 1.0 + setup.current.u_gain * normal(random);
        const double offset_v = setup.voltage.u_offset * normal(random);
        const double offset_i = setup.current.u_offset * normal(random);
        const double clock = 1.0 + setup.u_clock * normal(random);
        for (std::size_t k = 0; k < c.v.size(); ++k) {
            c.v[k] = gain_v * c.v[k] + offset_v;
            c.i[k] = gain_i * c.i[k] + offset_i;
        }
        const MainsFigures f = analyse_mains(c.v, c.i, c.dt_s() * clock, setup);
        ASSERT_GT(f.cycles, 1.5);
        const double v = Capture::rms(c.v_rms), i = Capture::rms(c.i_rms), p = c.power();
        tallies["frequency"].add(f.frequency_hz, hz, hz);
        tallies["voltage"].add(f.voltage.rms, v, v);
        tallies["current"].add(f.current.rms, i, i);
        tallies["mean current"].add(f.current.mean, c.i_rms[0], i);
        tallies["power"].add(f.power_w, p, p);
        tallies["apparent power"].add(f.apparent_va, v * i, v * i);
        tallies["power factor"].add(f.power_factor, p / (v * i), 1.0);
        tallies["displacement factor"].add(f.displacement_factor, std::cos(c.i_phase[1]), 1.0);
        tallies["reactive power Q1"].add(
            f.fundamental_reactive_var, 46.0 * std::sin(c.i_phase[1]), 46.0);
        tallies["THD (2 to 40)"].add(
            f.current.thd_40, std::hypot(c.i_rms[3], c.i_rms[5]) / c.i_rms[1], 1.0);
        tallies["third harmonic"].add(f.current.harmonics[3].rms, c.i_rms[3], i);
        tallies["fifth harmonic"].add(f.current.harmonics[5].rms, c.i_rms[5], i);
    }
    for (const auto& [name, tally] : tallies) {
        const double rms = 100.0 * std::sqrt(tally.squares / tally.all);
        RecordProperty(name, std::to_string(tally.share()));
        std::printf("| %s | %.4f %% | %.4f %% | %.1f %% |\n",
                    name.c_str(),
                    rms,
                    100.0 * tally.largest,
                    tally.share());
        EXPECT_NEAR(tally.share(), 95.0, 2.0) << name;
    }
}

}  // namespace
}  // namespace etchback::bench
