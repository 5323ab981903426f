// Fourier coefficients of one probe, by exact integrals over every stay.
#pragma once

#include <complex>
#include <vector>

#include "behaviour/detail/modes.h"
#include "behaviour/simulation.h"

namespace etchback::behaviour::detail {

// Exact integral of a row over a stay with these amplitudes at its ends.
double integral_of_row(const Modes& modes,
                       const RowVector& row,
                       const double* begin,
                       const double* end,
                       double span_s);

class Spectrum {
public:
    Spectrum(int probe, double base_hz, int orders);
    int probe() const { return probe_; }
    void reset();
    void stay(const Modes& modes,
              const RowVector& row,
              const double* begin,
              const double* end,
              double begin_s,
              double end_s);
    std::vector<Simulation::Harmonic> harmonics() const;

private:
    int probe_;
    double omega_;
    double span_s_ = 0.0;
    std::vector<std::complex<double>> sum_;  // integral of y exp(-i k omega t)
};

}  // namespace etchback::behaviour::detail
