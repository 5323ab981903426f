// The flickermeter's chain against the published table of the voltage flickermeter; the light's
// weighting against its poles and closed forms.
#include "bench/flickermeter.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

namespace etchback::bench {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kRate = 800.0;

// Squared voltage over its mean, which steps `changes` times a minute by `percent` to and fro.
std::vector<double> stepped(double changes, double percent, double span_s) {
    std::vector<double> y;
    for (int k = 0; k < span_s * kRate; ++k) {
        const double turns = k / kRate * changes / 120.0 + 0.013;
        const double v = 1.0 + percent / 200.0 * (turns - std::floor(turns) < 0.5 ? 1.0 : -1.0);
        y.push_back(v * v);
    }
    return y;
}

// IEC 61000-4-15, Table 5, lamps of 230 V and 50 Hz: rectangular changes at which Pst is 1.00
// (from memory). The standard's own tolerance is 5 % of Pst.
TEST(PublishedFlickermeter, RectangularVoltageChangesGiveAPstOfOne) {
    constexpr struct {
        double changes_per_minute, percent, span_s;
    } table[] = {{1.0, 2.715, 612.0},
                 {2.0, 2.191, 612.0},
                 {7.0, 1.450, 612.0},
                 {39.0, 0.894, 132.0},
                 {110.0, 0.722, 132.0},
                 {1620.0, 0.407, 72.0}};
    for (const auto& row : table) {
        const auto s =
            voltage_flicker(stepped(row.changes_per_minute, row.percent, row.span_s), 1.0 / kRate);
        ASSERT_TRUE(s);
        EXPECT_NEAR(s->pst.value, 1.0, 0.05) << row.changes_per_minute << " changes a minute";
    }
}

// IEC 61000-4-15, Table 1 (from memory): sinusoidal changes that are seen by half the observers.
TEST(PublishedFlickermeter, SinusoidalChangesOfTheTableWeighOne) {
    constexpr struct {
        double hz, percent;
    } table[] = {{0.5, 2.325},
                 {1.0, 1.397},
                 {3.0, 0.654},
                 {5.0, 0.394},
                 {8.8, 0.250},
                 {12.0, 0.312},
                 {20.0, 0.704},
                 {25.0, 1.037}};
    for (const auto& row : table) {
        std::vector<double> y;
        for (int k = 0; k < 72 * kRate; ++k) {
            y.push_back(1.0 + 0.01 * row.percent * std::sin(2.0 * kPi * row.hz * k / kRate));
        }
        const auto s = voltage_flicker(y, 1.0 / kRate);
        ASSERT_TRUE(s);
        EXPECT_NEAR(s->p01, 1.0, 0.08) << row.hz << " Hz";
    }
}

std::vector<double> light(double hz, double modulation, double span_s = 90.0) {
    std::vector<double> y;
    for (int k = 0; k < span_s * kRate; ++k) {
        y.push_back(3.0 * (1.0 + modulation * std::sin(2.0 * kPi * hz * k / kRate)));
    }
    return y;
}

// The light's weighting has the poles of the voltage's: their ratio is a lamp, a low pass of two
// time constants. By memory it is one of 20 ms and 1 ms.
TEST(LightFlicker, ItsWeightingIsTheVoltagesWithoutALampOfTwentyMilliseconds) {
    const auto lamp = [](double hz) {
        return detail::voltage_weight(hz) / detail::light_weight(hz);
    };
    const double at_rest = lamp(0.01);
    for (const double hz : {0.5, 2.0, 8.8, 20.0, 35.0}) {
        const double w = 2.0 * kPi * hz;
        const double expected =
            at_rest / (std::hypot(1.0, w * 0.0202) * std::hypot(1.0, w * 0.001));
        EXPECT_NEAR(lamp(hz), expected, 0.01 * expected) << hz;
    }
}

TEST(LightFlicker, GrowsWithTheModulationAndNotWithTheLight) {
    const auto small = light_flicker(light(8.8, 0.004), 1.0 / kRate);
    const auto large = light_flicker(light(8.8, 0.012), 1.0 / kRate);
    ASSERT_TRUE(small && large);
    EXPECT_NEAR(large->pst.value / small->pst.value, 3.0, 0.01);
    // A steady instantaneous flicker p gives sqrt(0.5096·p): the sum of the five weights.
    EXPECT_NEAR(small->pst.value, std::sqrt(0.5096 * small->p10), 0.02 * small->pst.value);
    std::vector<double> brighter = light(8.8, 0.004);
    for (double& v : brighter) {
        v *= 7.0;
    }
    EXPECT_NEAR(light_flicker(brighter, 1.0 / kRate)->pst.value, small->pst.value, 1e-9);
}

TEST(LightFlicker, OfAHundredHertzIsNothingAndOfEightIsALot) {
    const auto fast = light_flicker(light(100.0, 0.8), 1.0 / kRate);
    const auto slow = light_flicker(light(8.0, 0.05), 1.0 / kRate);
    ASSERT_TRUE(fast && slow);
    EXPECT_LT(fast->pst.value, 0.1);
    EXPECT_GT(slow->pst.value, 5.0);
}

TEST(LightFlicker, NeedsAMinuteAndALight) {
    EXPECT_FALSE(light_flicker(light(8.8, 0.1, 30.0), 1.0 / kRate));
    EXPECT_FALSE(light_flicker(light(8.8, 0.1), 1.0 / 100.0));
    EXPECT_FALSE(light_flicker(std::vector<double>(90'000, 0.0), 1.0 / kRate));
}

}  // namespace
}  // namespace etchback::bench
