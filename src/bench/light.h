// Light that flickers: from samples of a photodiode or a light meter's output.
//
// Percent flicker and flicker index are of one period (IES Lighting Handbook; IEEE Std 1789-2015,
// 4.2; from memory), which is the mean of all whole periods of the record. SVM is the stroboscopic
// visibility measure of CIE TN 006:2016 and IEC TR 63158:2018 (from memory): components from 80 Hz
// to 2 kHz, to the power 3.7. The region is that of IEEE Std 1789-2015, clause 8 (from memory).
//
// Dark must read zero: an offset of the photodiode's amplifier counts as light. Its uncertainty
// goes into every figure.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "bench/uncertainty.h"

namespace etchback::bench {

struct LightFigures {
    bool periodic = false;
    Estimate frequency_hz;     // of the period
    Estimate percent_flicker;  // in percent
    Estimate flicker_index;
    std::optional<Estimate> svm;  // needs 4 kHz of sampling
    std::string region;           // "no observable effect", "low risk", "beyond low risk"
    double low_risk_percent = 0.0, no_effect_percent = 0.0;  // limits at this frequency
    std::vector<double> cycle;                               // one period, over its mean
    std::vector<std::string> warnings;
};

// `u_dark` is the standard uncertainty of the zero, in the samples' unit.
LightFigures analyse_light(std::span<const double> samples, double dt_s, double u_dark = 0.0);

// Limits of modulation in percent at a frequency, by IEEE Std 1789-2015; 100 where there is none.
double low_risk_percent(double frequency_hz);
double no_effect_percent(double frequency_hz);

// The modulation of a sine at which half the observers see it: CIE TN 006:2016 (from memory).
double svm_threshold(double frequency_hz);

}  // namespace etchback::bench
