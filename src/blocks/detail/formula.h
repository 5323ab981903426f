// Formulas of patterns: arithmetic over named values ("R", "U.current_limit", "mains.high"), by
// muParser, with the worked arithmetic and the spread from tolerances.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/figure.h"

namespace etchback::blocks::detail {

struct Value {
    double value = 0.0;
    base::Unit unit = base::Unit::none;
    double tolerance = 0.0;  // half width, as a share
    bool assumed = false;
    base::Evidence evidence;
};
using Values = std::map<std::string, Value>;

// Names in a formula, sorted, each once.
std::vector<std::string> names_in(const std::string& formula);

struct Evaluated {
    double value = 0.0, low = 0.0, high = 0.0;
    double deviation = 0.0;  // standard, from tolerances
    std::string worked;      // the formula with numbers put in
    bool assumed = false;
    std::vector<base::Evidence> evidence;
};

// Nothing where a name is unknown, the formula cannot be read or the result is not finite.
std::optional<Evaluated> evaluate(const std::string& formula, const Values& values);

// As a person writes it: R·C, not R*C.
std::string pretty(const std::string& formula);

}  // namespace etchback::blocks::detail
