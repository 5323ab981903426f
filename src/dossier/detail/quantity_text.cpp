#include "dossier/detail/quantity_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <vector>

namespace etchback::dossier::detail {

namespace {

using base::Quantity;
using base::Unit;

constexpr int most_digits = 17;  // enough to tell any two doubles apart

struct Prefix {
    int exponent;
    std::string_view sign;
};

constexpr std::array<Prefix, 10> prefixes = {{{-15, "f"},
                                              {-12, "p"},
                                              {-9, "n"},
                                              {-6, "µ"},
                                              {-3, "m"},
                                              {0, ""},
                                              {3, "k"},
                                              {6, "M"},
                                              {9, "G"},
                                              {12, "T"}}};

bool takes_prefix(Unit unit) {
    switch (unit) {
        case Unit::none:
        case Unit::celsius:
        case Unit::degree:
        case Unit::percent:
        case Unit::ampere_squared_second:
        case Unit::lumen:
        case Unit::lux:
            return false;
        default:
            return true;
    }
}

Prefix prefix_for(double magnitude, Unit unit) {
    Prefix chosen{0, ""};
    if (magnitude == 0.0 || !takes_prefix(unit)) {
        return chosen;
    }
    constexpr double shunts_from = 0.01;  // ohms: 0R22, not 220m
    if (unit == Unit::ohm && magnitude < 1.0 && magnitude >= shunts_from) {
        return chosen;
    }
    const double exponent = std::log10(magnitude) + 1e-9;
    chosen = prefixes.front();
    for (const Prefix& prefix : prefixes) {
        if (exponent >= prefix.exponent) {
            chosen = prefix;
        }
    }
    return chosen;
}

// `value` divided by ten to the `shift`, in `digits` significant digits without an exponent. The
// point is moved in the text, not by arithmetic, which would round once more.
std::string decimal(double value, int digits, int shift) {
    if (value == 0.0) {
        return "0";
    }
    const std::string scientific = fmt::format("{:.{}e}", std::abs(value), digits - 1);
    const auto e = scientific.find('e');
    std::string figures = scientific.substr(0, e);
    std::erase(figures, '.');
    figures.erase(std::min(figures.find_last_not_of('0') + 1, figures.size()));
    const int point = std::stoi(scientific.substr(e + 1)) + 1 - shift;  // digits before the point
    const int count = static_cast<int>(figures.size());
    std::string text;
    if (point <= 0) {
        text = "0." + std::string(static_cast<std::size_t>(-point), '0') + figures;
    } else if (point >= count) {
        text = figures + std::string(static_cast<std::size_t>(point - count), '0');
    } else {
        text = figures.substr(0, static_cast<std::size_t>(point)) + "." +
               figures.substr(static_cast<std::size_t>(point));
    }
    return (value < 0.0 ? "-" : "") + text;
}

// "4k7" from "4.7" and "k"; "4R7" where there is no prefix.
std::string rkm(const std::string& number, const Prefix& prefix, Unit unit) {
    const std::string letter = prefix.exponent != 0
                                   ? prefix.sign == "µ" ? "u" : std::string(prefix.sign)
                               : unit == Unit::ohm ? "R"
                                                   : "F";
    const auto point = number.find('.');
    return point == std::string::npos ? number + letter
                                      : number.substr(0, point) + letter + number.substr(point + 1);
}

class Speller {
public:
    Speller(const Quantity& quantity, Unit expected)
        : quantity_(quantity), expected_(expected), prefix_(choose_prefix()) {}

    std::string spell() {
        for (int digits = 1; digits <= most_digits; ++digits) {
            for (const std::string& text : candidates(digits)) {
                if (reads_back(text)) {
                    return text;
                }
            }
        }
        if (prefix_.exponent != 0) {  // one that nobody uses with this unit
            prefix_ = {0, ""};
            return spell();
        }
        if (!in_words_) {  // "5 m" would be ambiguous: metre or milli
            in_words_ = true;
            return spell();
        }
        return candidates(most_digits).back();
    }

private:
    Prefix choose_prefix() const {
        double magnitude = std::abs(quantity_.value);
        for (const double choice : quantity_.choices) {
            magnitude = std::max(magnitude, std::abs(choice));
        }
        return prefix_for(magnitude, quantity_.unit);
    }

    bool reads_back(const std::string& text) const {
        const auto read = base::parse_quantity(text, expected_);
        return read && *read == quantity_;
    }

    std::string number(double value, int digits) const {
        return decimal(value, digits, prefix_.exponent);
    }

    std::string unit() const {
        const auto name = in_words_ ? name_of(quantity_.unit) : symbol_of(quantity_.unit);
        const std::string text = std::string(prefix_.sign) + std::string(name);
        return text.empty() ? text : " " + text;
    }

    std::vector<std::string> candidates(int digits) const {
        const Quantity& q = quantity_;
        if (!q.choices.empty()) {
            return {choices(digits)};
        }
        const std::string value = number(q.value, digits);
        if (q.exact() && !q.nominal) {
            return exact(value);
        }
        const std::string low = number(q.low, digits);
        const std::string high = number(q.high, digits);
        if (!q.nominal) {
            return {low + "-" + high + unit(), low + " to " + high + unit()};
        }
        const double half = q.high - q.value;
        const double percent = q.value == 0.0 ? 0.0 : half / std::abs(q.value) * 100.0;
        return {value + unit() + " ±" + decimal(percent, digits, 0) + " %",
                value + unit() + " ±" + number(half, digits) + unit(),
                value + unit() + " (" + low + unit() + " to " + high + unit() + ")"};
    }

    std::vector<std::string> exact(const std::string& value) const {
        std::vector<std::string> texts;
        const bool rkm_unit = quantity_.unit == Unit::ohm || quantity_.unit == Unit::farad;
        if (rkm_unit && expected_ == quantity_.unit) {
            texts.push_back(rkm(value, prefix_, quantity_.unit));
        }
        texts.push_back(value + unit());
        return texts;
    }

    std::string choices(int digits) const {
        std::string text;
        for (const double choice : quantity_.choices) {
            text += (text.empty() ? "" : "/") + number(choice, digits);
        }
        return text + unit();
    }

    const Quantity& quantity_;
    Unit expected_;
    Prefix prefix_;
    bool in_words_ = false;
};

}  // namespace

std::string quantity_text(const base::Quantity& quantity, base::Unit expected) {
    return Speller(quantity, expected).spell();
}

}  // namespace etchback::dossier::detail
