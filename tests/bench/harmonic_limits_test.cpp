// Limits of IEC 61000-3-2:2018, Tables 1 to 3, as published in test reports; the third harmonic of
// 27 % and the options of 7.4.3 are from memory.
#include "bench/harmonic_limits.h"

#include <gtest/gtest.h>

#include "bench/captures.h"

namespace etchback::bench {
namespace {

TEST(HarmonicLimits, OfClassAAreThoseOfTable1) {
    const auto limit = [](int n) { return *limit_a(LimitClass::a, n, 1.0, 100.0); };
    const double odd[] = {2.30, 1.14, 0.77, 0.40, 0.33, 0.21, 0.15};
    for (int k = 0; k < 7; ++k) {
        EXPECT_DOUBLE_EQ(limit(3 + 2 * k), odd[k]);
    }
    EXPECT_DOUBLE_EQ(limit(2), 1.08);
    EXPECT_DOUBLE_EQ(limit(4), 0.43);
    EXPECT_DOUBLE_EQ(limit(6), 0.30);
    EXPECT_NEAR(limit(8), 0.23, 1e-12);
    EXPECT_NEAR(limit(39), 0.0577, 5e-5);
    EXPECT_NEAR(limit(40), 0.046, 5e-5);
    EXPECT_FALSE(limit_a(LimitClass::a, 1, 1.0, 100.0));
    EXPECT_FALSE(limit_a(LimitClass::a, 41, 1.0, 100.0));
}

TEST(HarmonicLimits, OfClassDGrowWithPowerUpToThoseOfClassA) {
    EXPECT_NEAR(*limit_a(LimitClass::d, 3, 1.0, 100.0), 0.34, 1e-12);
    EXPECT_NEAR(*limit_a(LimitClass::d, 13, 1.0, 100.0), 0.0296, 5e-5);
    EXPECT_DOUBLE_EQ(*limit_a(LimitClass::d, 5, 1.0, 700.0), 1.14);
    EXPECT_FALSE(limit_a(LimitClass::d, 2, 1.0, 100.0));
}

TEST(HarmonicLimits, OfClassCAreInPercentOfTheFundamental) {
    EXPECT_NEAR(*limit_a(LimitClass::c_above_25_w, 3, 0.2, 40.0), 0.054, 1e-12);
    EXPECT_NEAR(*limit_a(LimitClass::c_above_25_w, 2, 0.2, 40.0), 0.004, 1e-12);
    EXPECT_NEAR(*limit_a(LimitClass::c_above_25_w, 39, 0.2, 40.0), 0.006, 1e-12);
    EXPECT_NEAR(*limit_a(LimitClass::c_to_25_w_by_shape, 3, 0.1, 20.0), 0.086, 1e-12);
    EXPECT_NEAR(*limit_a(LimitClass::c_to_25_w_by_power, 3, 0.1, 20.0), 0.068, 1e-12);
}

MainsFigures figures_of(double third_share, double amps) {
    Capture c;
    c.i_rms = {0.0, amps, 0.0, third_share * amps};
    c.i_phase = {0.0, 0.0, 0.0, std::numbers::pi};
    c.make();
    return analyse_mains(c.v, c.i, c.dt_s());
}

TEST(HarmonicLimits, TellLightingOnEitherSideOfItsLimit) {
    EXPECT_EQ(judge_harmonics(figures_of(0.25, 0.3), true).verdict, Verdict::within);
    EXPECT_EQ(judge_harmonics(figures_of(0.30, 0.3), true).verdict, Verdict::outside);
    // One of three options is enough to 25 W; by power 3.4 mA/W is more than a third here.
    EXPECT_EQ(judge_harmonics(figures_of(0.30, 0.08), true).verdict, Verdict::within);
    EXPECT_EQ(judge_harmonics(figures_of(0.95, 0.08), true).verdict, Verdict::outside);
    EXPECT_TRUE(judge_harmonics(figures_of(0.95, 0.01), true).checks.empty());  // 2.3 W
}

TEST(HarmonicLimits, CannotTellWhereTheUncertaintySpansTheLimit) {
    Capture c;
    c.i_rms = {0.0, 0.3, 0.0, 0.3 * 0.2695};
    c.noise_i = 0.03;
    c.make();
    EXPECT_EQ(judge_harmonics(analyse_mains(c.v, c.i, c.dt_s()), true).verdict,
              Verdict::cannot_tell);
}

TEST(HarmonicLimits, AreNoneBelow220Volt) {
    Capture c;
    c.v_rms = {0.0, 120.0};
    c.make();
    EXPECT_TRUE(judge_harmonics(analyse_mains(c.v, c.i, c.dt_s()), true).checks.empty());
}

}  // namespace
}  // namespace etchback::bench
