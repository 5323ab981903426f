// Quantities as they are printed.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "base/detail/unit_table.h"

namespace etchback::base {
namespace {

constexpr std::string_view hard_space = "\u00A0";

// A number as digits and a power of ten: 0.0047 is 47 and first exponent -3. Rounded to `count`
// digits once, so that 999.96 becomes 1.00 thousand and not 1000.
struct Digits {
    std::string digits;  // as many as asked for, the first not 0
    int exponent = 0;    // of the first digit
};

Digits digits_of(double size, int count) {
    const std::string text = fmt::format("{:.{}e}", size, count - 1);
    const std::size_t e = text.find('e');
    Digits result;
    for (const char c : text.substr(0, e)) {
        if (c != '.') {
            result.digits += c;
        }
    }
    const char* begin = text.data() + e + (text[e + 1] == '+' ? 2 : 1);
    std::from_chars(begin, text.data() + text.size(), result.exponent);
    return result;
}

// The digits with the decimal point behind `before` of them: 47, before -1 is 0.047.
std::string pointed(const Digits& number, int before, std::string_view point, bool keep_zeros) {
    std::string digits = number.digits;
    if (before <= 0) {
        digits.insert(0, static_cast<std::size_t>(1 - before), '0');
        before = 1;
    }
    const std::size_t whole = static_cast<std::size_t>(before);
    if (digits.size() < whole) {
        digits.append(whole - digits.size(), '0');
    }
    std::string decimals = digits.substr(whole);
    while (!keep_zeros && !decimals.empty() && decimals.back() == '0') {
        decimals.pop_back();
    }
    digits.resize(whole);
    return decimals.empty() ? digits : fmt::format("{}{}{}", digits, point, decimals);
}

// The prefixes in which a unit is printed: a plain number has none, and nobody prints centimetres.
bool prints_with(const UnitRow& row, char prefix) {
    return row.unit != Unit::none && prefix != 'c' &&
           row.prefixes.find(prefix) != std::string_view::npos;
}

struct Scale {
    char prefix = '\0';
    int exponent = 0;
};

// The scale that leaves one to three digits before the point, or the nearest that the unit has.
Scale scale_for(const UnitRow& row, int exponent) {
    // Common practice: capacitances are not written in millifarads.
    if (row.unit == Unit::farad && exponent >= -3 && exponent < 0) {
        return {'u', -6};
    }
    Scale best;
    int distance = 1000;
    for (const char prefix : {'\0', 'p', 'n', 'u', 'm', 'k', 'M', 'G', 'T'}) {
        if (prefix != '\0' && !prints_with(row, prefix)) {
            continue;
        }
        const int power = prefix == '\0' ? 0 : exponent_of(prefix).value_or(0);
        const int before = exponent - power;  // 0..2 is what we want
        const int off = before < 0 ? -before : std::max(0, before - 2);
        if (off < distance) {
            distance = off;
            best = {prefix, power};
        }
    }
    return best;
}

std::string_view printed_prefix(char prefix) {
    switch (prefix) {
        case '\0':
            return "";
        case 'p':
            return "p";
        case 'n':
            return "n";
        case 'u':
            return "µ";
        case 'm':
            return "m";
        case 'k':
            return "k";
        case 'M':
            return "M";
        case 'G':
            return "G";
        default:
            return "T";
    }
}

std::string with_unit(std::string number, std::string_view prefix, const UnitRow& row) {
    if (row.unit == Unit::none) {
        return number;
    }
    const std::string_view space = row.unit == Unit::degree ? std::string_view{} : hard_space;
    return fmt::format("{}{}{}{}", number, space, prefix, row.symbol);
}

bool has_code(Unit unit, double size) {
    return (unit == Unit::ohm && size < 999.5e12 && size > 1e-4) ||
           (unit == Unit::farad && size < 999.5 && size > 1e-15);
}

std::string_view code_letter(const Scale& scale, Unit unit) {
    if (scale.prefix == '\0') {
        return unit == Unit::ohm ? "R" : "F";
    }
    return printed_prefix(scale.prefix);
}

}  // namespace

std::string to_engineering(double value, Unit unit, Engineering style) {
    const UnitRow& row = row_of(unit);
    if (!std::isfinite(value)) {
        return with_unit(std::isnan(value) ? "?" : value > 0 ? "∞" : "-∞", "", row);
    }
    const std::string_view sign = value < 0 ? "-" : "";
    if (value == 0.0) {
        return with_unit("0", "", row);
    }
    const Digits number = digits_of(std::fabs(value), std::clamp(style.digits, 1, 17));
    const Scale scale = scale_for(row, number.exponent);
    const int before = number.exponent - scale.exponent + 1;
    if (before > 7 || before < -5) {
        return with_unit(
            fmt::format(
                "{}{}e{}", sign, pointed(number, 1, ".", style.keep_zeros), number.exponent),
            "",
            row);
    }
    return with_unit(fmt::format("{}{}", sign, pointed(number, before, ".", style.keep_zeros)),
                     printed_prefix(scale.prefix),
                     row);
}

std::string to_text(const Quantity& quantity, Engineering style) {
    const auto print = [&](double value) { return to_engineering(value, quantity.unit, style); };
    if (!quantity.choices.empty()) {
        std::string text;
        for (const double choice : quantity.choices) {
            text += (text.empty() ? "" : " or ") + print(choice);
        }
        return text;
    }
    if (quantity.exact()) {
        return print(quantity.value);
    }
    const std::string limits = fmt::format("{} to {}", print(quantity.low), print(quantity.high));
    return quantity.nominal ? fmt::format("{} ({})", print(quantity.value), limits) : limits;
}

std::string to_rkm(double value, Unit unit, int digits) {
    if (value == 0.0 && unit == Unit::ohm) {
        return "0R";
    }
    const bool finite = std::isfinite(value) && value > 0;
    if (!finite || !has_code(unit, value)) {
        return to_engineering(value, unit, {.digits = digits});
    }
    const Digits number = digits_of(value, std::clamp(digits, 1, 17));
    Scale scale = scale_for(row_of(unit), number.exponent);
    if (unit == Unit::ohm && scale.exponent < 0) {
        scale = {};  // below one ohm the letter stays R: 0R22
    }
    const std::string_view letter = code_letter(scale, unit);
    const std::string text = pointed(number, number.exponent - scale.exponent + 1, letter, false);
    const std::size_t point = text.find(letter);
    if (point == std::string::npos) {
        return text + std::string(letter);
    }
    const bool too_long = text.size() - point - letter.size() > 3;  // no code has so many digits
    return too_long ? to_engineering(value, unit, {.digits = digits}) : text;
}

}  // namespace etchback::base
