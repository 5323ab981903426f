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
    using Coefficients = std::vector<std::complex<double>>;
    void gather(double whole, double begin, double end, double begin_s, double end_s);
    void add_gathered(Coefficients& to) const;

    int probe_;
    double omega_;
    double span_s_ = 0.0;
    Coefficients sum_;  // integral of y exp(-i k omega t)
    // Short stays are gathered into cells as moments of y about the cell's middle.
    double middle_s_ = 0.0, longest_s_;
    double moments_[3] = {0.0, 0.0, 0.0};
    bool gathered_ = false;
};

}  // namespace etchback::behaviour::detail
