// What holds for every quantity: printing and reading are inverse, and no text can do harm.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <random>

#include "base/quantity.h"

namespace etchback::base {
namespace {

constexpr std::array units = {
    Unit::none,   Unit::ohm,   Unit::farad,  Unit::henry,       Unit::volt,
    Unit::ampere, Unit::watt,  Unit::hertz,  Unit::volt_ampere, Unit::var,
    Unit::second, Unit::metre, Unit::degree, Unit::celsius,     Unit::percent,
    Unit::joule,  Unit::lumen, Unit::lux,    Unit::ampere_hour, Unit::ampere_squared_second,
    Unit::gram,
};

// `value` rounded to `digits` significant digits, by another road than the printer's.
double rounded(double value, int digits) {
    const double scale = std::pow(10.0, digits - 1 - std::floor(std::log10(std::fabs(value))));
    return std::round(value * scale) / scale;
}

TEST(QuantityInvariant, WhatIsPrintedReadsBackToTheDigitsPrinted) {
    std::mt19937_64 random(20260314);
    std::uniform_real_distribution<double> mantissa(1.0, 10.0);
    for (const Unit unit : units) {
        for (int decade = -15; decade <= 14; ++decade) {
            for (int digits = 1; digits <= 9; ++digits) {
                const double value = mantissa(random) * std::pow(10.0, decade);
                const std::string text =
                    to_engineering(value, unit, {.digits = digits, .keep_zeros = digits % 2 == 0});
                const auto read = parse_quantity(text, unit);
                ASSERT_TRUE(read) << text << ": " << to_string(read.errors().front());
                ASSERT_EQ(read->unit, unit) << text;
                ASSERT_NEAR(read->value,
                            rounded(value, digits),
                            std::fabs(value) * 1.001 * std::pow(10.0, -digits))
                    << text;
                // Printing what was read changes nothing any more.
                ASSERT_EQ(to_engineering(
                              read->value, unit, {.digits = digits, .keep_zeros = digits % 2 == 0}),
                          text);
            }
        }
    }
}

TEST(QuantityInvariant, SeventeenDigitsReadBackAsTheSameDouble) {
    std::mt19937_64 random(7);
    std::uniform_real_distribution<double> exponent(-9.0, 9.0);
    for (int i = 0; i < 2000; ++i) {
        const double value = std::pow(10.0, exponent(random)) * (i % 2 == 0 ? 1 : -1);
        const std::string text = to_engineering(value, Unit::volt, {.digits = 17});
        ASSERT_EQ(parse_quantity(text)->value, value) << text;
    }
}

TEST(QuantityInvariant, RkmCodesReadBackToTheDigitsPrinted) {
    std::mt19937_64 random(62);
    std::uniform_real_distribution<double> mantissa(1.0, 10.0);
    for (const Unit unit : {Unit::ohm, Unit::farad}) {
        for (int decade = unit == Unit::ohm ? -3 : -13; decade <= 2; ++decade) {
            for (int digits = 1; digits <= 5; ++digits) {
                const double value = mantissa(random) * std::pow(10.0, decade);
                const std::string code = to_rkm(value, unit, digits);
                const auto read = parse_quantity(code, unit);
                ASSERT_TRUE(read) << code << ": " << to_string(read.errors().front());
                ASSERT_NEAR(read->value, value, value * 0.501 * std::pow(10.0, 1 - digits)) << code;
            }
        }
    }
}

// Letters, signs and scraps of UTF-8 that a reader of quantities takes particular notice of.
std::string scrap(std::mt19937_64& random) {
    static const std::vector<std::string> pieces = {
        "0",    "1",    "4",        "7", "000",    ".",   ",",   "..", "...", "-",    "+", "/",
        "+-",   "±",    "e",        "E", "k",      "K",   "M",   "m",  "u",   "µ",    "n", "p",
        "G",    "R",    "F",        "H", "V",      "A",   "W",   "Hz", "ohm", "Ω",    "%", "°C",
        "°",    "A2s",  "²",        " ", "\u00A0", "to ", "or ", "(",  ")",   "~",    "=", "^",
        "\xC2", "\xFF", "\xE2\x80", "x", "meg",    "h",   "min", "e9", "e-9", "e400", "–",
    };
    std::string text = random() % 2 == 0 ? std::to_string(random() % 300) : "";
    const std::size_t count = random() % 7;
    for (std::size_t i = 0; i < count; ++i) {
        text += random() % 12 == 0 ? std::string(1, static_cast<char>(random() % 256))
                                   : pieces[random() % pieces.size()];
    }
    return text;
}

TEST(QuantityInvariant, NoTextCanDoHarm) {
    std::mt19937_64 random(10000);
    int understood = 0;
    for (int i = 0; i < 10000; ++i) {
        const std::string text = scrap(random);
        const Unit expected = units[random() % units.size()];
        const auto read = parse_quantity(text, i % 2 == 0 ? Unit::none : expected);
        if (!read) {
            ASSERT_EQ(read.errors().size(), 1U) << text;
            ASSERT_FALSE(read.errors().front().what.empty()) << text;
            ASSERT_FALSE(read.errors().front().todo.empty()) << text;
            continue;
        }
        ++understood;
        ASSERT_TRUE(std::isfinite(read->value) && std::isfinite(read->low) &&
                    std::isfinite(read->high))
            << text;
        ASSERT_LE(read->low, read->high) << text;
        const std::string printed = to_text(*read, {.digits = 17});
        const auto again = parse_quantity(printed, read->unit);
        ASSERT_TRUE(again) << text << " -> " << printed << ": "
                           << to_string(again.errors().front());
        ASSERT_EQ(again->value, read->value) << text << " -> " << printed;
        ASSERT_EQ(again->low, read->low) << text << " -> " << printed;
        ASSERT_EQ(again->high, read->high) << text << " -> " << printed;
    }
    EXPECT_GT(understood, 300);  // else the scraps would test the refusals only
}

TEST(QuantityInvariant, RandomBytesAreRefusedOrFinite) {
    std::mt19937_64 random(99);
    for (int i = 0; i < 10000; ++i) {
        std::string text;
        for (std::size_t length = random() % 24; length > 0; --length) {
            text += static_cast<char>(random() % 256);
        }
        const auto read = parse_quantity(text);
        ASSERT_TRUE(!read || std::isfinite(read->value));
    }
}

}  // namespace
}  // namespace etchback::base
