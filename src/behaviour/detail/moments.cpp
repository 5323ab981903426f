#include "behaviour/detail/moments.h"

#include <array>
#include <cmath>

namespace etchback::behaviour::detail {

namespace {

using Complex = std::complex<double>;

typedef double Four __attribute__((vector_size(32), aligned(8), may_alias));

// change += end end^T - begin begin^T, in rows padded to four: what lies left of the diagonal's
// quads is left out.
__attribute__((target_clones("avx2", "default"))) void add_change(
    double* change, const double* begin, const double* end, int n, int stride) {
    for (int i = 0; i < n; ++i, change += stride) {
        const double a = end[i], b = begin[i];
        for (int k = i & ~3; k < stride; k += 4) {
            *reinterpret_cast<Four*>(change + k) += a * *reinterpret_cast<const Four*>(end + k) -
                                                    b * *reinterpret_cast<const Four*>(begin + k);
        }
    }
}

// Nodes and weights of Gauss and Legendre's rule of six points on [0, 1] (Abramowitz and Stegun,
// table 25.4).
constexpr std::array<double, 6> kNodes = {0.033765242898424,
                                          0.169395306766868,
                                          0.380690406958402,
                                          0.619309593041598,
                                          0.830604693233132,
                                          0.966234757101576};
constexpr std::array<double, 6> kWeights = {0.085662246189585,
                                            0.180380786524069,
                                            0.233956967286346,
                                            0.233956967286346,
                                            0.180380786524069,
                                            0.085662246189585};

}  // namespace

void Moments::reset(const Modes& m) {
    size_ = m.size();
    cosines_ = m.re(m.own_pairs);
    constants_ = m.real(m.own_reals);
    constant_count_ = m.reals - m.own_reals;
    values_ = m.value(0);
    tables_ = m.tables;
    span_s_ = 0.0;
    omega_.clear();
    for (int k = m.own_pairs; k < m.pairs; ++k) {
        omega_.push_back(m.pair_rate[static_cast<std::size_t>(k)].imag());
    }
    stride_ = (size_ + 3) / 4 * 4;
    change_.assign(static_cast<std::size_t>(size_ * stride_), 0.0);
    start_.assign(static_cast<std::size_t>(stride_), 0.0);
    sources_ = Matrix::Zero(size_, size_);
}

void Moments::enter(const double* eta) {
    std::copy(eta, eta + size_, start_.begin());
}

void Moments::leave(const double* eta, double span_s) {
    add_change(change_.data(), start_.data(), eta, size_, stride_);
    span_s_ += span_s;
    add_sources(eta, span_s);
}

void Moments::add_sources(const double* end, double span_s) {
    const double* begin = start_.data();
    const int constants_end = constants_ + constant_count_;
    for (int i = constants_; i < constants_end; ++i) {
        for (int k = constants_; k <= i; ++k) {
            sources_(i, k) += begin[i] * begin[k] * span_s;
        }
    }
    const auto sines = static_cast<int>(omega_.size());
    if (sines == 1 && tables_ == 0) {
        const int c = cosines_, s = c + 1;
        const double w = omega_[0];
        const double dc = end[c] - begin[c], ds = end[s] - begin[s];
        for (int k = constants_; k < constants_end; ++k) {
            sources_(k, c) += begin[k] * ds / w;
            sources_(k, s) -= begin[k] * dc / w;
        }
        const double square = begin[c] * begin[c] + begin[s] * begin[s];
        const double turn = (end[s] * end[c] - begin[s] * begin[c]) / w;
        sources_(s, s) += 0.5 * (square * span_s - turn);
        sources_(c, c) += 0.5 * (square * span_s + turn);
        sources_(s, c) += 0.5 * (end[s] * end[s] - begin[s] * begin[s]) / w;
        return;
    }
    if (sines == 0 && tables_ == 0) {
        return;
    }
    // Several sines or tables: Gauss and Legendre's rule on pieces of a radian at most.
    double fastest = 0.0;
    for (const double w : omega_) {
        fastest = std::max(fastest, w);
    }
    const int pieces = 1 + static_cast<int>(fastest * span_s);
    std::vector<int> at;
    for (int i = constants_; i < constants_end; ++i) {
        at.push_back(i);
    }
    const auto first_moving = at.size();
    for (int i = cosines_; i < cosines_ + 2 * sines; ++i) {
        at.push_back(i);
    }
    for (int i = values_; i < size_; ++i) {
        at.push_back(i);
    }
    std::vector<double> now(start_);
    for (int piece = 0; piece < pieces; ++piece) {
        for (std::size_t q = 0; q < kNodes.size(); ++q) {
            const double t = (piece + kNodes[q]) * span_s / pieces;
            for (int i = 0; i < sines; ++i) {
                const int c = cosines_ + 2 * i, s = c + 1;
                const double co = std::cos(omega_[static_cast<std::size_t>(i)] * t);
                const double si = std::sin(omega_[static_cast<std::size_t>(i)] * t);
                now[static_cast<std::size_t>(c)] = begin[c] * co - begin[s] * si;
                now[static_cast<std::size_t>(s)] = begin[s] * co + begin[c] * si;
            }
            for (int i = 0; i < tables_; ++i) {
                const int v = values_ + i;
                now[static_cast<std::size_t>(v)] = begin[v] + begin[v + tables_] * t;
            }
            const double weight = kWeights[q] * span_s / pieces;
            for (std::size_t a = first_moving; a < at.size(); ++a) {
                for (std::size_t b = 0; b <= a; ++b) {
                    const int i = std::max(at[a], at[b]), k = std::min(at[a], at[b]);
                    sources_(i, k) += weight * now[static_cast<std::size_t>(i)] *
                                      now[static_cast<std::size_t>(k)];
                }
            }
        }
    }
}

Matrix Moments::integral(const Modes& m) const {
    Matrix d(size_, size_);
    for (int i = 0; i < size_; ++i) {
        for (int k = i; k < size_; ++k) {
            d(i, k) = d(k, i) = change_[static_cast<std::size_t>(i * stride_ + k)];
        }
    }
    // Every coordinate as a complex exponential: re + i im, or a real one alone.
    struct Mode {
        int re, im;
        Complex rate;
        bool own;
    };
    std::vector<Mode> modes;
    for (int i = 0; i < m.reals; ++i) {
        modes.push_back({m.real(i), -1, m.rate[static_cast<std::size_t>(i)], i < m.own_reals});
    }
    for (int i = 0; i < m.pairs; ++i) {
        modes.push_back(
            {m.re(i), m.im(i), m.pair_rate[static_cast<std::size_t>(i)], i < m.own_pairs});
    }
    const auto change = [&](int i, int k) { return i < 0 || k < 0 ? 0.0 : d(i, k); };
    Matrix w = Matrix::Zero(size_, size_);
    const auto put = [&](int i, int k, double value) {
        if (i >= 0 && k >= 0) {
            w(i, k) = w(k, i) = value;
        }
    };
    for (const Mode& a : modes) {
        if (!a.own) {
            continue;
        }
        for (const Mode& b : modes) {
            const double rr = change(a.re, b.re), ii = change(a.im, b.im);
            const double ri = change(a.re, b.im), ir = change(a.im, b.re);
            const Complex w1 = Complex(rr - ii, ri + ir) / (a.rate + b.rate);
            const Complex w2 = Complex(rr + ii, ir - ri) / (a.rate + std::conj(b.rate));
            put(a.re, b.re, 0.5 * (w1 + w2).real());
            put(a.im, b.im, 0.5 * (w2 - w1).real());
            put(a.re, b.im, 0.5 * (w1 - w2).imag());
            put(a.im, b.re, 0.5 * (w1 + w2).imag());
        }
        for (int t = 0; t < tables_; ++t) {
            const int v = m.value(t), s = m.slope(t);
            const Complex by_slope = Complex(change(a.re, s), change(a.im, s)) / a.rate;
            const Complex by_value =
                (Complex(change(a.re, v), change(a.im, v)) - by_slope) / a.rate;
            put(a.re, s, by_slope.real());
            put(a.im, s, by_slope.imag());
            put(a.re, v, by_value.real());
            put(a.im, v, by_value.imag());
        }
    }
    const auto source = [&](int at) {
        return (at >= constants_ && at < constants_ + constant_count_) || at >= values_ ||
               (at >= cosines_ && at < cosines_ + 2 * static_cast<int>(omega_.size()));
    };
    for (int i = 0; i < size_; ++i) {
        for (int k = 0; k <= i; ++k) {
            if (source(i) && source(k)) {
                w(i, k) = w(k, i) = sources_(i, k);
            }
        }
    }
    return w;
}

}  // namespace etchback::behaviour::detail
