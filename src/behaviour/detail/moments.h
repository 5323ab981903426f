// Exact integrals of products of amplitudes over all stays in one pattern.
//
// Over a stay, (c_a c_b)' = (rate_a + rate_b) c_a c_b, so the integral of a product is its change
// divided by the sum of the rates. Only the changes are summed while time runs; the division comes
// once, at the end. Products of sources among themselves, whose rates may sum to zero, are
// integrated in closed form stay by stay.
#pragma once

#include "behaviour/detail/kernel.h"
#include "behaviour/detail/modes.h"

namespace etchback::behaviour::detail {

class Moments {
public:
    void reset(const Modes& modes);
    // A stay begins and ends with these amplitudes, padded to four.
    void enter(const double* eta);
    void leave(const double* eta, double span_s);
    double span_s() const { return span_s_; }
    // Amplitudes with which the stay under way began, padded to four.
    const double* begin() const { return start_.data(); }
    // Integral of eta eta^T.
    Matrix integral(const Modes& modes) const;

private:
    void add_sources(const double* end, double span_s);

    // Amplitudes of constants, sources' cosines and tables' values begin at these positions.
    int constants_ = 0, cosines_ = 0, values_ = 0;
    int size_ = 0, stride_ = 0, tables_ = 0, constant_count_ = 0;
    double span_s_ = 0.0;
    std::vector<double> omega_;   // of the sines
    std::vector<double> change_;  // of eta eta^T from the diagonal on, rows padded to four
    std::vector<double> start_;
    Matrix sources_;  // integral over the products of sources, by position in eta
};

}  // namespace etchback::behaviour::detail
