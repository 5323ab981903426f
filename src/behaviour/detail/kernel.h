// The inner loops: moving amplitudes and evaluating rows. Plain arrays, padded to four.
#pragma once

#include <cstdint>
#include <vector>

#include "behaviour/detail/modes.h"

namespace etchback::behaviour::detail {

// Time counts in ticks of 2^-40 s (0.9 ps), so steps by powers of two are exact.
using Ticks = std::int64_t;
inline constexpr int kTickBits = 40;
inline double seconds(Ticks t) {
    return static_cast<double>(t) * 0x1p-40;
}
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
    // |rate| by entry of eta, padded.
    const std::vector<double>& speed() const { return speed_; }

private:
    struct Level {
        std::vector<double> real, re, im;
        double h = 0.0;
    };
    const Level& level(int k);

    int reals_, own_reals_, pairs_, tables_, padded_;
    std::vector<double> rate_, pair_re_, pair_im_, sixth_, speed_;
    std::vector<Level> levels_;
};

// Rows over eta, stored by column, rows padded to four.
class RowBlock {
public:
    void assign(const std::vector<RowVector>& rows, int columns);
    void assign(std::vector<double> data, int rows, int columns);  // laid out already
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
    const std::vector<double>& data() const { return data_; }

private:
    int rows_ = 0, stride_ = 0, columns_ = 0;
    std::vector<double> data_;
};

// How much of an amplitude's share counts in the sixth derivative. One below `negligible` need not
// be followed, but its first and second derivatives stand in the jets: the step is held so short
// that they bend the quintic by no more than the share allows (share (rate h)^2 < 20, as a sixth
// derivative: 46080 (share / 20)^3).
inline double followed(double share, double negligible) {
    return share > negligible ? share : 5.76 * share * share * share;
}

// How finely amplitudes must be followed. For each column, the largest of amount * need over the
// rows (what one unit of the amplitude is, in units of what each row allows) times the amplitude
// is its share; shares below `negligible` cannot matter however fast they move. The sum of the
// others' shares times the sixth powers of their rates.
double sixth_derivative(const double* amount,
                        int stride,
                        int columns,
                        const double* need,
                        const double* eta,
                        const double* sixth,
                        double negligible);

// Bounds of the quintics through jets at both ends of a step, by row: all of a polynomial lies
// between the least and the largest of its Bezier points.
void hull(const double* f0,
          const double* d0,
          const double* c0,
          const double* f1,
          const double* d1,
          const double* c1,
          double h,
          int rows,
          double* low,
          double* high);

// The error of a quintic over a step of h is at most h^6 / kHermite (6! * 4^3) times the sixth
// derivative. The longest step, of one or two leading bits, that keeps it below 1.
inline constexpr double kHermite = 46080.0;
Ticks step_for(double sixth);

}  // namespace etchback::behaviour::detail
