// The inner loops: moving amplitudes and evaluating rows. Plain arrays, padded to four.
#pragma once

#include <cstdint>
#include <vector>

#include "behaviour/detail/modes.h"

namespace etchback::behaviour::detail {

// Time counts in ticks of 2^-40 s (0.9 ps), so steps by powers of two are exact.
using Ticks = std::int64_t;
inline constexpr int kTickBits = 40;
double seconds(Ticks t);
Ticks ticks(double seconds);

// Multipliers of one pattern for steps of 2^level ticks, made when first needed.
class Propagator {
public:
    explicit Propagator(const Modes& modes);
    // Moves eta by `step` ticks, bit by bit of the step.
    void advance(double* eta, Ticks step);
    // First and second derivative.
    void derivatives(const double* eta, double* first, double* second) const;
    int padded() const { return padded_; }
    // |rate|^6 by entry of eta; 0 for constants.
    const std::vector<double>& sixth_power() const { return sixth_; }

private:
    struct Level {
        std::vector<double> real, re, im;
        double h = 0.0;
    };
    const Level& level(int k);

    int reals_, own_reals_, pairs_, tables_, padded_;
    std::vector<double> rate_, pair_re_, pair_im_, sixth_;
    std::vector<Level> levels_;
};

// Rows over eta, stored by column, rows padded to four.
class RowBlock {
public:
    void assign(const std::vector<RowVector>& rows, int columns);
    int rows() const { return rows_; }
    int stride() const { return stride_; }
    void values(const double* eta, double* f) const;
    void values3(const double* eta,
                 const double* d1,
                 const double* d2,
                 double* f,
                 double* f1,
                 double* f2) const;
    double at(int row, int column) const {
        return data_[static_cast<std::size_t>(column * stride_ + row)];
    }

private:
    int rows_ = 0, stride_ = 0, columns_ = 0;
    std::vector<double> data_;
};

// sum |a_i| |b_i|
double weighted_sum(const double* a, const double* b, int n);

}  // namespace etchback::behaviour::detail
