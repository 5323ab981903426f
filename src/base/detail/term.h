// One number with its prefix and unit: the piece of which every quantity is made.
#pragma once

#include <string>
#include <string_view>

#include "base/quantity.h"

namespace etchback::base {

// What a term says before its unit is looked up: "4k7 ohm" is mantissa 4.7, letter k, suffix ohm.
struct Term {
    std::string mantissa;  // "-4.7e3", ready for conversion
    char letter = '\0';    // stands where the decimal point would (IEC 60062), or no letter
    std::string suffix;    // prefix and unit, without spaces

    bool bare() const { return letter == '\0' && suffix.empty(); }
    bool milli_or_metre() const { return letter == '\0' && suffix == "m"; }
};

// A term with its unit looked up.
struct Amount {
    double value = 0.0;
    Unit unit = Unit::none;
};

// A place in a plain text (see plain_text.h) and what is expected there.
struct Cursor {
    std::string_view plain;
    std::string_view written;  // the person's own spelling, for messages
    Unit expected = Unit::none;
    std::size_t at = 0;

    bool done() const { return at >= plain.size(); }
    char peek(std::size_t ahead = 0) const {
        return at + ahead < plain.size() ? plain[at + ahead] : '\0';
    }
    void skip_space() { at += peek() == ' ' ? 1 : 0; }
    // Moves behind `word` if it stands here.
    bool take(std::string_view word);
    Error error(std::string what, std::string todo) const;
};

// Reads one term and moves behind it.
Result<Term> read_term(Cursor& cursor);

// Looks up prefix and unit. Where the term has no unit, `unit` is Cursor::expected.
Result<Amount> amount_of(const Term& term, const Cursor& cursor);

// "write it like 4k7": the advice that ends most messages.
std::string example_for(Unit unit);

}  // namespace etchback::base
