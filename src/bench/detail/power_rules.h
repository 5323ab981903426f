// The ways in which one magnitude of a power triangle follows from others.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "bench/detail/power_readings.h"

namespace etchback::bench::detail {

struct Rule {
    Magnitude gives;
    std::vector<Magnitude> from;
    double (*value)(std::span<const double>);  // of `from`, in their order
    std::string formula;
    std::string pattern;  // the formula's right side with places for the numbers of `from`
    bool root_of_difference = false;  // `value` is what stands under the root
};

// The first that can be used is used, so ways from readings alone stand before others.
const std::vector<Rule>& rules();

}  // namespace etchback::bench::detail
