#include "base/quantity.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace etchback::base {
namespace {

struct Reads {
    std::string_view text;
    Unit expected;
    double value;
    Unit unit;
};
void PrintTo(const Reads& r, std::ostream* out) {
    *out << r.text;
}

class QuantityReads : public testing::TestWithParam<Reads> {};

TEST_P(QuantityReads, AsAPersonMeantIt) {
    const Reads& wanted = GetParam();
    const auto read = parse_quantity(wanted.text, wanted.expected);
    ASSERT_TRUE(read) << to_string(read.errors().front());
    EXPECT_DOUBLE_EQ(read->value, wanted.value);
    EXPECT_EQ(read->unit, wanted.unit);
    EXPECT_EQ(read->low, read->value);
    EXPECT_EQ(read->high, read->value);
    EXPECT_TRUE(read->choices.empty());
}

INSTANTIATE_TEST_SUITE_P(Resistances,
                         QuantityReads,
                         testing::Values(Reads{"4k7", Unit::ohm, 4700, Unit::ohm},
                                         Reads{"4K7", Unit::ohm, 4700, Unit::ohm},
                                         Reads{"5R9", Unit::ohm, 5.9, Unit::ohm},
                                         Reads{"R47", Unit::ohm, 0.47, Unit::ohm},
                                         Reads{"R47", Unit::none, 0.47, Unit::ohm},
                                         Reads{"0R22", Unit::ohm, 0.22, Unit::ohm},
                                         Reads{"0R", Unit::ohm, 0, Unit::ohm},
                                         Reads{"4L7", Unit::ohm, 0.0047, Unit::ohm},
                                         Reads{"1M5", Unit::ohm, 1.5e6, Unit::ohm},
                                         Reads{"1M", Unit::ohm, 1e6, Unit::ohm},
                                         Reads{"1m", Unit::ohm, 1e-3, Unit::ohm},
                                         Reads{"1meg", Unit::ohm, 1e6, Unit::ohm},
                                         Reads{"2.2 Megohm", Unit::ohm, 2.2e6, Unit::ohm},
                                         Reads{"4.7 MΩ", Unit::ohm, 4.7e6, Unit::ohm},
                                         Reads{"4.7 M\u2126", Unit::ohm, 4.7e6, Unit::ohm},
                                         Reads{"4k7 Ω", Unit::ohm, 4700, Unit::ohm},
                                         Reads{"470Ω", Unit::none, 470, Unit::ohm},
                                         Reads{"470R", Unit::none, 470, Unit::ohm},
                                         Reads{"470E", Unit::ohm, 470, Unit::ohm},
                                         Reads{"470", Unit::ohm, 470, Unit::ohm},
                                         Reads{"1.5k", Unit::ohm, 1500, Unit::ohm},
                                         Reads{"10 kOhm", Unit::ohm, 10e3, Unit::ohm},
                                         Reads{"10k ohms", Unit::none, 10e3, Unit::ohm},
                                         Reads{"4e7", Unit::ohm, 4e7, Unit::ohm}));

INSTANTIATE_TEST_SUITE_P(CapacitancesAndInductances,
                         QuantityReads,
                         testing::Values(Reads{"2n2", Unit::farad, 2.2e-9, Unit::farad},
                                         Reads{"100n", Unit::farad, 100e-9, Unit::farad},
                                         Reads{"p68", Unit::farad, 0.68e-12, Unit::farad},
                                         Reads{"n47", Unit::farad, 0.47e-9, Unit::farad},
                                         Reads{"4µ7", Unit::farad, 4.7e-6, Unit::farad},
                                         Reads{"4\u03BC7F", Unit::farad, 4.7e-6, Unit::farad},
                                         Reads{"4.7uF", Unit::none, 4.7e-6, Unit::farad},
                                         Reads{"4,7 µF", Unit::none, 4.7e-6, Unit::farad},
                                         Reads{"4.7\u202FμF", Unit::none, 4.7e-6, Unit::farad},
                                         Reads{"0,001 µF", Unit::none, 1e-9, Unit::farad},
                                         Reads{".1 UF", Unit::farad, 0.1e-6, Unit::farad},
                                         Reads{"220 PF", Unit::farad, 220e-12, Unit::farad},
                                         Reads{"1F0", Unit::farad, 1.0, Unit::farad},
                                         Reads{"1 mH", Unit::henry, 1e-3, Unit::henry},
                                         Reads{"1.5 mH", Unit::none, 1.5e-3, Unit::henry},
                                         Reads{"10 uh", Unit::henry, 10e-6, Unit::henry}));

INSTANTIATE_TEST_SUITE_P(
    OtherUnits,
    QuantityReads,
    testing::Values(Reads{"12V", Unit::none, 12, Unit::volt},
                    Reads{"12v", Unit::none, 12, Unit::volt},
                    Reads{"4V7", Unit::volt, 4.7, Unit::volt},
                    Reads{"230 VAC", Unit::volt, 230, Unit::volt},
                    Reads{"230 V AC", Unit::volt, 230, Unit::volt},
                    Reads{"230 V~", Unit::volt, 230, Unit::volt},
                    Reads{"1 kV", Unit::none, 1000, Unit::volt},
                    Reads{"350 mA", Unit::none, 0.35, Unit::ampere},
                    Reads{"350 ma", Unit::none, 0.35, Unit::ampere},
                    Reads{"3.6 W", Unit::none, 3.6, Unit::watt},
                    Reads{"1/4 W", Unit::watt, 0.25, Unit::watt},
                    Reads{"105 °C", Unit::none, 105, Unit::celsius},
                    Reads{"-40 °C", Unit::none, -40, Unit::celsius},
                    Reads{"\u221240 \u2103", Unit::none, -40, Unit::celsius},
                    Reads{"85C", Unit::celsius, 85, Unit::celsius},
                    Reads{"5 %", Unit::none, 5, Unit::percent},
                    Reads{"\u00B15 %", Unit::percent, 5, Unit::percent},
                    Reads{"1.2 A2s", Unit::none, 1.2, Unit::ampere_squared_second},
                    Reads{"1.2 A²s", Unit::none, 1.2, Unit::ampere_squared_second},
                    Reads{"12 A²·s", Unit::none, 12, Unit::ampere_squared_second},
                    Reads{"1200 mAh", Unit::none, 1.2, Unit::ampere_hour},
                    Reads{"2 kHz", Unit::none, 2000, Unit::hertz},
                    Reads{"2000 hours", Unit::second, 7.2e6, Unit::second},
                    Reads{"85°", Unit::celsius, 85, Unit::celsius},
                    Reads{"1 mHz", Unit::hertz, 1e-3, Unit::hertz},
                    Reads{"3 min", Unit::none, 180, Unit::second},
                    Reads{"2.5 mm", Unit::none, 2.5e-3, Unit::metre},
                    Reads{"2 m", Unit::metre, 2, Unit::metre},
                    Reads{"1 mm", Unit::metre, 1e-3, Unit::metre},
                    Reads{"1e-6", Unit::none, 1e-6, Unit::none},
                    Reads{"1E-6 F", Unit::none, 1e-6, Unit::farad},
                    Reads{"0.92", Unit::none, 0.92, Unit::none},
                    Reads{"  12\u00A0V ", Unit::volt, 12, Unit::volt}));

struct Span {
    std::string_view text;
    double value;
    double low;
    double high;
    Unit unit;
    bool nominal;
};
void PrintTo(const Span& s, std::ostream* out) {
    *out << s.text;
}

class QuantityLimits : public testing::TestWithParam<Span> {};

TEST_P(QuantityLimits, AreReadAndReadBack) {
    const Span& wanted = GetParam();
    const auto read = parse_quantity(wanted.text);
    ASSERT_TRUE(read) << to_string(read.errors().front());
    EXPECT_DOUBLE_EQ(read->value, wanted.value);
    EXPECT_DOUBLE_EQ(read->low, wanted.low);
    EXPECT_DOUBLE_EQ(read->high, wanted.high);
    EXPECT_EQ(read->unit, wanted.unit);
    EXPECT_EQ(read->nominal, wanted.nominal);

    const auto again = parse_quantity(to_text(*read, {.digits = 9}));
    ASSERT_TRUE(again) << to_text(*read);
    EXPECT_EQ(*again, *read) << to_text(*read);
}

INSTANTIATE_TEST_SUITE_P(Ranges,
                         QuantityLimits,
                         testing::Values(Span{"85-265 V", 175, 85, 265, Unit::volt, false},
                                         Span{"85–265 V", 175, 85, 265, Unit::volt, false},
                                         Span{"85 - 265V", 175, 85, 265, Unit::volt, false},
                                         Span{"85 V - 265 V", 175, 85, 265, Unit::volt, false},
                                         Span{"85...265 V", 175, 85, 265, Unit::volt, false},
                                         Span{"85 … 265 V", 175, 85, 265, Unit::volt, false},
                                         Span{"85~265 V~", 175, 85, 265, Unit::volt, false},
                                         Span{"85 to 265 V", 175, 85, 265, Unit::volt, false},
                                         Span{"100m-2 V", 1.05, 0.1, 2, Unit::volt, false},
                                         Span{"1-2 kHz", 1500, 1000, 2000, Unit::hertz, false},
                                         Span{"-40...85 °C", 22.5, -40, 85, Unit::celsius, false},
                                         Span{
                                             "-40 - -20 °C", -30, -40, -20, Unit::celsius, false}));

INSTANTIATE_TEST_SUITE_P(
    Tolerances,
    QuantityLimits,
    testing::Values(Span{"230 V ±10 %", 230, 207, 253, Unit::volt, true},
                    Span{"230 V +/- 10%", 230, 207, 253, Unit::volt, true},
                    Span{"12 V ± 0.5 V", 12, 11.5, 12.5, Unit::volt, true},
                    Span{"12 ± 0.5 V", 12, 11.5, 12.5, Unit::volt, true},
                    Span{"12 V ± 500 mV", 12, 11.5, 12.5, Unit::volt, true},
                    Span{"50 % ± 5 %", 50, 45, 55, Unit::percent, true},
                    Span{"230 V (200 V to 240 V)", 230, 200, 240, Unit::volt, true}));

TEST(Quantity, KeepsChoicesInTheirOrder) {
    const auto read = parse_quantity("50/60 Hz");
    ASSERT_TRUE(read);
    EXPECT_EQ(read->value, 50);
    EXPECT_EQ(read->low, 50);
    EXPECT_EQ(read->high, 60);
    EXPECT_THAT(read->choices, testing::ElementsAre(50, 60));
    EXPECT_EQ(to_text(*read), "50\u00A0Hz or 60\u00A0Hz");
    EXPECT_EQ(*parse_quantity(to_text(*read)), *read);
    EXPECT_THAT(parse_quantity("-25 or 85 °C")->choices, testing::ElementsAre(-25, 85));
    EXPECT_THAT(parse_quantity("85/105 °C")->choices, testing::ElementsAre(85, 105));
    EXPECT_THAT(parse_quantity("400/50/60 Hz")->choices, testing::ElementsAre(400, 50, 60));
}

TEST(Quantity, TakesTheUnitThatIsExpected) {
    EXPECT_EQ(parse_quantity("85-265", Unit::volt)->unit, Unit::volt);
    EXPECT_EQ(parse_quantity("10k ± 5 %", Unit::ohm)->high, 10500);
}

struct Fails {
    std::string_view text;
    Unit expected;
    std::string_view what;
    std::string_view todo;
};
void PrintTo(const Fails& f, std::ostream* out) {
    *out << f.text;
}

class QuantityRefuses : public testing::TestWithParam<Fails> {};

TEST_P(QuantityRefuses, WithReasonAndRemedy) {
    const auto read = parse_quantity(GetParam().text, GetParam().expected);
    ASSERT_FALSE(read) << read->value << " " << name_of(read->unit);
    ASSERT_EQ(read.errors().size(), 1U);
    EXPECT_THAT(read.errors().front().what, testing::HasSubstr(std::string(GetParam().what)));
    EXPECT_THAT(read.errors().front().todo, testing::HasSubstr(std::string(GetParam().todo)));
}

INSTANTIATE_TEST_SUITE_P(
    BadInput,
    QuantityRefuses,
    testing::Values(
        Fails{"1N4007", Unit::none, "'N' is no unit", "such as"},
        Fails{"2N3904", Unit::ampere, "goes on with '3904'", "one quantity"},
        Fails{"1n4007", Unit::farad, "more digits behind its letter", "'type'"},
        Fails{"3000 K", Unit::none, "kelvin or kilo", "bare number"},
        Fails{"5 T", Unit::none, "'T' is no unit", "such as"},
        Fails{"104", Unit::farad, "has no unit", "'marking'"},
        Fails{"100", Unit::henry, "has no unit", "1.5 mH"},
        Fails{"1 mhz", Unit::hertz, "milli or mega", "MHz"},
        Fails{"2 MW", Unit::watt, "mega-watt", "small m"},
        Fails{"-25/+85 °C", Unit::celsius, "range or a choice", "to"},
        Fails{"T1A", Unit::ampere, "no number", "before a number"},
        Fails{"10uF 50V", Unit::farad, "goes on with '50V'", "keys of their own"},
        Fails{"4k7 1%", Unit::ohm, "goes on with '1%'", "keys of their own"},
        Fails{"", Unit::ohm, "is empty", "4k7"},
        Fails{"   ", Unit::none, "is empty", "4.7 uF"},
        Fails{"abc", Unit::farad, "no number", "100n"},
        Fails{"nan", Unit::none, "no number", "such as"},
        Fails{"inf", Unit::none, "no number", "such as"},
        Fails{"4k7k", Unit::ohm, "two unit letters", "4k7"},
        Fails{"4k7 kohm", Unit::ohm, "two unit letters", "4k7"},
        Fails{"4R7F", Unit::none, "two unit letters", "one letter"},
        Fails{"4..7k", Unit::ohm, "decimal point too many", "one decimal point"},
        Fails{"4.7.1", Unit::ohm, "decimal point too many", "one decimal point"},
        Fails{"1,000", Unit::ohm, "ambiguous", "write 1000 for thousands or 1.000 for decimals"},
        Fails{"12,500 V", Unit::volt, "ambiguous", "12500"},
        Fails{"1,000,000", Unit::ohm, "decimal point too many", "no marks between thousands"},
        Fails{"1.000,5", Unit::ohm, "decimal point too many", "no marks between thousands"},
        Fails{"1 000", Unit::ohm, "thousands parted", "write 1000"},
        Fails{"1\u202F000 µF", Unit::farad, "thousands parted", "write 1000"},
        Fails{"4 7k", Unit::ohm, "space inside", "one piece"},
        Fails{"1e400", Unit::none, "out of all proportion", "power of ten"},
        Fails{"1e-400", Unit::none, "out of all proportion", "power of ten"},
        Fails{"1e99999999999999999999", Unit::none, "out of all proportion", "power of ten"},
        Fails{"4E7", Unit::ohm, "ambiguous", "4R7"},
        Fails{"10m", Unit::none, "ambiguous", "10 mA"},
        Fails{"1/2 V", Unit::volt, "fraction or a choice", "0.5"},
        Fails{"1 MF", Unit::farad, "mega-farad", "small m for milli"},
        Fails{"350 MA", Unit::ampere, "mega-ampere", "350 mA"},
        Fails{"5 kg", Unit::ohm, "given in gram, but ohm is expected", "4k7"},
        Fails{"12 V", Unit::ampere, "given in volt, but ampere is expected", "350 mA"},
        Fails{"12 parsec", Unit::none, "'parsec' is no unit", "such as"},
        Fails{"4k7J", Unit::ohm, "", "4k7"},
        Fails{"265-85 V", Unit::volt, "from the larger", "85-265 V"},
        Fails{"85 V - 265 W", Unit::none, "mixes volt and watt", "one unit"},
        Fails{"85-", Unit::volt, "ends where a number", "12 V"},
        Fails{"230 V ± 120 %", Unit::volt, "tolerance that cannot be", "100 %"},
        Fails{"230 V (", Unit::volt, "ends where a number", "12 V"},
        Fails{"230 V (1 V to 2 V)", Unit::volt, "not within its limits", "207 V"},
        Fails{"230 V (200 V to 240 V", Unit::volt, "closing bracket", "207 V"},
        Fails{"50 Hz 60", Unit::hertz, "goes on with", "one quantity"},
        Fails{"4k7\u2603", Unit::ohm, "U+2603", "digits"},
        Fails{"4k7\xFF", Unit::ohm, "no UTF-8", "UTF-8"},
        Fails{std::string_view("4k7\0", 4), Unit::ohm, "invisible character U+0000", "digits"}));

TEST(Quantity, RefusesOverlongText) {
    const auto read = parse_quantity(std::string(5000, '1'), Unit::ohm);
    ASSERT_FALSE(read);
    EXPECT_THAT(read.errors().front().what, testing::HasSubstr("5000 bytes"));
}

}  // namespace
}  // namespace etchback::base
