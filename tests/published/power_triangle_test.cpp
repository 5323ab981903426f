// The power triangle against published definitions and the trade's common practice.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "bench/power_triangle.h"
#include "bench/readings.h"

namespace etchback::bench {
namespace {

using test::reading;

// Common practice, no source: a lamp driver that takes 84 mA at power factor 0.989 and 20.38 W runs
// on 245 V, not on the 230 V that its owner wrote down.
TEST(PublishedPowerTriangle, CurrentPowerAndPowerFactorTellTheSupply) {
    const auto t = power_triangles({reading("supply current", "84 mA"),
                                    reading("power factor", "0.989"),
                                    reading("input power", "20.38 W")})
                       .at(0);
    ASSERT_TRUE(t.voltage_v_rms);
    EXPECT_NEAR(t.voltage_v_rms->value, 245.0, 0.5);
    const auto four = power_triangles({reading("supply voltage", "230 V"),
                                       reading("supply current", "84 mA"),
                                       reading("power factor", "0.989"),
                                       reading("input power", "20.38 W")})
                          .at(0);
    ASSERT_TRUE(four.disagreement);
    EXPECT_GT(*four.disagreement, 1.0);
}

// IEEE Std 1459-2010, 3.1.2 (clauses from memory): single phase, nonsinusoidal. S = U·I of the RMS
// values of all harmonics, P = sum of Uh·Ih·cos(phi_h), N = sqrt(S² - P²), PF = P/S. Here a sine of
// 230 V and a current of 100 mA at 50 Hz, 60 degrees behind, with 80 mA of third harmonic: P comes
// from the fundamental alone, while N holds the fundamental's reactive power and the distortion.
TEST(PublishedPowerTriangle, NonActivePowerOfADistortedCurrentByIeee1459) {
    const double u = 230.0;
    const double i1 = 0.100;
    const double i3 = 0.080;
    const double phi = std::numbers::pi / 3.0;
    const double i = std::hypot(i1, i3);
    const double p = u * i1 * std::cos(phi);
    const double q1 = u * i1 * std::sin(phi);
    const double distortion = u * i3;  // current distortion power
    const auto t = power_triangles({reading("supply voltage", fmt::format("{:.12f} V", u), "0.1 %"),
                                    reading("supply current", fmt::format("{:.12f} A", i), "0.1 %"),
                                    reading("input power", fmt::format("{:.12f} W", p), "0.1 %")})
                       .at(0);
    EXPECT_NEAR(t.non_active_var->value, std::hypot(q1, distortion), 1e-6);
    EXPECT_NEAR(t.power_factor->value, std::cos(phi) * i1 / i, 1e-9);
}

// IEC 60050-131, definitions of active power, apparent power and power factor (entries from
// memory), on a current pulse of constant height during the middle sixth of each half-wave, as a
// rectifier with a large smoothing capacitor draws it. The sums over one period are the definitions
// themselves.
TEST(PublishedPowerTriangle, PowerFactorOfAPulseCurrentIsPowerOverVoltAmperes) {
    const int n = 36000;
    double uu = 0.0;
    double ii = 0.0;
    double ui = 0.0;
    for (int k = 0; k < n; ++k) {
        const double angle = 2.0 * std::numbers::pi * (k + 0.5) / n;
        const double v = 325.0 * std::sin(angle);
        const double a = std::abs(std::sin(angle)) > std::cos(std::numbers::pi / 12.0)
                             ? std::copysign(0.4, v)
                             : 0.0;
        uu += v * v / n;
        ii += a * a / n;
        ui += v * a / n;
    }
    const auto t =
        power_triangles({reading("supply voltage", fmt::format("{:.9f} V", std::sqrt(uu)), "0.1 %"),
                         reading("supply current", fmt::format("{:.9f} A", std::sqrt(ii)), "0.1 %"),
                         reading("input power", fmt::format("{:.9f} W", ui), "0.1 %")})
            .at(0);
    // In closed form: 4·sin(pi/12)/pi · 325 · 0.4/2 over 325/sqrt(2) · 0.4·sqrt(1/6).
    const double expected = 2.0 * std::sin(std::numbers::pi / 12.0) / std::numbers::pi *
                            std::sqrt(2.0) * std::sqrt(6.0);
    EXPECT_NEAR(t.power_factor->value, expected, 1e-3);
}

// C. Adragna, "Design equations of high-power-factor flyback converters" (semiconductor maker's
// application note AN1059), PF and total harmonic distortion as functions of K = Vpk/VR (values
// computed from the note's formulas, which are from memory). Voltage is a sine and the current's
// fundamental in phase with it, so non-active power is distortion alone and THD = N/P.
TEST(PublishedPowerTriangle, NonActivePowerOverPowerIsTheDistortionOfAHighPowerFactorFlyback) {
    const double rows[][2] = {
        {0.9977593738, 0.06705}, {0.9938492637, 0.11143}, {0.9897974656, 0.14395}};
    for (const auto& [pf, thd] : rows) {
        const auto t =
            power_triangles({reading("power factor", fmt::format("{:.10f}", pf), "0.1 %"),
                             reading("input power", "14 W", "1 %")})
                .at(0);
        EXPECT_NEAR(t.non_active_var->value / t.power_w->value, thd, 5e-6);
    }
}

}  // namespace
}  // namespace etchback::bench
