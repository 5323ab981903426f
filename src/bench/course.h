// How the frequency of a converter goes with the mains, and what rings in its waveform.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "bench/events.h"

namespace etchback::bench {

// Switching frequency in short stretches of a record: the time-frequency picture of a signal with
// two levels, from the instants at which it rises. Each stretch has ten periods or, in a slow
// record, as many as a hundredth of it holds; its frequency is that of their middle six tenths, so
// that a missed or doubled edge does not count. Stretches without one frequency are left out.
struct FrequencyCourse {
    std::vector<double> t_s, hz;    // middle of each stretch
    Estimate least_hz, largest_hz;  // of the stretches
    double least_at_s = 0.0, largest_at_s = 0.0;
    double span_s = 0.0;
};
// Nothing where there are fewer than thirty periods.
std::optional<FrequencyCourse> frequency_course(const Switching& switching, double dt_s);

// The oscillations that follow the edges of a switching waveform: each stretch between two edges is
// tried, from its first turn on, and those that ring alike are taken together (median). Nothing
// where fewer than three stretches ring alike, or where sampling has fewer than eight samples to a
// swing.
struct RingingFound {
    Estimate frequency_hz;
    Estimate decay_s;
    double damping_ratio = 0.0;
    double amplitude = 0.0;  // median, at the beginning of the stretch
    std::size_t stretches = 0;
    double at_s = 0.0;  // where one of them begins
};
enum class After { rise, fall };
std::optional<RingingFound> ringing_after(std::span<const double> samples, double dt_s, After edge);

// L or C of what rings, where the other is known: 1/((2·pi·f)^2·known). Uncertainties to first
// order.
Estimate other_of_resonance(const Estimate& frequency_hz, const Estimate& known);

}  // namespace etchback::bench
