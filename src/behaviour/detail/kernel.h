// The inner loops: moving amplitudes and evaluating rows. Plain arrays, padded to four.
#pragma once

#include <complex>
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

// Multipliers of one pattern for steps of up to four bits in a row (an odd number up to 15 times a
// power of two ticks), made when first needed. Vectors over eta are padded() long.
class Propagator {
public:
    explicit Propagator(const Modes& modes);
    // eta after `step` ticks, by four bits of the step at a time. `to` is not `from`.
    void advance(const double* from, double* to, Ticks step);
    int padded() const { return padded_; }
    // |rate|^6 by entry of eta; 0 for constants.
    const std::vector<double>& sixth_power() const { return sixth_; }
    // |rate| by entry of eta, padded.
    const std::vector<double>& speed() const { return speed_; }

private:
    // A turn takes every amplitude times the first half of its numbers, and the other part of a
    // pair times the second half.
    void make(std::vector<double>& turn, double h) const;

    int own_reals_, reals_at_, pairs_, values_at_, tables_, padded_;
    std::vector<double> rate_;
    std::vector<std::complex<double>> pair_rate_;
    std::vector<double> sixth_, speed_;
    std::vector<std::vector<double>> turns_;
};

// Rows over eta, stored by column, rows padded to four.
class RowBlock {
public:
    void assign(const std::vector<RowVector>& rows, int columns);
    int stride() const { return stride_; }
    void values(const double* eta, double* f) const;
    const double* column(int c) const { return data_.data() + c * stride_; }

private:
    int stride_ = 0, columns_ = 0;
    std::vector<double> data_;
};

// Rows over eta with their first and second derivatives in time, which are rows over eta, too. Of
// each column first the values' coefficients, then the slopes', then the second derivatives'.
class JetBlock {
public:
    void assign(const std::vector<RowVector>& rows, const Modes& modes);
    int stride() const { return stride_; }
    void values(const double* eta, double* f) const;
    // f, 3 * stride() long: values, slopes, second derivatives.
    void jets(const double* eta, double* f) const;
    const double* column(int c) const { return data_.data() + 3 * c * stride_; }

private:
    int stride_ = 0, columns_ = 0;
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
// is its share; shares below `negligible` cannot matter however fast they move. `out`, by column:
// the other shares times the sixth powers of their rates.
void sixth_derivatives(const double* amount,
                       int stride,
                       int columns,
                       const double* need,
                       const double* eta,
                       const double* sixth,
                       double negligible,
                       double* out);

// `to` = `from` less what an amplitude adds through its column. May be the same.
void take_column(const double* column, int rows, double eta, const double* from, double* to);

// By how much a mode may still lift and sink each row while it fades: a real one as it stands, a
// pair by as much either way. Added to `lift` and `sink`.
void add_fading(const double* row, int stride, double eta, double* lift, double* sink);
void add_ringing(const double* amount, int stride, double size, double* lift, double* sink);

// What a mode may do to the interpolation over a step of h, by column: its amplitude times
// min((rate h)^6 / 46080, the most that a quintic through its jets can stray). Padded to four.
void stray_weights(const double* eta, const double* speed, double h, int padded, double* out);

// Whether any of the values, padded to four, lies at or beyond its bounds.
bool any_outside(const double* f, const double* low, const double* high, int rows);

// Bounds of the quintics through jets (laid out as by JetBlock) at both ends of a step, by row,
// widened by `lift` and `sink`: all of a polynomial lies between the least and the largest of its
// Bezier points. Then, whether any of them, widened once more by its stray, comes to `floor` or
// `ceiling`. `rows` is a multiple of four.
bool reaches(const double* from,
             const double* to,
             double h,
             const double* sink,
             const double* lift,
             const double* stray,
             const double* floor,
             const double* ceiling,
             int rows,
             double* low,
             double* high);

// The error of a quintic over a step of h is at most h^6 / kHermite (6! * 4^3) times the sixth
// derivative. The longest step, of one or two leading bits, that keeps it below 1.
inline constexpr double kHermite = 46080.0;
Ticks step_for(double sixth);

}  // namespace etchback::behaviour::detail
