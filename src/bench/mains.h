// Power quality from sampled voltage and current of the mains: everything follows from one fit.
//
// The fit. Mean, fundamental and harmonics of the voltage are fitted by least squares together with
// its frequency (Gauss-Newton); the current then has that frequency. On whole cycles without gaps
// this is the synchronous discrete Fourier transform; it needs neither: 2.3 cycles with missing
// samples will do, as long as there is more than one cycle. What the fit leaves is noise where it
// changes from sample to sample, and ripple between the harmonics where it does not; ripple counts
// towards the r.m.s.
//
// Definitions are those of IEEE Std 1459-2010, 3.1.2 (single phase, not sinusoidal; from memory);
// total distortion also as IEC 61000-4-7 has it (orders 2 to 40).
//
// Uncertainty (JCGM 100:2008): noise through the covariance of the fit, stretched where it is not
// white; gain, offset, delay between the channels and clock as the setup states them. It holds what
// is known here, no more: a probe that is worse than said makes figures that are worse than said.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "bench/uncertainty.h"

namespace etchback::bench {

// What stands between the circuit and the numbers of a channel: value = scale·(number - offset),
// `delay_s` late. Standard uncertainties beside them; the gain's is relative.
struct ChannelSetup {
    double scale = 1.0;
    double offset = 0.0;  // in numbers of the file
    double delay_s = 0.0;
    double u_gain = 0.0;
    double u_offset = 0.0;  // in the circuit's unit
    double u_delay_s = 0.0;
};

struct MainsSetup {
    ChannelSetup voltage, current;
    double u_clock = 0.0;  // relative
    int orders = 40;       // harmonics that are fitted; fewer where sampling is coarse
};

struct Harmonic {
    int order = 0;  // 0 is the mean
    Estimate rms;
    double phase_rad = 0.0;  // of the cosine, with the voltage's fundamental as reference
};

struct FittedChannel {
    bool present = false;
    Estimate rms, mean, peak, crest_factor, thd, thd_40;
    std::vector<Harmonic> harmonics;  // [0] is the mean
    std::vector<double> cycle;        // the fitted cycle, 512 points from the voltage's zero
    double noise_rms = 0.0, ripple_rms = 0.0;
    bool clipped = false;
    std::size_t missing = 0;
};

struct MainsFigures {
    Estimate frequency_hz;
    double cycles = 0.0;
    FittedChannel voltage, current;
    // Of both channels; without one of them all are zero.
    Estimate power_w, apparent_va, non_active_var, fundamental_power_w, fundamental_apparent_va,
        fundamental_reactive_var, power_factor, displacement_factor, distortion_factor;
    std::vector<std::string> warnings;
};

// Samples not-a-number are missing. `voltage` or `current` may be empty. Nothing is found where
// there is less than a cycle of anything between 35 and 450 Hz: then `cycles` is 0 and `warnings`
// say why.
MainsFigures analyse_mains(std::span<const double> voltage,
                           std::span<const double> current,
                           double dt_s,
                           const MainsSetup& setup = {});

// Many samples pile up at the largest or the least value: the input was driven beyond its range.
bool looks_clipped(std::span<const double> samples);

}  // namespace etchback::bench
