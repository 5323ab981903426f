// A recorded waveform and a simulated one laid over each other, with their difference in figures.
#pragma once

#include <optional>
#include <span>
#include <vector>

namespace etchback::bench {

// A curve known at instants, in ascending order; straight between them.
struct Curve {
    std::vector<double> t_s, value;
    bool empty() const { return t_s.size() < 2; }
    double start_s() const { return t_s.front(); }
    double end_s() const { return t_s.back(); }
    double at(double t) const;  // outside: the nearest end
};
Curve curve_of(std::span<const double> samples, double dt_s, double start_s = 0.0);

// Both on one axis, from 0 on, with the recorded curve where it was recorded.
struct LaidOver {
    std::vector<double> t_s, measured, simulated;
    double later_s = 0.0;    // the recorded curve comes this much later than the simulated
    double rms = 0.0;        // of measured - simulated
    double rms_share = 0.0;  // over the r.m.s. of the simulated curve
    double mean = 0.0;       // of measured - simulated
    double measured_peak = 0.0, simulated_peak = 0.0;  // largest magnitudes
};

// Two periods of the same period, both from the rising zero of the voltage on, each with evenly
// spaced points. What is left of a shift is found and told as `later_s`, but not taken out.
std::optional<LaidOver> lay_over_cycle(std::span<const double> measured,
                                       std::span<const double> simulated,
                                       double period_s);

// The simulated curve on the stretch of the recorded one where it differs least; the shift is taken
// out, since the scope's trigger says nothing about the instant in the simulation. `later_s` is
// where on the record it lies. Nothing where the simulated curve is longer than the record.
std::optional<LaidOver> lay_over_best(const Curve& measured, const Curve& simulated);

// Both from the same beginning: switching on. `later_s` is the shift at which they fit best, which
// is not taken out.
std::optional<LaidOver> lay_over_start(const Curve& measured, const Curve& simulated);

}  // namespace etchback::bench
