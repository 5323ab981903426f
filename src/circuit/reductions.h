// Parts in series and in parallel, folded into one, with the arithmetic shown.
#pragma once

#include <string>
#include <vector>

#include "base/figure.h"
#include "circuit/circuit.h"

namespace etchback::circuit {

struct Reduction {
    enum class Kind { series, parallel };
    Kind kind;
    std::string name;                // "R5+R6", "R3||R4"
    std::string family;              // "resistor", "capacitor", "inductor"
    std::vector<std::string> parts;  // all parts folded into it, natural order
    NetId from, to;                  // its two ends
    double value = 0.0;
    base::Unit unit = base::Unit::none;
    base::Figure figure;  // formula and worked arithmetic
};

// All maximal series and parallel sets, nested (R5+(R6||R7)), innermost first. Parts without a
// value are not folded. A net where a third thing hangs (a pin of any other part, a test point
// excepted) ends a series.
std::vector<Reduction> reductions(const Circuit& circuit);

}  // namespace etchback::circuit
