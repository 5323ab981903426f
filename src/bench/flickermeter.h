// Short-term flicker severity: what a flickermeter makes of light or of a supply's voltage.
//
// The chain is that of IEC 61000-4-15: a high pass of 0.05 Hz, a low pass of 35 Hz (Butterworth,
// sixth order), the weighting of lamp, eye and brain, the square, a low pass of 300 ms, and then
// from the levels that the instantaneous flicker exceeds for 0.1 %, 1 %, 3 %, 10 % and 50 % of the
// time, smoothed as the standard has it,
//   Pst = sqrt(0.0314 P0.1 + 0.0525 P1s + 0.0657 P3s + 0.28 P10s + 0.08 P50s).
// For light (PstLM, IEC TR 61547-1) the weighting leaves the incandescent lamp out. Poles, zeros
// and scale are from memory. Of the weighting for light, the poles are those of IEC 61000-4-15, and
// one zero too, which tests hold; what is left of the zeros is a lamp of 20 ms and 1 ms. No
// published test wave for light was at hand: docs/bench.md says what is checked and what is not.
#pragma once

#include <optional>
#include <span>

#include "bench/uncertainty.h"

namespace etchback::bench {

struct FlickerSeverity {
    Estimate pst;
    double span_s = 0.0;  // of the light that counted, after settling
    // Levels exceeded for these shares of the time, smoothed.
    double p01 = 0.0, p1 = 0.0, p3 = 0.0, p10 = 0.0, p50 = 0.0;
};

// Of light with its dark at zero. Nothing where the record is shorter than a minute or has fewer
// than 400 samples a second: then lower frequencies than matter are not in it, or higher ones fold.
// The standard asks for three minutes and 10 kHz.
std::optional<FlickerSeverity> light_flicker(std::span<const double> samples, double dt_s);

// The same of the half-cycle r.m.s. or the squared voltage of a supply over its mean, as a lamp of
// 230 V and 60 W shows it: a change of m in the voltage is one of 2·m there. It exists to hold the
// chain to the published table of IEC 61000-4-15.
std::optional<FlickerSeverity> voltage_flicker(std::span<const double> squared_over_mean,
                                               double dt_s);

namespace detail {
// Gain of the two weightings at a frequency.
double light_weight(double frequency_hz);
double voltage_weight(double frequency_hz);
}  // namespace detail

}  // namespace etchback::bench
