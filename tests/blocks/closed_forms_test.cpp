// Formulas of patterns against published worked examples. Where only the equation is published, the
// point was chosen and computed from it, which is said ("derived").
#include <gtest/gtest.h>

#include <cmath>
#include <tuple>
#include <utility>

#include "blocks/detail/formula.h"
#include "blocks/detail/formula_functions.h"
#include "blocks/pattern.h"

namespace etchback::blocks {
namespace {

class ClosedForms : public testing::Test {
public:
    static const PatternBook& book() {
        static const PatternBook loaded =
            *load_patterns({std::string(ETCHBACK_SOURCE_DIR) + "/data/blocks"});
        return loaded;
    }

    ClosedForms& with(const std::string& name, double value) {
        values_[name] = {value, base::Unit::none, 0.0, false, {}};
        return *this;
    }

    // The figure of a pattern from the values given; those of the pattern that it rests on are
    // computed on the way.
    double figure(const std::string& pattern_id, const std::string& id) {
        for (const Pattern& pattern : book().patterns) {
            if (pattern.id != pattern_id) {
                continue;
            }
            detail::Values values = values_;
            for (const PatternFigure& wanted : pattern.figures) {
                const auto result = detail::evaluate(wanted.formula, values);
                if (wanted.id == id) {
                    return result ? result->value : std::nan("");
                }
                if (result && values.count(wanted.id) == 0) {
                    values[wanted.id] = {result->value, wanted.unit, 0.0, false, {}};
                }
            }
        }
        return std::nan("");
    }

    detail::Values values_;
};

// Charge balance of the capacitive dropper (derived): 230 V, 50 Hz, 470 nF, 24 V, 0.7 V a diode.
TEST_F(ClosedForms, MeanCurrentOfACapacitiveDropper) {
    with("mains.nominal", 230.0).with("mains.frequency", 50.0).with("C", 470e-9);
    with("known.output_voltage", 24.0).with("forward", 0.7);
    EXPECT_NEAR(figure("capacitive_dropper", "dropper_current"), 28.188e-3, 0.0005e-3);
    EXPECT_NEAR(figure("half_wave_dropper", "dropper_current"), 14.691e-3, 0.0005e-3);
}

// Charge through a resistor with a constant current beside it (derived): 325 V, 1 megohm, 4.7 uF,
// 16 V, 20 uA.
TEST_F(ClosedForms, StartUpTimeThroughAResistor) {
    with("mains.low", 325.0 / std::sqrt(2.0)).with("R", 1e6).with("C", 4.7e-6);
    with("U.start", 16.0).with("U.start_current", 20e-6);
    EXPECT_NEAR(figure("startup_resistor", "start_time"), 0.2533, 0.00005);
}

// C. Basso, Switch-Mode Power Supplies, 1st ed., ch. 7, clamp (equation; the point is derived): 10
// uH, 1 A, 65 kHz, 150 V over a reflected voltage of 100 V make 0.975 W in 23.08 kilohms.
TEST_F(ClosedForms, VoltageAndDissipationOfAClamp) {
    with("R", 150.0 * 150.0 / 0.975).with("P.leakage", 10e-6);
    with("known.reflected_voltage", 100.0).with("known.peak_squared_rate", 65e3);
    EXPECT_NEAR(figure("rcd_clamp", "clamp_voltage"), 150.0, 0.05);
    EXPECT_NEAR(figure("rcd_clamp", "clamp_power"), 0.975, 0.0005);
}

// C. Adragna, application note AN1059, design equations of flyback converters of high power factor
// (the point is derived): 90 V, 100 V reflected, 12 W at 85 %, 65 kHz at the crest.
TEST_F(ClosedForms, HighPowerFactorFlyback) {
    with("mains.nominal", 90.0).with("reflected", 100.0).with("efficiency", 0.85);
    with("driver_power", 12.0).with("P.inductance", 946.1784e-6);
    EXPECT_NEAR(figure("flyback", "crest_ratio"), 1.2728, 0.00005);
    EXPECT_NEAR(figure("flyback", "crest_peak"), 0.9106, 0.00005);
    EXPECT_NEAR(figure("flyback", "on_time"), 6.7690e-6, 0.00005e-6);
    EXPECT_NEAR(figure("flyback", "crest_frequency"), 65e3, 1.0);
    EXPECT_NEAR(figure("flyback", "trough_frequency"), 147731.0, 1.0);
}

// Flyback transformer design, application note AN-17 (1996), page 8, DC input voltage parameters:
// printed 93 V.
TEST_F(ClosedForms, ValleyOfTheBulkCapacitor) {
    with("mains.low", 85.0).with("mains.frequency", 60.0).with("known.load_power", 15.0);
    with("efficiency", 0.8).with("C", 33e-6).with("conduction_time", 0.0032);
    EXPECT_NEAR(figure("bulk_capacitor", "bulk_valley"), 93.0, 0.5);
}

// Output set by a shunt regulator's divider: 2.495 V, two of 10 kilohms, 2 uA into the reference
// make 5.010 V (derived); the pattern leaves the 20 mV of the reference's current out and says so.
TEST_F(ClosedForms, DividerOfAShuntRegulator) {
    with("U.reference_voltage", 2.495).with("Ra", 10e3).with("Rb", 10e3);
    EXPECT_NEAR(figure("opto_shunt_feedback", "regulated_voltage") + 2e-6 * 10e3, 5.010, 0.0005);
}

// C. Basso, ch. 7 (equation; derived): a converter in discontinuous mode takes P = L·I²·f/2.
TEST_F(ClosedForms, EnergyOfACycleAtTheLimit) {
    with("U.current_limit", 0.85).with("Rs", 1.0).with("P.inductance", 1.1e-3);
    with("U.switching_frequency", 65e3);
    EXPECT_NEAR(figure("flyback", "power_limit"), 0.5 * 1.1e-3 * 0.85 * 0.85 * 65e3, 1e-9);
}

// C. Adragna, AN1059 (equations from memory; integrals computed apart): PF of the current of
// constant on-time at the boundary, by K.
TEST(FormulaFunctions, PowerFactorOfConstantOnTimeFollowsThePublishedEquation) {
    const std::pair<double, double> table[] = {{0.5, 0.99776},
                                               {1.0, 0.99385},
                                               {1.5, 0.98980},
                                               {2.0, 0.98598},
                                               {3.0, 0.97927},
                                               {4.0, 0.97370}};
    for (const auto& [k, factor] : table) {
        EXPECT_NEAR(detail::boundary_power_factor(k), factor, 0.000005) << k;
    }
    EXPECT_NEAR(detail::mean_of_square_over(2.0), 0.18932271, 1e-7);
    EXPECT_NEAR(detail::boundary_power_factor(0.0), 1.0, 1e-9);
}

// The circuit of O. H. Schade's curves, Proc. IRE 31 (1943) 341: full wave, by omega C R and Rs /
// R; exact periodic solutions computed apart.
TEST(FormulaFunctions, PowerFactorOfACapacitorInputRectifier) {
    const std::tuple<double, double, double> table[] = {{5.0, 0.05, 0.7512},
                                                        {10.0, 0.01, 0.6196},
                                                        {10.0, 0.1, 0.8248},
                                                        {20.0, 0.05, 0.7603},
                                                        {50.0, 0.01, 0.606},
                                                        {100.0, 0.01, 0.6058}};
    for (const auto& [x, r, factor] : table) {
        EXPECT_NEAR(detail::capacitor_input_power_factor(x, r), factor, 0.00005) << x << " " << r;
    }
    EXPECT_TRUE(std::isnan(detail::capacitor_input_power_factor(0.0, 0.1)));
    EXPECT_TRUE(std::isnan(detail::capacitor_input_power_factor(10.0, 0.0)));
}

// M. H. Rashid, Power Electronics, Example 5.5: 12 V to 5 V at 25 kHz, 0.8 A in 145.83 uH, 20 mV on
// 200 uF. The book's diode has no drop.
TEST_F(ClosedForms, BuckConverter) {
    with("input", 12.0).with("known.output_voltage", 5.0).with("D.forward_voltage", 0.0);
    with("known.switching_frequency", 25e3).with("L", 145.83e-6).with("C", 200e-6);
    for (const char* pattern : {"buck", "buck_p", "buck_chip"}) {
        EXPECT_NEAR(figure(pattern, "duty"), 0.4167, 0.00005);
        EXPECT_NEAR(figure(pattern, "coil_ripple"), 0.8, 0.0005);
        EXPECT_NEAR(figure(pattern, "output_ripple"), 0.02, 0.0005);
    }
}

// Rashid, Example 5.6: 5 V to 15 V, 0.5 A, 25 kHz, 150 uH, 220 uF: 66.67 %, 0.89 A, 1.945 A, 60.61
// mV.
TEST_F(ClosedForms, BoostConverter) {
    with("input", 5.0).with("known.output_voltage", 15.0).with("D.forward_voltage", 0.0);
    with("known.switching_frequency", 25e3).with("L", 150e-6).with("C", 220e-6);
    with("known.output_current", 0.5);
    for (const char* pattern : {"boost", "boost_chip"}) {
        EXPECT_NEAR(figure(pattern, "duty"), 0.6667, 0.00005);
        EXPECT_NEAR(figure(pattern, "coil_ripple"), 0.89, 0.005);
        EXPECT_NEAR(figure(pattern, "coil_peak"), 1.945, 0.001);
        EXPECT_NEAR(figure(pattern, "output_ripple"), 60.61e-3, 0.005e-3);
    }
}

// Rashid, Example 5.7: 12 V to -4 V, 1.25 A, 25 kHz, 150 uH, 220 uF: 25 %, 0.8 A, 2.067 A, 56.8 mV.
TEST_F(ClosedForms, InvertingConverter) {
    with("input", 12.0).with("known.output_voltage", 4.0).with("D.forward_voltage", 0.0);
    with("known.switching_frequency", 25e3).with("L", 150e-6).with("C", 220e-6);
    with("known.output_current", 1.25);
    for (const char* pattern : {"buck_boost", "buck_boost_p"}) {
        EXPECT_NEAR(figure(pattern, "duty"), 0.25, 0.00005);
        EXPECT_NEAR(figure(pattern, "coil_ripple"), 0.8, 0.0005);
        EXPECT_NEAR(figure(pattern, "coil_peak"), 2.067, 0.0005);
        EXPECT_NEAR(figure(pattern, "output_ripple"), 56.8e-3, 0.05e-3);
    }
}

// C. Basso, ch. 7, borderline flyback (equations; derived): 120 V, 100 V reflected, 15 W, 1 mH make
// 0.55 A and 99174 Hz. A ringing choke works the same way.
TEST_F(ClosedForms, RingingChokeAtTheBoundary) {
    with("input", 120.0).with("known.reflected_voltage", 100.0).with("known.load_power", 15.0);
    with("efficiency", 1.0).with("P.inductance", 1e-3);
    EXPECT_NEAR(figure("ringing_choke", "peak"), 0.55, 0.00005);
    EXPECT_NEAR(figure("ringing_choke_reversed", "own_frequency"), 99174.0, 0.5);
}

// Millman and Halkias, Integrated Electronics, ch. 4: 115 V doubled is 325 V without a load.
// High-voltage handbooks (derived): 5 mA at 50 Hz from 10 nF and 50 nF at 100 kV: ripple 2 kV,
// drop 11 kV.
TEST_F(ClosedForms, Doublers) {
    with("mains.high", 115.0).with("mains.frequency", 50.0).with("known.output_current", 5e-3);
    with("C1", 10e-9).with("C2", 50e-9);
    EXPECT_NEAR(figure("full_wave_doubler", "doubled"), 325.0, 0.5);
    EXPECT_NEAR(figure("half_wave_doubler", "doubler_ripple"), 2000.0, 1e-6);
    EXPECT_NEAR(figure("half_wave_doubler", "doubler_drop"), 11000.0, 1e-6);
}

// Derived from the definitions: a stage at the boundary from 85 V with 100 W at 90 %, 500 uH, 400
// V. Energy of the on-time at the crest, half the period's mean current: the mean of the current
// over a switching period is half the peak, and the crest of the mains current twice the power over
// the crest of the voltage.
TEST_F(ClosedForms, PowerFactorStageAtTheBoundary) {
    with("mains.low", 85.0).with("mains.frequency", 50.0).with("known.load_power", 100.0);
    with("known.output_voltage", 400.0).with("efficiency", 0.9).with("L", 500e-6).with("C", 100e-6);
    const double mean_at_crest = std::sqrt(2.0) * (100.0 / 0.9 / 85.0);
    EXPECT_NEAR(figure("pfc_boost", "low_peak"), 2.0 * mean_at_crest, 1e-9);
    const double on = 500e-6 * 2.0 * mean_at_crest / (85.0 * std::sqrt(2.0));
    const double off = 500e-6 * 2.0 * mean_at_crest / (400.0 - 85.0 * std::sqrt(2.0));
    EXPECT_NEAR(figure("pfc_boost", "crest_frequency"), 1.0 / (on + off), 1e-6);
    // 0.25 A with the ripple of sin² at 100 Hz into 100 uF: 0.25 / (2 pi 50 100e-6).
    EXPECT_NEAR(figure("pfc_boost", "bulk_ripple"), 7.9577, 0.0005);
}

// Erickson and Maksimović ch. 6 (equation from memory): V = D·Vg·n2/n1.
TEST_F(ClosedForms, ForwardConverter) {
    with("input", 48.0).with("known.output_voltage", 5.0).with("D1.forward_voltage", 0.0);
    with("P", 24.0).with("S", 6.0).with("L", 10e-6).with("known.switching_frequency", 100e3);
    EXPECT_NEAR(figure("forward", "duty"), 5.0 * 4.0 / 48.0, 1e-12);
    EXPECT_NEAR(figure("forward", "coil_ripple"), 5.0 * (1.0 - 20.0 / 48.0) / 1.0, 1e-9);
}

// Tolerances: a divider of 1 % resistors. JCGM 100:2008, 4.3.7: evenly spread half width a has the
// deviation a/sqrt(3).
TEST(Formula, CarriesEvenTolerancesThroughAFormula) {
    detail::Values values;
    values["R"] = {1000.0, base::Unit::ohm, 0.01, false, {}};
    const auto one = detail::evaluate("R", values);
    ASSERT_TRUE(one);
    EXPECT_NEAR(one->deviation, 10.0 / std::sqrt(3.0), 0.05);
    EXPECT_NEAR(one->low, 991.0, 0.2);
    EXPECT_NEAR(one->high, 1009.0, 0.2);
    values["S"] = {1000.0, base::Unit::ohm, 0.01, false, {}};
    const auto sum = detail::evaluate("R+S", values);
    EXPECT_NEAR(sum->deviation, 10.0 * std::sqrt(2.0 / 3.0), 0.1);
}

TEST(Formula, IsNothingWhereAValueIsNotKnownOrTheResultNotFinite) {
    detail::Values values;
    values["R"] = {0.0, base::Unit::ohm, 0.0, false, {}};
    EXPECT_FALSE(detail::evaluate("1/R", values));
    EXPECT_FALSE(detail::evaluate("R*C", values));
    EXPECT_FALSE(detail::evaluate("R**", values));
}

TEST(Formula, ShowsItsArithmetic) {
    detail::Values values;
    values["R"] = {4700.0, base::Unit::ohm, 0.0, false, {}};
    values["U.limit"] = {1.0, base::Unit::volt, 0.0, false, {}};
    const auto result = detail::evaluate("U.limit/(2*R)", values);
    ASSERT_TRUE(result);
    EXPECT_EQ(result->worked, "1\u00a0V/(2 · 4.7\u00a0kΩ)");
}

}  // namespace
}  // namespace etchback::blocks
