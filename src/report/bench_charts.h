// The charts of a recorded waveform.
#pragma once

#include <vector>

#include "report/bench_over.h"
#include "report/chart.h"

namespace etchback::report {

// By what the record shows: of the mains its cycle, harmonics against limits and the V-I loop; of
// light its cycle and its place in the plane of IEEE Std 1789-2015; of switching the frequency over
// time; of anything the samples. Where something simulated is laid over, it is in the chart.
std::vector<Chart> charts_of(const bench::Record& record, const std::vector<Over>& overs);

}  // namespace etchback::report
