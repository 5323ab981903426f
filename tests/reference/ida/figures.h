// The figures that two descriptions of one circuit are compared in.
#pragma once

#include <span>
#include <vector>

#include "reference/ida/solve.h"

namespace etchback::ida {

struct Figures {
    double load_a = 0.0;           // mean
    double input_w = 0.0;          // mean
    double input_a_rms = 0.0;      // with all that switches
    double power_factor = 0.0;     // input_w over volts times input_a_rms
    double power_factor_40 = 0.0;  // of the first 40 harmonics, as a meter behind a filter sees it
    double peak_v = 0.0;           // drain, or output
};

// Integrals that equations carry as unknowns, in this order from `first` on: charge, energy and
// square of the input current, charge of the load.
struct Integrals {
    int first = 0;
    int charge() const { return first; }
    int energy() const { return first + 1; }
    int square() const { return first + 2; }
    int load() const { return first + 3; }
};

// RMS value of orders 0 to `orders` of a current over whole periods, from samples of its charge at
// equal instants: exact but for what lies above half the sampling rate.
double band_rms(std::span<const double> charge, double cell_s, double base_hz, int orders);

// Figures over (begin, end] of a course that sampled the four integrals first.
Figures figures_of(const Course& course,
                   double cell_s,
                   double begin_s,
                   double end_s,
                   double supply_v_rms,
                   double supply_hz);

}  // namespace etchback::ida
