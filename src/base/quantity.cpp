#include "base/quantity.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/detail/plain_text.h"
#include "base/detail/term.h"

namespace etchback::base {
namespace {

Error leftover(const Cursor& cursor) {
    return cursor.error(fmt::format("{} goes on with '{}' where it should end",
                                    quoted(cursor.written),
                                    cursor.plain.substr(cursor.at)),
                        "write one quantity: 4k7, 85-265 V, 230 V ±10 % or 50/60 Hz; "
                        "tolerance and ratings have keys of their own");
}

// Two terms that belong together. A term without unit takes the other's prefix and unit: in
// `85-265 V` both are volts, in `1-2k` both are thousands.
struct Pair {
    Amount first;
    Amount second;
};
Result<Pair> pair_of(Term first, Term second, const Cursor& cursor) {
    if (first.bare()) {
        first.suffix = second.suffix;
    } else if (second.bare()) {
        second.suffix = first.suffix;
    }
    Cursor look = cursor;
    auto b = amount_of(second, look);
    if (!b) {
        return b.errors();
    }
    if (first.milli_or_metre()) {
        look.expected = b->unit;
    }
    auto a = amount_of(first, look);
    if (!a) {
        return a.errors();
    }
    if (a->unit == Unit::none) {
        (*a).unit = b->unit;
    }
    if (b->unit == Unit::none) {
        (*b).unit = a->unit;
    }
    if (a->unit != b->unit) {
        return cursor.error(
            fmt::format(
                "{} mixes {} and {}", quoted(cursor.written), name_of(a->unit), name_of(b->unit)),
            "write both numbers in one unit");
    }
    return Pair{*a, *b};
}

bool take_range_mark(Cursor& cursor) {
    const std::size_t start = cursor.at;
    cursor.skip_space();
    for (const std::string_view mark : {"...", "-", "~", "to "}) {
        if (cursor.take(mark)) {
            cursor.skip_space();
            return true;
        }
    }
    cursor.at = start;
    return false;
}

bool take_choice_mark(Cursor& cursor) {
    const std::size_t start = cursor.at;
    cursor.skip_space();
    for (const std::string_view mark : {"/", "or "}) {
        if (cursor.take(mark)) {
            cursor.skip_space();
            return true;
        }
    }
    cursor.at = start;
    return false;
}

Result<Quantity> range_after(const Term& first, Cursor& cursor) {
    const auto second = read_term(cursor);
    if (!second) {
        return second.errors();
    }
    const auto pair = pair_of(first, *second, cursor);
    if (!pair) {
        return pair.errors();
    }
    const double low = pair->first.value;
    const double high = pair->second.value;
    if (low > high) {
        return cursor.error(
            fmt::format("{} runs from the larger to the smaller value", quoted(cursor.written)),
            "write the smaller value first, such as 85-265 V");
    }
    return Quantity{low + (high - low) / 2, pair->first.unit, low, high, {}, false};
}

// A percentage of anything but a percentage is relative; all else is in the value's own unit.
Result<double> half_width(const Term& term, const Amount& value, const Cursor& cursor) {
    Cursor look = cursor;
    look.expected = Unit::none;
    const bool relative = term.suffix == "%" && value.unit != Unit::percent;
    if (!relative) {
        look.expected = value.unit;
    }
    const auto width = amount_of(term, look);
    if (!width) {
        return width.errors();
    }
    if (width->value < 0 || (relative && width->value > 100)) {
        return cursor.error(
            fmt::format("{} has a tolerance that cannot be", quoted(cursor.written)),
            "write a tolerance between 0 and 100 %");
    }
    return relative ? std::fabs(value.value) * width->value / 100 : width->value;
}

Result<Quantity> tolerance_after(Term first, Cursor& cursor) {
    cursor.skip_space();
    const auto second = read_term(cursor);
    if (!second) {
        return second.errors();
    }
    Term width = *second;
    if (first.bare() && width.suffix != "%") {
        first.suffix = width.suffix;
    } else if (width.bare()) {
        width.suffix = first.suffix;
    }
    const auto value = amount_of(first, cursor);
    if (!value) {
        return value.errors();
    }
    const auto half = half_width(width, *value, cursor);
    if (!half) {
        return half.errors();
    }
    return Quantity{
        value->value, value->unit, value->value - *half, value->value + *half, {}, true};
}

// `230 V (207 V to 253 V)`, as to_text prints it.
Result<Quantity> limits_after(const Term& first, Cursor& cursor) {
    const auto value = amount_of(first, cursor);
    if (!value) {
        return value.errors();
    }
    cursor.skip_space();
    const auto low = read_term(cursor);
    if (!low) {
        return low.errors();
    }
    if (!take_range_mark(cursor)) {
        return leftover(cursor);
    }
    auto limits = range_after(*low, cursor);
    if (!limits) {
        return limits;
    }
    cursor.skip_space();
    if (!cursor.take(")")) {
        return cursor.error(fmt::format("{} lacks a closing bracket", quoted(cursor.written)),
                            "write it like 230 V (207 V to 253 V)");
    }
    const bool inside = limits->low <= value->value && value->value <= limits->high;
    if (!inside || limits->unit != value->unit) {
        return cursor.error(
            fmt::format("{}: the value is not within its limits", quoted(cursor.written)),
            "write it like 230 V (207 V to 253 V)");
    }
    return Quantity{value->value, value->unit, limits->low, limits->high, {}, true};
}

// 1/4 W is a quarter of a watt; 50/60 Hz is a choice.
bool is_fraction(const Term& above, const Term& below) {
    constexpr std::string_view usual = " 2.0 3.0 4.0 8.0 10.0 16.0 20.0 32.0 ";
    return above.bare() && above.mantissa == "1.0" && below.letter == '\0' &&
           usual.find(" " + below.mantissa + " ") != std::string_view::npos;
}

Result<Quantity> fraction(const Term& below, const Cursor& cursor) {
    const auto amount = amount_of(below, cursor);
    if (!amount) {
        return amount.errors();
    }
    Term plain = below;
    plain.mantissa = "1.0";
    const auto one = amount_of(plain, cursor);
    if (!one) {
        return one.errors();
    }
    if (amount->unit != Unit::watt) {
        return cursor.error(fmt::format("{} may be a fraction or a choice", quoted(cursor.written)),
                            "write a fraction as a decimal number (0.5) and a choice with 'or'");
    }
    const double parts = std::round(amount->value / one->value);
    return Quantity::of(one->value / parts, amount->unit);
}

Result<Quantity> choices_after(const Term& first, Cursor& cursor) {
    std::vector<Term> terms = {first};
    const bool stroke = cursor.plain.substr(0, cursor.at).find('/') != std::string_view::npos;
    do {
        const auto next = read_term(cursor);
        if (!next) {
            return next.errors();
        }
        terms.push_back(*next);
    } while (take_choice_mark(cursor));
    if (stroke && terms.size() == 2 && is_fraction(terms[0], terms[1])) {
        return fraction(terms[1], cursor);
    }
    Quantity result;
    for (const Term& term : terms) {
        const auto pair = pair_of(term, terms.back(), cursor);
        if (!pair) {
            return pair.errors();
        }
        result.choices.push_back(pair->first.value);
        result.unit = pair->first.unit;
    }
    if (stroke && result.unit == Unit::celsius && result.choices.front() < 0) {
        return cursor.error(fmt::format("{} may be a range or a choice", quoted(cursor.written)),
                            "write a range as -25 to 85 °C and a choice as -25 or 85 °C");
    }
    const auto [low, high] = std::minmax_element(result.choices.begin(), result.choices.end());
    result.value = result.choices.front();
    result.low = *low;
    result.high = *high;
    return result;
}

Result<Quantity> after_first(const Term& first, Cursor& cursor) {
    const std::size_t start = cursor.at;
    cursor.skip_space();
    if (cursor.take("+-")) {
        return tolerance_after(first, cursor);
    }
    if (cursor.take("(")) {
        return limits_after(first, cursor);
    }
    cursor.at = start;
    if (take_range_mark(cursor)) {
        return range_after(first, cursor);
    }
    if (take_choice_mark(cursor)) {
        return choices_after(first, cursor);
    }
    const auto amount = amount_of(first, cursor);
    if (!amount) {
        return amount.errors();
    }
    return Quantity::of(amount->value, amount->unit);
}

}  // namespace

Result<Quantity> parse_quantity(std::string_view text, Unit expected) {
    const auto plain = plain_text(text);
    if (!plain) {
        return plain.errors();
    }
    Cursor cursor{.plain = *plain, .written = text, .expected = expected, .at = 0};
    // `±5 %` by itself is a tolerance: its half-width is the value.
    if (cursor.take("+-")) {
        cursor.skip_space();
    }
    const auto first = read_term(cursor);
    if (!first) {
        return first.errors();
    }
    auto result = after_first(*first, cursor);
    cursor.skip_space();
    if (result && !cursor.done()) {
        return leftover(cursor);
    }
    return result;
}

}  // namespace etchback::base
