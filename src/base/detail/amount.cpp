// Prefix and unit of a term, and its number.
#include <fmt/format.h>

#include <charconv>
#include <cmath>

#include "base/detail/plain_text.h"
#include "base/detail/term.h"
#include "base/detail/unit_table.h"

namespace etchback::base {
namespace {

// Beyond these, nothing on a circuit board can be: a slip of the pen.
constexpr double largest = 1e30;
constexpr double smallest = 1e-30;

struct Meaning {
    Unit unit = Unit::none;
    char prefix = '\0';
    double factor = 1.0;  // of units that are no SI unit: a minute has 60 s
};

std::string small(std::string_view text) {
    std::string result(text);
    for (char& c : result) {
        c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    }
    return result;
}

bool has_word(std::string_view words, std::string_view word) {
    for (std::size_t at = 0; at < words.size();) {
        const std::size_t end = std::min(words.find(' ', at), words.size());
        if (words.substr(at, end - at) == word) {
            return true;
        }
        at = end + 1;
    }
    return false;
}

std::optional<Meaning> unit_spelled(std::string_view text, bool any_case, Unit expected) {
    if (text == "h" || text == "hour" || text == "hours") {
        return Meaning{.unit = Unit::second, .factor = 3600.0};
    }
    if (text == "min" || text == "minute" || text == "minutes") {
        return Meaning{.unit = Unit::second, .factor = 60.0};
    }
    if ((text == "C" || text == "deg") && expected == Unit::celsius) {
        return Meaning{.unit = Unit::celsius};
    }
    if (text == "E" && expected == Unit::ohm) {
        return Meaning{.unit = Unit::ohm};
    }
    if (text == "L" && expected == Unit::ohm) {
        return Meaning{.unit = Unit::ohm, .prefix = 'm'};
    }
    for (const UnitRow& row : unit_rows()) {
        if (any_case ? has_word(row.any_case, small(text)) : !text.empty() && row.exact == text) {
            // A lone m is a metre only where a length is expected: else it may be milli.
            if (text != "m" || expected == Unit::metre) {
                return Meaning{.unit = row.unit};
            }
        }
    }
    return std::nullopt;
}

std::optional<Meaning> prefixed(std::string_view text, bool any_case, Unit expected) {
    if (!exponent_of(text.front())) {
        return std::nullopt;
    }
    const std::string_view rest = text.substr(1);
    if (rest == "m") {
        return Meaning{.unit = Unit::metre, .prefix = text.front()};
    }
    auto meaning = unit_spelled(rest, any_case, expected);
    if (!meaning || meaning->factor != 1.0 || meaning->prefix != '\0') {
        // No milli-hours: `mh` is a carelessly written millihenry.
        return any_case && small(rest) == "h"
                   ? std::optional<Meaning>(Meaning{.unit = Unit::henry, .prefix = text.front()})
                   : std::nullopt;
    }
    meaning->prefix = text.front();
    return meaning;
}

// Exact spelling goes before careless spelling, whole units before prefix and unit.
std::optional<Meaning> meaning_of(std::string_view suffix, Unit expected) {
    if (suffix.empty()) {
        return Meaning{};
    }
    for (const bool any_case : {false, true}) {
        if (auto found = unit_spelled(suffix, any_case, expected)) {
            return found;
        }
        if (auto found = prefixed(suffix, any_case, expected)) {
            return found;
        }
    }
    if (suffix.size() == 1 && exponent_of(suffix.front())) {
        return Meaning{.unit = Unit::none, .prefix = suffix.front()};
    }
    if (small(suffix).starts_with("meg")) {
        auto rest = meaning_of(suffix.substr(3), expected);
        if (rest && rest->prefix == '\0') {
            rest->prefix = 'M';
            return rest;
        }
    }
    return std::nullopt;
}

// The unit or prefix that a letter in the place of the decimal point gives.
Meaning meaning_of_letter(char letter) {
    switch (letter) {
        case '\0':
            return {};
        case 'R':
        case 'r':
        case 'E':
            return {.unit = Unit::ohm};
        case 'L':
            return {.unit = Unit::ohm, .prefix = 'm'};
        case 'F':
            return {.unit = Unit::farad};
        case 'V':
            return {.unit = Unit::volt};
        default:
            return {.unit = Unit::none, .prefix = letter};
    }
}

Error unknown_unit(const Term& term, const Cursor& cursor) {
    return cursor.error(
        fmt::format("{}: '{}' is no unit that is known here", quoted(cursor.written), term.suffix),
        example_for(cursor.expected) + "; tolerance and remarks have keys of their own");
}

Error two_letters(const Cursor& cursor) {
    return cursor.error(fmt::format("{} has two unit letters", quoted(cursor.written)),
                        example_for(cursor.expected) + ", with one letter for the size");
}

Error other_unit(Unit unit, const Cursor& cursor) {
    return cursor.error(fmt::format("{} is given in {}, but {} is expected",
                                    quoted(cursor.written),
                                    row_of(unit).name,
                                    row_of(cursor.expected).name),
                        example_for(cursor.expected));
}

Error lone_milli(const Cursor& cursor) {
    return cursor.error(
        fmt::format("{} is ambiguous: 'm' alone may be milli or metre", quoted(cursor.written)),
        "write the unit too, such as 10 mA or 10 mm");
}

// A lone capital K may be kelvin, and mhz is more often meant as mega than as milli.
std::optional<Error> doubtful_case(const Term& term, const Meaning& meaning, const Cursor& cursor) {
    if (meaning.unit == Unit::none && term.letter == '\0' && term.suffix == "K") {
        return cursor.error(
            fmt::format("{} is ambiguous: K may be kelvin or kilo", quoted(cursor.written)),
            "write k for kilo, or the bare number for kelvin");
    }
    if (meaning.unit == Unit::hertz && meaning.prefix == 'm' && term.letter == '\0' &&
        term.suffix != "mHz") {
        return cursor.error(
            fmt::format("{} is ambiguous: it may be milli or mega", quoted(cursor.written)),
            "write MHz or mHz");
    }
    return std::nullopt;
}

// 5 T, 12 N: where the unit is open, a capital letter is another unit, no prefix.
bool is_foreign_unit(const Term& term, const Meaning& meaning, const Cursor& cursor) {
    constexpr std::string_view prefixes = "kKMGunp";
    return meaning.unit == Unit::none && cursor.expected == Unit::none && term.letter == '\0' &&
           meaning.prefix != '\0' && prefixes.find(meaning.prefix) == std::string_view::npos;
}

// 104 of a capacitor is its marking, not 104 farads.
std::optional<Error> looks_like_marking(const Term& term, double value, const Cursor& cursor) {
    const bool large_unit = cursor.expected == Unit::farad || cursor.expected == Unit::henry;
    if (!large_unit || !term.bare() || std::fabs(value) < 1.0) {
        return std::nullopt;
    }
    return cursor.error(
        fmt::format("{} has no unit and would be in whole units of {}",
                    quoted(cursor.written),
                    row_of(cursor.expected).name),
        example_for(cursor.expected) + "; what is printed on the part goes into 'marking'");
}

// MF for mF, MA for mA, kF: the size can't be meant.
std::optional<Error> prefix_not_used(const Meaning& meaning, const Cursor& cursor) {
    const std::string_view used = row_of(meaning.unit).prefixes;
    const char prefix = usual_case(meaning.prefix);
    if (prefix == '\0' || used.find(prefix) != std::string_view::npos) {
        return std::nullopt;
    }
    const std::string_view name = row_of(meaning.unit).name;
    return cursor.error(fmt::format("{} would be in {}-{}, which nobody uses",
                                    quoted(cursor.written),
                                    word_of(prefix),
                                    name),
                        prefix == 'M'
                            ? fmt::format("write a small m for milli or u for micro, such as {}",
                                          row_of(meaning.unit).example)
                            : example_for(meaning.unit));
}

Result<Meaning> meaning_of(const Term& term, const Cursor& cursor) {
    const auto suffix = meaning_of(term.suffix, cursor.expected);
    const Meaning letter = meaning_of_letter(term.letter);
    if (!suffix) {
        return unknown_unit(term, cursor);
    }
    if ((letter.prefix != '\0' && suffix->prefix != '\0') ||
        (letter.unit != Unit::none && suffix->unit != Unit::none && letter.unit != suffix->unit) ||
        (letter.unit != Unit::none && suffix->prefix != '\0')) {
        return two_letters(cursor);
    }
    Meaning both = *suffix;
    both.prefix = letter.prefix != '\0' ? letter.prefix : suffix->prefix;
    both.unit = letter.unit != Unit::none ? letter.unit : suffix->unit;
    if (both.unit == Unit::none && term.milli_or_metre() && cursor.expected == Unit::none) {
        return lone_milli(cursor);
    }
    if (is_foreign_unit(term, both, cursor)) {
        return unknown_unit(term, cursor);
    }
    if (both.unit == Unit::none) {
        both.unit = cursor.expected;
    }
    if (auto error = doubtful_case(term, both, cursor)) {
        return *error;
    }
    return both;
}

}  // namespace

Result<Amount> amount_of(const Term& term, const Cursor& cursor) {
    const auto meaning = meaning_of(term, cursor);
    if (!meaning) {
        return meaning.errors();
    }
    if (cursor.expected != Unit::none && meaning->unit != cursor.expected) {
        return other_unit(meaning->unit, cursor);
    }
    if (auto error = prefix_not_used(*meaning, cursor)) {
        return *error;
    }
    // The power of ten goes into the text, so that 4k7 and 4.7e3 are the same double.
    const int power = meaning->prefix == '\0' ? 0 : exponent_of(meaning->prefix).value_or(0);
    std::string number = term.mantissa;
    const std::size_t e = number.find('e');
    if (e == std::string::npos) {
        number += fmt::format("e{}", power);
    } else {
        int written = 0;
        const char* begin = number.data() + e + (number[e + 1] == '+' ? 2 : 1);
        const auto read = std::from_chars(begin, number.data() + number.size(), written);
        const bool huge = read.ec != std::errc() || written > 1000 || written < -1000;
        number = fmt::format("{}e{}", number.substr(0, e), huge ? 1000 : written + power);
    }
    double value = 0.0;
    const auto read = std::from_chars(number.data(), number.data() + number.size(), value);
    value *= meaning->factor;
    const double size = std::fabs(value);
    const bool fits =
        read.ec == std::errc() && (size == 0.0 || (size > smallest && size < largest));
    if (!fits) {
        return cursor.error(fmt::format("{} is out of all proportion", quoted(cursor.written)),
                            "check the power of ten");
    }
    if (auto error = looks_like_marking(term, value, cursor)) {
        return *error;
    }
    return Amount{value, meaning->unit};
}

}  // namespace etchback::base
