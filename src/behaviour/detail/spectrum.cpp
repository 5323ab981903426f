#include "behaviour/detail/spectrum.h"

#include <cmath>
#include <numbers>

namespace etchback::behaviour::detail {

namespace {

using Complex = std::complex<double>;

// Integral of an exponential of this rate between its values at two instants, times
// exp(-i w t), whose values there are turn0 and turn1.
Complex piece(
    Complex c0, Complex c1, Complex rate, double w, Complex turn0, Complex turn1, double span_s) {
    const Complex sum = rate - Complex(0.0, w);
    if (std::abs(sum) * span_s < 1e-7) {
        return 0.5 * (c0 * turn0 + c1 * turn1) * span_s;
    }
    return (c1 * turn1 - c0 * turn0) / sum;
}

// A stay that turns the highest order by less than this (radians) is gathered, with others in a
// cell as long, by its moments up to the second: what is left out is less than 1e-4 of what lies in
// it.
constexpr double kShort = 0.2;

}  // namespace

double integral_of_row(
    const Modes& m, const RowVector& row, const double* begin, const double* end, double span) {
    double sum = 0.0;
    for (int k = 0; k < m.own_reals; ++k) {
        const int i = m.real(k);
        sum += row[i] * (end[i] - begin[i]) / m.rate[static_cast<std::size_t>(k)];
    }
    for (int i = m.real(m.own_reals); i < m.real(m.reals); ++i) {
        sum += row[i] * begin[i] * span;
    }
    for (int i = 0; i < m.pairs; ++i) {
        const int a = m.re(i), b = m.im(i);
        const Complex rate = m.pair_rate[static_cast<std::size_t>(i)];
        const double c = rate.real(), d = rate.imag();
        const double size = c * c + d * d;
        const double re = end[a] - begin[a], im = end[b] - begin[b];
        sum += (row[a] * (re * c + im * d) + row[b] * (im * c - re * d)) / size;
    }
    for (int i = 0; i < m.tables; ++i) {
        const int v = m.value(i), s = m.slope(i);
        sum += (0.5 * row[v] * (begin[v] + end[v]) + row[s] * begin[s]) * span;
    }
    return sum;
}

Spectrum::Spectrum(int probe, double base_hz, int orders)
    : probe_(probe),
      omega_(2.0 * std::numbers::pi * base_hz),
      sum_(static_cast<std::size_t>(orders) + 1),
      longest_s_(kShort / (omega_ * static_cast<double>(orders + 1))) {}

void Spectrum::reset() {
    span_s_ = 0.0;
    std::fill(sum_.begin(), sum_.end(), Complex());
    gathered_ = false;
}

// A stay with its integral and its values at both ends, taken as straight between them.
void Spectrum::gather(double whole, double begin, double end, double begin_s, double end_s) {
    const double at = 0.5 * (begin_s + end_s);
    if (gathered_ && std::abs(at - middle_s_) > 0.5 * longest_s_) {
        add_gathered(sum_);
        gathered_ = false;
    }
    if (!gathered_) {
        gathered_ = true;
        middle_s_ = begin_s + 0.5 * longest_s_;
        std::fill(std::begin(moments_), std::end(moments_), 0.0);
    }
    const double off = at - middle_s_, span = end_s - begin_s;
    const double lean = (end - begin) * span * span / 12.0;
    moments_[0] += whole;
    moments_[1] += whole * off + lean;
    moments_[2] += whole * (off * off + span * span / 12.0) + 2.0 * off * lean;
}

// exp(-i w t) = exp(-i w middle) (1 - i w d - w^2 d^2 / 2 + ...), d = t - middle.
void Spectrum::add_gathered(Coefficients& to) const {
    if (!gathered_) {
        return;
    }
    const Complex unit = std::polar(1.0, -omega_ * middle_s_);
    Complex turn = 1.0;
    for (std::size_t k = 0; k < to.size(); ++k) {
        const double w = omega_ * static_cast<double>(k);
        to[k] += turn * Complex(moments_[0] - 0.5 * w * w * moments_[2], -w * moments_[1]);
        turn *= unit;
    }
}

void Spectrum::stay(const Modes& m,
                    const RowVector& row,
                    const double* begin,
                    const double* end,
                    double begin_s,
                    double end_s) {
    const double span = end_s - begin_s;
    span_s_ += span;
    if (span < longest_s_) {
        double first = 0.0, last = 0.0;
        for (int i = 0; i < m.size(); ++i) {
            first += row[i] * begin[i];
            last += row[i] * end[i];
        }
        gather(integral_of_row(m, row, begin, end, span), first, last, begin_s, end_s);
        return;
    }
    const Complex unit0 = std::polar(1.0, -omega_ * begin_s);
    const Complex unit1 = std::polar(1.0, -omega_ * end_s);
    Complex turn0 = 1.0, turn1 = 1.0;
    for (std::size_t k = 0; k < sum_.size(); ++k) {
        const double w = omega_ * static_cast<double>(k);
        Complex sum;
        for (int r = 0; r < m.reals; ++r) {
            const int i = m.real(r);
            if (row[i] != 0.0) {
                sum += row[i] * piece(begin[i],
                                      end[i],
                                      m.rate[static_cast<std::size_t>(r)],
                                      w,
                                      turn0,
                                      turn1,
                                      span);
            }
        }
        for (int i = 0; i < m.pairs; ++i) {
            const int a = m.re(i), b = m.im(i);
            if (row[a] == 0.0 && row[b] == 0.0) {
                continue;
            }
            const Complex weight(0.5 * row[a], -0.5 * row[b]);
            const Complex c0(begin[a], begin[b]), c1(end[a], end[b]);
            const Complex rate = m.pair_rate[static_cast<std::size_t>(i)];
            sum += weight * piece(c0, c1, rate, w, turn0, turn1, span);
            sum += std::conj(weight) *
                   piece(std::conj(c0), std::conj(c1), std::conj(rate), w, turn0, turn1, span);
        }
        for (int i = 0; i < m.tables; ++i) {
            const int v = m.value(i), s = m.slope(i);
            const double slope = begin[s];
            Complex of_slope, of_value;
            if (w == 0.0) {
                of_slope = slope * span;
                of_value = 0.5 * (begin[v] + end[v]) * span;
            } else {
                const Complex turn(0.0, -w);
                of_slope = slope * (turn1 - turn0) / turn;
                of_value = (end[v] * turn1 - begin[v] * turn0 - of_slope) / turn;
            }
            sum += row[v] * of_value + row[s] * of_slope;
        }
        sum_[k] += sum;
        turn0 *= unit0;
        turn1 *= unit1;
    }
}

std::vector<Simulation::Harmonic> Spectrum::harmonics() const {
    std::vector<Simulation::Harmonic> out;
    Coefficients all = sum_;
    add_gathered(all);
    for (std::size_t k = 0; k < all.size(); ++k) {
        const double factor = (k == 0 ? 1.0 : 2.0) / (span_s_ > 0.0 ? span_s_ : 1.0);
        const Complex c = factor * all[k];
        // y = |c| cos(k w t + arg c) = |c| sin(k w t + arg c + pi / 2)
        out.push_back(
            k == 0 ? Simulation::Harmonic{c.real(), 0.0}
                   : Simulation::Harmonic{std::abs(c), std::arg(c) + 0.5 * std::numbers::pi});
    }
    return out;
}

}  // namespace etchback::behaviour::detail
