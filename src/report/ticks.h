// Where the ticks of an axis stand and what is written at them.
//
// data/report/plot.js computes the same for a zoomed plot, and tests/browser compares the two.
#pragma once

#include <string>
#include <vector>

#include "base/quantity.h"

namespace etchback::report {

// Round values (1, 2 or 5 times a power of ten) inside [low, high], at most `most` of them and as
// many of that as there are; none where the range is empty or not finite.
struct Ticks {
    std::vector<double> values;
    double step = 0.0;
    int thousands = 0;  // of the common prefix: -1 is milli, 1 is kilo
    int decimals = 0;   // behind the point, with that prefix
};
Ticks ticks_in(double low, double high, int most, base::Unit unit);

// Milli and kilo may stand before it; not before percent and degrees.
bool takes_prefix(base::Unit unit);

// "400 mV", "−2.5 A", "0": all ticks of an axis have one prefix and one number of decimals.
std::string tick_text(double value, const Ticks& ticks, base::Unit unit);

// A value to `digits` significant digits with a true minus sign: "−1.25 kV". Much smaller than
// `scale` (the range of its axis), it is written as 0.
std::string value_text(double value, base::Unit unit, double scale = 0.0, int digits = 4);

}  // namespace etchback::report
