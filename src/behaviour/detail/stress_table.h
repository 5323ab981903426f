// What each part has to bear, against what it is made for.
#pragma once

#include <vector>

#include "behaviour/detail/scenario_stretch.h"
#include "behaviour/scenario.h"

namespace etchback::behaviour::detail {

// Worst share of a rating first, then what has no rating, by part. Peaks are those of the whole
// run, inrush and all; means, RMS values and dissipation are those of its last stretch.
std::vector<StressRow> stress_of(const StretchedRun& run, const Model& model);

}  // namespace etchback::behaviour::detail
