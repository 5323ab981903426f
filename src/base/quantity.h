// Quantities as people write them on a bench note, and as they are printed back.
//
// A Quantity is for borders: text that comes in, text that goes out. Inside the program a number
// is a plain double whose name tells unit and kind (working_v_rms, bleed_s, load_w).
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"

namespace etchback::base {

enum class Unit {
    none,  // a plain number: a count, a ratio, a power factor
    ohm,
    farad,
    henry,
    volt,
    ampere,
    watt,
    volt_ampere,
    var,
    hertz,
    second,
    metre,
    celsius,
    degree,
    percent,
    joule,
    ampere_hour,
    ampere_squared_second,  // I2t of a fuse
    lumen,
    lux,
    gram,
};

// "ohm", "farad", ... for messages and JSON; "Ω", "F", ... for people.
std::string_view name_of(Unit unit);
std::string_view symbol_of(Unit unit);
std::optional<Unit> unit_named(std::string_view name);

// One value with its unit in SI base form (ohms, farads, volts; a percentage stays in percent).
// `85-265 V` has low 85, high 265 and their mean as value; `230 V ±10 %` has value 230, low 207,
// high 253; `50/60 Hz` has value 50, low 50, high 60 and both choices. A plain value has
// low == value == high. `1/4 W` is a quarter of a watt.
struct Quantity {
    double value = 0.0;
    Unit unit = Unit::none;
    double low = 0.0;
    double high = 0.0;
    std::vector<double> choices;
    bool nominal = false;  // the text names the value itself and limits around it: `230 V ±10 %`

    static Quantity of(double value, Unit unit) { return {value, unit, value, value, {}, false}; }
    bool exact() const { return low == high; }
    bool operator==(const Quantity&) const = default;
};

// Reads one quantity. Understood: RKM code (IEC 60062: 4k7, 5R9, 0R22, 2n2), a number with prefix
// and unit (1.5 mH, 4.7uF, 4,7 µF), ranges (85-265 V, 85...265 V, 85 to 265 V), tolerances
// (230 V ±10 %, 12 V +/- 0.5 V), choices (50/60 Hz). A decimal comma is a decimal point.
// `expected` supplies the unit where the text has none (`100n` of a capacitor) and is an error
// where the text names another; with Unit::none the text's own unit holds.
// A number with thousands separators (1,000 or 1 000) is refused, since 1,000 is also one point
// zero. The errors have no place: the caller knows where the text stands.
Result<Quantity> parse_quantity(std::string_view text, Unit expected = Unit::none);

// Engineering notation with `digits` significant digits: 4.70 kΩ, 220 nF, 1.20 mH, 12.0 V.
// Trailing zeros are kept only where `keep_zeros`; a non-breaking space stands before the unit.
// What is printed reads back as the same value, to the digits printed.
struct Engineering {
    int digits = 3;
    bool keep_zeros = false;
};
std::string to_engineering(double value, Unit unit, Engineering style = {});

// The same for a whole quantity: "85 V to 265 V", "230 V (207 V to 253 V)", "50 Hz or 60 Hz".
std::string to_text(const Quantity& quantity, Engineering style = {});

// RKM code of IEC 60062 for resistances and capacitances: 4k7, 0R22, 2n2, 100n.
std::string to_rkm(double value, Unit unit, int digits = 3);

}  // namespace etchback::base
