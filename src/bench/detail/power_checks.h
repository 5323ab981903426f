// Whether the readings of one group can all be true.
#pragma once

#include <optional>
#include <string>

#include "bench/detail/power_readings.h"

namespace etchback::bench::detail {

struct Verdict {
    double disagreement = 0.0;  // over its uncertainty at k = 2
    std::string text;           // empty unless beyond 1
    std::string suspect;        // the same
};

// The worst of the checks that the readings allow; none if they allow none. See PowerTriangle.
std::optional<Verdict> judge(const ReadGroup& group);

}  // namespace etchback::bench::detail
