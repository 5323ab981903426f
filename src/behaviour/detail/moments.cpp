#include "behaviour/detail/moments.h"

#include <array>
#include <cmath>

namespace etchback::behaviour::detail {

namespace {

using Complex = std::complex<double>;

typedef double Four __attribute__((vector_size(32), aligned(8), may_alias));

// change += sign * eta eta^T, in rows padded to four: what lies left of the diagonal's quads is
// left out.
__attribute__((target_clones("avx2", "default"))) void add_square(
    double* change, const double* eta, int n, int stride, double sign) {
    for (int i = 0; i < n; ++i, change += stride) {
        const double a = sign * eta[i];
        for (int k = i & ~3; k < stride; k += 4) {
            *reinterpret_cast<Four*>(change + k) += a * *reinterpret_cast<const Four*>(eta + k);
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
    own_reals_ = m.own_reals;
    reals_ = m.reals;
    own_pairs_ = m.own_pairs;
    pairs_ = m.pairs;
    tables_ = m.tables;
    span_s_ = 0.0;
    omega_.clear();
    for (int k = own_pairs_; k < pairs_; ++k) {
        omega_.push_back(m.pair_rate[static_cast<std::size_t>(k)].imag());
    }
    stride_ = (size_ + 3) / 4 * 4;
    change_.assign(static_cast<std::size_t>(size_ * stride_), 0.0);
    start_.assign(static_cast<std::size_t>(size_), 0.0);
    sources_ = Matrix::Zero(size_, size_);
}

void Moments::enter(const double* eta) {
    add_square(change_.data(), eta, size_, stride_, -1.0);
    std::copy(eta, eta + size_, start_.begin());
}

void Moments::leave(const double* eta, double span_s) {
    add_square(change_.data(), eta, size_, stride_, 1.0);
    span_s_ += span_s;
    add_sources(eta, span_s);
}

void Moments::add_sources(const double* end, double span_s) {
    const double* begin = start_.data();
    for (int i = own_reals_; i < reals_; ++i) {
        for (int k = own_reals_; k <= i; ++k) {
            sources_(i, k) += begin[i] * begin[k] * span_s;
        }
    }
    const int sines = pairs_ - own_pairs_;
    if (sines == 1 && tables_ == 0) {
        const int c = reals_ + own_pairs_, s = c + pairs_;
        const double w = omega_[0];
        const double dc = end[c] - begin[c], ds = end[s] - begin[s];
        for (int k = own_reals_; k < reals_; ++k) {
            sources_(c, k) += begin[k] * ds / w;
            sources_(s, k) -= begin[k] * dc / w;
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
    for (int i = own_reals_; i < reals_; ++i) {
        at.push_back(i);
    }
    const auto first_moving = at.size();
    for (int i = own_pairs_; i < pairs_; ++i) {
        at.push_back(reals_ + i);
    }
    for (int i = own_pairs_; i < pairs_; ++i) {
        at.push_back(reals_ + pairs_ + i);
    }
    for (int i = reals_ + 2 * pairs_; i < size_; ++i) {
        at.push_back(i);
    }
    std::vector<double> now(start_);
    for (int piece = 0; piece < pieces; ++piece) {
        for (std::size_t q = 0; q < kNodes.size(); ++q) {
            const double t = (piece + kNodes[q]) * span_s / pieces;
            for (int i = 0; i < sines; ++i) {
                const int c = reals_ + own_pairs_ + i, s = c + pairs_;
                const double co = std::cos(omega_[static_cast<std::size_t>(i)] * t);
                const double si = std::sin(omega_[static_cast<std::size_t>(i)] * t);
                now[static_cast<std::size_t>(c)] = begin[c] * co - begin[s] * si;
                now[static_cast<std::size_t>(s)] = begin[s] * co + begin[c] * si;
            }
            for (int i = 0; i < tables_; ++i) {
                const int v = reals_ + 2 * pairs_ + i;
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
    for (int i = 0; i < reals_; ++i) {
        modes.push_back({i, -1, m.rate[static_cast<std::size_t>(i)], i < own_reals_});
    }
    for (int i = 0; i < pairs_; ++i) {
        modes.push_back(
            {m.re(i), m.im(i), m.pair_rate[static_cast<std::size_t>(i)], i < own_pairs_});
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
    const int first = own_reals_;
    for (int i = first; i < size_; ++i) {
        for (int k = first; k <= i; ++k) {
            const auto source = [&](int at) {
                return (at >= own_reals_ && at < reals_) ||
                       (at >= reals_ + own_pairs_ && at < reals_ + pairs_) ||
                       at >= reals_ + pairs_ + own_pairs_;
            };
            if (source(i) && source(k)) {
                w(i, k) = w(k, i) = sources_(i, k);
            }
        }
    }
    return w;
}

}  // namespace etchback::behaviour::detail
