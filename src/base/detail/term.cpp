#include "base/detail/term.h"

#include <fmt/format.h>

#include "base/detail/plain_text.h"
#include "base/detail/unit_table.h"

namespace etchback::base {
namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}
bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

// Letters that stand for the decimal point, or before it (R47). Where the unit is open, only those
// that cannot be part of a type's name: 1N4007 is no quantity. E for R is an older habit, L
// (milliohm) a rare one: both only where a resistance is expected.
std::string_view code_letters(Unit expected, bool leading) {
    switch (expected) {
        case Unit::ohm:
            return leading ? "RrkKMGTEL" : "RrkKMGTmunpEL";
        case Unit::farad:
            return leading ? "pPnNuUmF" : "pPnNuUmkKMF";
        case Unit::henry:
            return leading ? "mnu" : "pPnNuUmkKM";
        case Unit::none:
            return leading ? "RkMpnu" : "RrkKMGmunpFV";
        default:
            return leading ? "" : "kKMmunpV";
    }
}

bool is_code_letter(char c, Unit expected, bool leading) {
    return code_letters(expected, leading).find(c) != std::string_view::npos;
}

std::string digits_at(Cursor& cursor) {
    std::string digits;
    for (; is_digit(cursor.peek()); ++cursor.at) {
        digits += cursor.peek();
    }
    return digits;
}

// 1,000 and 1 000: the person may mean a thousand, or one with three decimals.
std::optional<Error> thousands(const Cursor& cursor, const std::string& whole) {
    const char sign = cursor.peek();
    const bool another = cursor.peek(4) == ',' || cursor.peek(4) == '.';  // surely too many
    const bool grouped = !another && (sign == ',' || sign == ' ' || sign == '\'' || sign == '_') &&
                         is_digit(cursor.peek(1)) && is_digit(cursor.peek(2)) &&
                         is_digit(cursor.peek(3)) && !is_digit(cursor.peek(4)) && !whole.empty() &&
                         whole.size() <= 3 && whole != "0";
    const std::string group = grouped ? std::string(cursor.plain.substr(cursor.at + 1, 3)) : "";
    if (grouped && sign == ',') {
        return cursor.error(
            fmt::format("{} is ambiguous: the comma may part thousands or decimals",
                        quoted(cursor.written)),
            fmt::format(
                "write {}{} for thousands or {}.{} for decimals", whole, group, whole, group));
    }
    if (grouped) {
        return cursor.error(fmt::format("{} has its thousands parted", quoted(cursor.written)),
                            fmt::format("write {}{} in one piece", whole, group));
    }
    return std::nullopt;
}

std::optional<Error> number_goes_wrong(const Cursor& cursor, bool has_letter) {
    const char next = cursor.peek();
    if ((next == '.' || next == ',') && cursor.plain.substr(cursor.at, 3) != "...") {
        return cursor.error(fmt::format("{} has a decimal point too many", quoted(cursor.written)),
                            "write one decimal point and no marks between thousands; "
                            "a range is written with a dash, such as 85-265 V");
    }
    if (next == ' ' && is_digit(cursor.peek(1)) && !has_letter) {
        return cursor.error(fmt::format("{} has a space inside its number", quoted(cursor.written)),
                            "write the number in one piece");
    }
    return std::nullopt;
}

// "e-6" behind a mantissa. An E without sign behind whole ohms may also be the old letter for R.
Result<std::string> exponent_at(Cursor& cursor, bool whole_number) {
    const char letter = cursor.peek();
    if (letter != 'e' && letter != 'E') {
        return std::string();
    }
    const bool has_sign = cursor.peek(1) == '-' || cursor.peek(1) == '+';
    if (!is_digit(cursor.peek(has_sign ? 2 : 1))) {
        return std::string();
    }
    if (letter == 'E' && !has_sign && whole_number && cursor.expected == Unit::ohm) {
        return cursor.error(fmt::format("{} is ambiguous: E may stand for a decimal point or for "
                                        "a power of ten",
                                        quoted(cursor.written)),
                            "write R for a decimal point (4R7) or a small e for a power (4e7)");
    }
    std::string exponent = has_sign ? std::string(1, cursor.peek(1)) : std::string();
    cursor.at += has_sign ? 2 : 1;
    exponent += digits_at(cursor);
    return exponent;
}

// The decimals behind a point or comma. A point that begins an ellipsis belongs to a range.
std::string decimals_at(Cursor& cursor) {
    const bool point = cursor.peek() == '.' || cursor.peek() == ',';
    if (!point || !is_digit(cursor.peek(1))) {
        return {};
    }
    ++cursor.at;
    return digits_at(cursor);
}

bool word_here(const Cursor& cursor, std::string_view word) {
    return cursor.plain.substr(cursor.at, word.size()) == word &&
           !is_letter(cursor.peek(word.size()));
}

// A2s is the one unit with a digit; ~ and = behind a unit (230 V~) belong to it unless a number
// follows, for then the wave stands for a range.
bool goes_on(const Cursor& cursor, const std::string& suffix) {
    const char c = cursor.peek();
    if (is_letter(c) || c == '%' || c == '^') {
        return true;
    }
    if (suffix.empty()) {
        return false;
    }
    const char last = suffix.back();
    const bool square = c == '2' && (last == 'A' || last == 'a' || last == '^');
    const bool number_follows =
        is_digit(cursor.peek(1)) || (cursor.peek(1) == ' ' && is_digit(cursor.peek(2)));
    return square || ((c == '~' || c == '=') && !number_follows);
}

bool joint_follows(const Cursor& cursor) {
    Cursor behind = cursor;
    behind.skip_space();
    return word_here(behind, "to") || word_here(behind, "or");
}

// Prefix and unit up to the next number, joint or bracket, without the spaces inside (V AC, k ohm).
std::string suffix_at(Cursor& cursor) {
    std::string suffix;
    while (!cursor.done()) {
        if (cursor.peek() == ' ') {
            const bool unit_follows = is_letter(cursor.peek(1)) || cursor.peek(1) == '%';
            if (!unit_follows || joint_follows(cursor)) {
                break;
            }
            ++cursor.at;
        } else if (goes_on(cursor, suffix)) {
            suffix += cursor.peek();
            ++cursor.at;
        } else {
            break;
        }
    }
    return suffix;
}

Error no_number(const Cursor& cursor) {
    if (cursor.done()) {
        return cursor.error(
            cursor.plain.empty()
                ? std::string("the quantity is empty")
                : fmt::format("{} ends where a number should stand", quoted(cursor.written)),
            example_for(cursor.expected));
    }
    return cursor.error(
        fmt::format("{} has no number where one should stand", quoted(cursor.written)),
        example_for(cursor.expected) + "; what is said before a number goes into a note");
}

Error too_long_code(const Cursor& cursor) {
    return cursor.error(
        fmt::format("{} has more digits behind its letter than a code has", quoted(cursor.written)),
        example_for(cursor.expected) + "; a type such as 1N4007 goes into 'type'");
}

}  // namespace

bool Cursor::take(std::string_view word) {
    if (plain.substr(at, word.size()) != word) {
        return false;
    }
    at += word.size();
    return true;
}

Error Cursor::error(std::string what, std::string todo) const {
    return {{}, std::move(what), std::move(todo)};
}

std::string example_for(Unit unit) {
    if (unit == Unit::none) {
        return "write a number with its unit, such as 4.7 uF";
    }
    return fmt::format("write it like {}", row_of(unit).example);
}

Result<Term> read_term(Cursor& cursor) {
    Term term;
    const bool minus = cursor.take("-");
    if (!minus) {
        (void)cursor.take("+");
    }
    const std::string whole = digits_at(cursor);
    if (auto error = thousands(cursor, whole)) {
        return *error;
    }
    std::string decimals;
    std::string exponent;
    const bool power = cursor.peek() == 'E' && !whole.empty();
    const bool coded = is_code_letter(cursor.peek(), cursor.expected, whole.empty());
    if (coded && !power && is_digit(cursor.peek(1))) {
        term.letter = cursor.peek();
        ++cursor.at;
        decimals = digits_at(cursor);
        if (decimals.size() > 3) {
            return too_long_code(cursor);
        }
    } else {
        decimals = decimals_at(cursor);
        if (whole.empty() && decimals.empty()) {
            return no_number(cursor);
        }
        auto read = exponent_at(cursor, decimals.empty());
        if (!read) {
            return read.errors();
        }
        exponent = *read;
    }
    if (auto error = number_goes_wrong(cursor, term.letter != '\0')) {
        return *error;
    }
    term.mantissa = fmt::format("{}{}.{}",
                                minus ? "-" : "",
                                whole.empty() ? "0" : whole,
                                decimals.empty() ? "0" : decimals);
    if (!exponent.empty()) {
        term.mantissa += "e" + exponent;
    }
    term.suffix = suffix_at(cursor);
    return term;
}

}  // namespace etchback::base
