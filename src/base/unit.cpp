#include <algorithm>
#include <array>

#include "base/detail/unit_table.h"

namespace etchback::base {
namespace {

constexpr std::array<UnitRow, 21> rows = {{
    {Unit::none, "none", "", "", "", "pnumkMGT", "4"},
    {Unit::ohm, "ohm", "Ω", "R", "ohm ohms r", "numkMGT", "4k7"},
    {Unit::farad, "farad", "F", "F", "f fd farad farads", "pnum", "100n"},
    {Unit::henry, "henry", "H", "H", "h hy henry henries", "pnum", "1.5 mH"},
    {Unit::volt, "volt", "V", "V", "v volt volts vac vdc vrms v~ v=", "numk", "12 V"},
    {Unit::ampere, "ampere", "A", "A", "a amp amps ampere amperes aac adc arms", "pnumk", "350 mA"},
    {Unit::watt, "watt", "W", "W", "w watt watts", "pnumk", "3.6 W"},
    {Unit::volt_ampere, "volt_ampere", "VA", "VA", "va", "umk", "5.2 VA"},
    {Unit::var, "var", "var", "var", "var vars", "umk", "1.5 var"},
    {Unit::hertz, "hertz", "Hz", "Hz", "hz hertz", "mkMGT", "50 Hz"},
    {Unit::second, "second", "s", "s", "sec secs second seconds", "pnum", "10 ms"},
    {Unit::metre, "metre", "m", "m", "metre metres meter meters", "numck", "2.5 mm"},
    {Unit::celsius, "celsius", "°C", "degC", "degc celsius", "", "105 °C"},
    {Unit::degree, "degree", "°", "deg", "deg degree degrees", "", "90°"},
    {Unit::percent, "percent", "%", "%", "percent pct", "", "5 %"},
    {Unit::joule, "joule", "J", "J", "j joule joules", "pnumk", "40 J"},
    {Unit::ampere_hour, "ampere_hour", "Ah", "Ah", "ah", "umk", "1200 mAh"},
    {Unit::ampere_squared_second,
     "ampere_squared_second",
     "A²s",
     "A2s",
     "a2s a^2s",
     "umk",
     "1.2 A²s"},
    {Unit::lumen, "lumen", "lm", "lm", "lm lumen lumens", "mk", "400 lm"},
    {Unit::lux, "lux", "lx", "lx", "lx lux", "mk", "500 lx"},
    {Unit::gram, "gram", "g", "g", "gram grams", "numk", "12 g"},
}};

struct Prefix {
    char letter;
    int exponent;
    std::string_view word;
};
constexpr std::array<Prefix, 9> prefixes = {{
    {'p', -12, "pico"},
    {'n', -9, "nano"},
    {'u', -6, "micro"},
    {'m', -3, "milli"},
    {'c', -2, "centi"},
    {'k', 3, "kilo"},
    {'M', 6, "mega"},
    {'G', 9, "giga"},
    {'T', 12, "tera"},
}};

const Prefix* prefix_of(char letter) {
    const auto found = std::find_if(
        prefixes.begin(), prefixes.end(), [&](const Prefix& p) { return p.letter == letter; });
    return found == prefixes.end() ? nullptr : &*found;
}

}  // namespace

std::span<const UnitRow> unit_rows() {
    return rows;
}

const UnitRow& row_of(Unit unit) {
    const auto found =
        std::find_if(rows.begin(), rows.end(), [&](const UnitRow& r) { return r.unit == unit; });
    assert(found != rows.end());
    return *found;
}

char usual_case(char prefix) {
    switch (prefix) {
        case 'K':
            return 'k';
        case 'U':
            return 'u';
        case 'N':
            return 'n';
        case 'P':
            return 'p';
        default:
            return prefix;
    }
}

std::optional<int> exponent_of(char prefix) {
    const Prefix* found = prefix_of(usual_case(prefix));
    return found == nullptr ? std::nullopt : std::optional<int>(found->exponent);
}

std::string_view word_of(char prefix) {
    const Prefix* found = prefix_of(usual_case(prefix));
    return found == nullptr ? std::string_view{} : found->word;
}

std::string_view name_of(Unit unit) {
    return row_of(unit).name;
}

std::string_view symbol_of(Unit unit) {
    return row_of(unit).symbol;
}

std::optional<Unit> unit_named(std::string_view name) {
    const auto found =
        std::find_if(rows.begin(), rows.end(), [&](const UnitRow& r) { return r.name == name; });
    return found == rows.end() ? std::nullopt : std::optional<Unit>(found->unit);
}

}  // namespace etchback::base
