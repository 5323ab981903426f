// Things that happen in a record: switching, ringing, starting, running out, ticking.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "bench/uncertainty.h"

namespace etchback::bench {

// A signal that goes to and fro between two levels. Edges are where it crosses the middle between
// its levels, with a hysteresis of a fifth of their distance; times lie between samples.
struct Switching {
    Estimate frequency_hz;  // mean over the record
    double least_hz = 0.0,
           largest_hz = 0.0;       // of single periods, their outermost hundredth left out
    Estimate duty;                 // share of the time above the middle
    double low = 0.0, high = 0.0;  // levels: medians below and above the middle
    std::vector<double> rises_s;   // times of the rising edges
};
// Nothing where there are fewer than three rising edges.
std::optional<Switching> find_switching(std::span<const double> samples, double dt_s);

// A decaying oscillation A·exp(-t/tau)·cos(2·pi·f·t + phi) + c, fitted by least squares.
struct Ringing {
    Estimate frequency_hz;
    Estimate decay_s;  // tau
    Estimate amplitude;
    double damping_ratio = 0.0;  // 1/(tau·omega0)
    double level = 0.0;
};
// `samples` begin after the edge. Nothing where no oscillation of at least two swings is there.
std::optional<Ringing> find_ringing(std::span<const double> samples, double dt_s);

// What rings: with the frequency before and after a known capacitor was added across the node
// (published application method), C = C_added/((f/f_added)^2 - 1) and L = 1/((2·pi·f)^2·C).
struct Resonance {
    Estimate capacitance_f, inductance_h;
};
Resonance resonance_of(const Estimate& alone_hz, const Estimate& with_hz, const Estimate& added_f);

// From the beginning of the record until the signal has reached `share` of its last level and
// stays there. Nothing where it never does.
std::optional<Estimate> start_up_time(std::span<const double> samples,
                                      double dt_s,
                                      double share = 0.9);

// From the instant at which `supply` ends (its last sample above a tenth of its peak) until
// `output` falls below `share` of its level before. Nothing where either does not happen.
std::optional<Estimate> hold_up_time(std::span<const double> supply,
                                     std::span<const double> output,
                                     double dt_s,
                                     double share = 0.9);

// Largest current and its I2t: the integral of the square over the first pulse, until the current
// falls below a tenth of the peak.
struct Inrush {
    Estimate peak_a, i2t_a2s;
    double peak_at_s = 0.0;
};
std::optional<Inrush> find_inrush(std::span<const double> current,
                                  double dt_s,
                                  double u_gain = 0.0);

// Period of bursts: of what is left when all that repeats within a tenth of the record's twentieth
// is smoothed away.
std::optional<Estimate> hiccup_period(std::span<const double> samples, double dt_s);

// Peak to peak without the outermost thousandth, and r.m.s. about the mean.
struct Ripple {
    double mean = 0.0, peak_to_peak = 0.0, rms = 0.0;
};
Ripple ripple_of(std::span<const double> samples);

}  // namespace etchback::bench
