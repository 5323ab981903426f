#include "report/ticks.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace etchback::report {
namespace {

constexpr const char* minus = "\u2212";
constexpr const char* space = "\u00a0";  // that does not break

const char* prefix_of(int thousands) {
    static constexpr const char* names[] = {"p", "n", "µ", "m", "", "k", "M", "G"};
    return names[std::clamp(thousands, -4, 3) + 4];
}

// 1, 2 or 5 times a power of ten.
struct Step {
    int mantissa = 1;
    int exponent = 0;

    double value() const {
        return exponent < 0 ? mantissa / std::pow(10.0, -exponent)
                            : mantissa * std::pow(10.0, exponent);
    }
    // Division by a power of ten is exact to the last digit where multiplication is not.
    double times(double count) const {
        return exponent < 0 ? count * mantissa / std::pow(10.0, -exponent)
                            : count * mantissa * std::pow(10.0, exponent);
    }
    Step next() const {
        return mantissa == 1   ? Step{2, exponent}
               : mantissa == 2 ? Step{5, exponent}
                               : Step{1, exponent + 1};
    }
};

constexpr double slack = 1e-9;  // of a step: a tick on the very edge is inside

double first_of(double low, const Step& step) {
    return std::ceil(low / step.value() - slack);
}
double last_of(double high, const Step& step) {
    return std::floor(high / step.value() + slack);
}

}  // namespace

bool takes_prefix(base::Unit unit) {
    switch (unit) {
        case base::Unit::none:
        case base::Unit::percent:
        case base::Unit::celsius:
        case base::Unit::degree:
            return false;
        default:
            return true;
    }
}

Ticks ticks_in(double low, double high, int most, base::Unit unit) {
    Ticks ticks;
    const double range = high - low;
    if (!std::isfinite(range) || range <= 0.0 || most < 1) {
        return ticks;
    }
    Step step{1, static_cast<int>(std::floor(std::log10(range / most))) - 1};
    while (last_of(high, step) - first_of(low, step) + 1.0 > most) {
        step = step.next();
    }
    ticks.step = step.value();
    for (double k = first_of(low, step); k <= last_of(high, step); k += 1.0) {
        ticks.values.push_back(step.times(k == 0.0 ? 0.0 : k));  // no negative zero
    }
    double largest = 0.0;
    for (const double value : ticks.values) {
        largest = std::max(largest, std::abs(value));
    }
    if (takes_prefix(unit) && largest > 0.0) {
        const double decade = std::floor(std::log10(largest) + slack);
        ticks.thousands = std::clamp(static_cast<int>(std::floor(decade / 3.0)), -4, 3);
    }
    ticks.decimals = std::max(0, 3 * ticks.thousands - step.exponent);
    return ticks;
}

std::string tick_text(double value, const Ticks& ticks, base::Unit unit) {
    if (std::abs(value) < slack * ticks.step) {
        return "0";
    }
    const double scaled = ticks.thousands < 0 ? std::abs(value) * std::pow(1000.0, -ticks.thousands)
                                              : std::abs(value) / std::pow(1000.0, ticks.thousands);
    const std::string symbol = prefix_of(ticks.thousands) + std::string(symbol_of(unit));
    return fmt::format("{}{:.{}f}{}{}",
                       value < 0.0 ? minus : "",
                       scaled,
                       ticks.decimals,
                       symbol.empty() ? "" : space,
                       symbol);
}

std::string value_text(double value, base::Unit unit, double scale, int digits) {
    constexpr double nothing = 1e-6;  // of the range: less than anybody could read off
    const bool zero = value == 0.0 || std::abs(value) < nothing * scale;
    std::string text = base::to_engineering(zero ? 0.0 : std::abs(value), unit, {.digits = digits});
    return (value < 0.0 && !zero ? minus : "") + text;
}

}  // namespace etchback::report
