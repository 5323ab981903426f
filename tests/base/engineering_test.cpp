#include <gtest/gtest.h>

#include <limits>

#include "base/quantity.h"

namespace etchback::base {
namespace {

TEST(Engineering, ChoosesThePrefixThatLeavesOneToThreeDigits) {
    EXPECT_EQ(to_engineering(4700, Unit::ohm), "4.7\u00A0kΩ");
    EXPECT_EQ(to_engineering(220e-9, Unit::farad), "220\u00A0nF");
    EXPECT_EQ(to_engineering(0.35, Unit::ampere), "350\u00A0mA");
    EXPECT_EQ(to_engineering(1e6, Unit::ohm), "1\u00A0MΩ");
    EXPECT_EQ(to_engineering(-40, Unit::celsius), "-40\u00A0°C");
    EXPECT_EQ(to_engineering(90, Unit::degree), "90°");
    EXPECT_EQ(to_engineering(5, Unit::percent), "5\u00A0%");
    EXPECT_EQ(to_engineering(1.2e-3, Unit::ampere_squared_second), "1.2\u00A0mA²s");
}

// Common practice: 1000 µF, never 1 mF.
TEST(Engineering, WritesLargeCapacitancesInMicrofarads) {
    EXPECT_EQ(to_engineering(1e-3, Unit::farad), "1000\u00A0µF");
    EXPECT_EQ(to_engineering(22e-3, Unit::farad), "22000\u00A0µF");
    EXPECT_EQ(to_engineering(1.5, Unit::farad), "1.5\u00A0F");
    EXPECT_EQ(to_rkm(1e-3, Unit::farad), "1000µ");
}

TEST(Engineering, KeepsZerosOnlyWhereAsked) {
    EXPECT_EQ(to_engineering(4700, Unit::ohm, {.digits = 3, .keep_zeros = true}), "4.70\u00A0kΩ");
    EXPECT_EQ(to_engineering(12, Unit::volt, {.digits = 3, .keep_zeros = true}), "12.0\u00A0V");
    EXPECT_EQ(to_engineering(1.2e-3, Unit::henry, {.digits = 3, .keep_zeros = true}),
              "1.20\u00A0mH");
}

TEST(Engineering, RoundsIntoTheNextPrefix) {
    EXPECT_EQ(to_engineering(999.96, Unit::volt, {.digits = 4}), "1\u00A0kV");
    EXPECT_EQ(to_engineering(999.4, Unit::volt), "999\u00A0V");
    EXPECT_EQ(to_engineering(1234567, Unit::ohm, {.digits = 2}), "1.2\u00A0MΩ");
}

TEST(Engineering, GivesNoPrefixToPlainNumbersAndTemperatures) {
    EXPECT_EQ(to_engineering(0.92, Unit::none), "0.92");
    EXPECT_EQ(to_engineering(1500, Unit::none), "1500");
    EXPECT_EQ(to_engineering(1500, Unit::celsius, {.digits = 4}), "1500\u00A0°C");
    EXPECT_EQ(to_engineering(1e-9, Unit::none), "1e-9");
}

TEST(Engineering, PrintsZeroAndWhatIsNoNumber) {
    EXPECT_EQ(to_engineering(0.0, Unit::volt), "0\u00A0V");
    EXPECT_EQ(to_engineering(-0.0, Unit::volt), "0\u00A0V");
    EXPECT_EQ(to_engineering(std::numeric_limits<double>::infinity(), Unit::ohm), "∞\u00A0Ω");
    EXPECT_EQ(to_engineering(std::numeric_limits<double>::quiet_NaN(), Unit::ohm), "?\u00A0Ω");
}

TEST(Engineering, PrintsWholeQuantities) {
    EXPECT_EQ(to_text(*parse_quantity("85-265 V")), "85\u00A0V to 265\u00A0V");
    EXPECT_EQ(to_text(*parse_quantity("230 V ±10 %")), "230\u00A0V (207\u00A0V to 253\u00A0V)");
    EXPECT_EQ(to_text(*parse_quantity("50/60 Hz")), "50\u00A0Hz or 60\u00A0Hz");
    EXPECT_EQ(to_text(*parse_quantity("4k7", Unit::ohm)), "4.7\u00A0kΩ");
}

TEST(Rkm, PutsTheLetterWhereThePointWouldBe) {
    EXPECT_EQ(to_rkm(4700, Unit::ohm), "4k7");
    EXPECT_EQ(to_rkm(0.22, Unit::ohm), "0R22");
    EXPECT_EQ(to_rkm(0.01, Unit::ohm), "0R01");
    EXPECT_EQ(to_rkm(100, Unit::ohm), "100R");
    EXPECT_EQ(to_rkm(1e6, Unit::ohm), "1M");
    EXPECT_EQ(to_rkm(47300, Unit::ohm), "47k3");
    EXPECT_EQ(to_rkm(0, Unit::ohm), "0R");
    EXPECT_EQ(to_rkm(2.2e-9, Unit::farad), "2n2");
    EXPECT_EQ(to_rkm(100e-9, Unit::farad), "100n");
    EXPECT_EQ(to_rkm(4.7e-6, Unit::farad), "4µ7");
    EXPECT_EQ(to_rkm(999.9e-9, Unit::farad), "1µ");
}

TEST(Rkm, LeavesToPlainNotationWhatHasNoCode) {
    EXPECT_EQ(to_rkm(1.5e-3, Unit::henry), "1.5\u00A0mH");
    EXPECT_EQ(to_rkm(-5, Unit::ohm), "-5\u00A0Ω");
    EXPECT_EQ(to_rkm(0, Unit::farad), "0\u00A0F");
}

TEST(Units, AreFoundByName) {
    EXPECT_EQ(unit_named("ohm"), Unit::ohm);
    EXPECT_EQ(unit_named(name_of(Unit::ampere_squared_second)), Unit::ampere_squared_second);
    EXPECT_EQ(unit_named("parsec"), std::nullopt);
    EXPECT_EQ(symbol_of(Unit::ohm), "Ω");
}

}  // namespace
}  // namespace etchback::base
