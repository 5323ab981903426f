#include "behaviour/detail/kernel.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>

// The same source for processors with and without wide registers; without contraction both give
// the same bits.
#define ETCHBACK_WIDE __attribute__((target_clones("avx2", "default")))

namespace etchback::behaviour::detail {

namespace {

typedef double Four __attribute__((vector_size(32), aligned(8), may_alias));

ETCHBACK_WIDE void rows_times(
    const double* data, int stride, int columns, const double* eta, double* f) {
    for (int r = 0; r < stride; r += 4) {
        Four a = {0, 0, 0, 0};
        const double* p = data + r;
        for (int c = 0; c < columns; ++c, p += stride) {
            a += *reinterpret_cast<const Four*>(p) * eta[c];
        }
        *reinterpret_cast<Four*>(f + r) = a;
    }
}

ETCHBACK_WIDE void rows_times3(const double* data,
                               int stride,
                               int columns,
                               const double* e0,
                               const double* e1,
                               const double* e2,
                               double* f0,
                               double* f1,
                               double* f2) {
    for (int r = 0; r < stride; r += 4) {
        Four a = {0, 0, 0, 0}, b = a, d = a;
        const double* p = data + r;
        for (int c = 0; c < columns; ++c, p += stride) {
            const Four row = *reinterpret_cast<const Four*>(p);
            a += row * e0[c];
            b += row * e1[c];
            d += row * e2[c];
        }
        *reinterpret_cast<Four*>(f0 + r) = a;
        *reinterpret_cast<Four*>(f1 + r) = b;
        *reinterpret_cast<Four*>(f2 + r) = d;
    }
}

}  // namespace

Ticks ticks(double s) {
    return std::llround(s * 0x1p40);
}

Propagator::Propagator(const Modes& m)
    : reals_(m.reals),
      own_reals_(m.own_reals),
      pairs_(m.pairs),
      tables_(m.tables),
      padded_((m.size() + 3) / 4 * 4),
      rate_(m.rate),
      levels_(kTickBits + 8) {
    sixth_.assign(static_cast<std::size_t>(padded_), 0.0);
    speed_.assign(static_cast<std::size_t>(padded_), 0.0);
    for (int k = 0; k < reals_; ++k) {
        speed_[static_cast<std::size_t>(k)] = std::abs(rate_[static_cast<std::size_t>(k)]);
    }
    for (int k = 0; k < pairs_; ++k) {
        const double r = std::abs(m.pair_rate[static_cast<std::size_t>(k)]);
        speed_[static_cast<std::size_t>(m.re(k))] = speed_[static_cast<std::size_t>(m.im(k))] = r;
    }
    const auto sixth = [](double r) { return r * r * r * r * r * r; };
    for (int k = 0; k < reals_; ++k) {
        sixth_[static_cast<std::size_t>(k)] = sixth(rate_[static_cast<std::size_t>(k)]);
    }
    for (int k = 0; k < pairs_; ++k) {
        const auto mu = m.pair_rate[static_cast<std::size_t>(k)];
        pair_re_.push_back(mu.real());
        pair_im_.push_back(mu.imag());
        sixth_[static_cast<std::size_t>(m.re(k))] = sixth(std::abs(mu));
        sixth_[static_cast<std::size_t>(m.im(k))] = sixth(std::abs(mu));
    }
}

const Propagator::Level& Propagator::level(int k) {
    Level& l = levels_[static_cast<std::size_t>(k)];
    if (l.h == 0.0) {
        l.h = std::ldexp(1.0, k - kTickBits);
        for (int i = 0; i < own_reals_; ++i) {
            l.real.push_back(std::exp(rate_[static_cast<std::size_t>(i)] * l.h));
        }
        for (int i = 0; i < pairs_; ++i) {
            const auto e = std::exp(std::complex<double>(pair_re_[static_cast<std::size_t>(i)],
                                                         pair_im_[static_cast<std::size_t>(i)]) *
                                    l.h);
            l.re.push_back(e.real());
            l.im.push_back(e.imag());
        }
    }
    return l;
}

void Propagator::advance(double* eta, Ticks step) {
    auto bits = static_cast<std::uint64_t>(step);
    double* re = eta + reals_;
    double* im = re + pairs_;
    double* value = im + pairs_;
    double* slope = value + tables_;
    while (bits != 0) {
        const Level& l = level(std::countr_zero(bits));
        bits &= bits - 1;
        for (int i = 0; i < own_reals_; ++i) {
            eta[i] *= l.real[static_cast<std::size_t>(i)];
        }
        for (int i = 0; i < pairs_; ++i) {
            const double a = re[i], b = im[i];
            const double c = l.re[static_cast<std::size_t>(i)],
                         d = l.im[static_cast<std::size_t>(i)];
            re[i] = a * c - b * d;
            im[i] = a * d + b * c;
        }
        for (int i = 0; i < tables_; ++i) {
            value[i] += slope[i] * l.h;
        }
    }
}

void Propagator::derivatives(const double* eta, double* first, double* second) const {
    for (int i = 0; i < reals_; ++i) {
        const double r = rate_[static_cast<std::size_t>(i)];
        first[i] = r * eta[i];
        second[i] = r * first[i];
    }
    for (int i = 0; i < pairs_; ++i) {
        const double c = pair_re_[static_cast<std::size_t>(i)];
        const double d = pair_im_[static_cast<std::size_t>(i)];
        const int a = reals_ + i, b = a + pairs_;
        first[a] = eta[a] * c - eta[b] * d;
        first[b] = eta[a] * d + eta[b] * c;
        second[a] = first[a] * c - first[b] * d;
        second[b] = first[a] * d + first[b] * c;
    }
    for (int i = 0; i < tables_; ++i) {
        const int v = reals_ + 2 * pairs_ + i, s = v + tables_;
        first[v] = eta[s];
        first[s] = second[v] = second[s] = 0.0;
    }
}

void RowBlock::assign(const std::vector<RowVector>& rows, int columns) {
    rows_ = static_cast<int>(rows.size());
    stride_ = (rows_ + 3) / 4 * 4;
    columns_ = columns;
    data_.assign(static_cast<std::size_t>(stride_ * columns), 0.0);
    for (int r = 0; r < rows_; ++r) {
        for (int c = 0; c < columns; ++c) {
            data_[static_cast<std::size_t>(c * stride_ + r)] = rows[static_cast<std::size_t>(r)][c];
        }
    }
}

void RowBlock::assign(std::vector<double> data, int rows, int columns) {
    rows_ = rows;
    stride_ = (rows + 3) / 4 * 4;
    columns_ = columns;
    data_ = std::move(data);
}

void RowBlock::values(const double* eta, double* f) const {
    rows_times(data_.data(), stride_, columns_, eta, f);
}

void RowBlock::values3(const double* eta,
                       const double* d1,
                       const double* d2,
                       double* f,
                       double* f1,
                       double* f2) const {
    rows_times3(data_.data(), stride_, columns_, eta, d1, d2, f, f1, f2);
}

ETCHBACK_WIDE double sixth_derivative(const double* amount,
                                      int stride,
                                      int columns,
                                      const double* need,
                                      const double* eta,
                                      const double* sixth,
                                      double negligible) {
    double sum = 0.0;
    for (int c = 0; c < columns; ++c, amount += stride) {
        if (sixth[c] == 0.0 || eta[c] == 0.0) {
            continue;
        }
        Four largest = {0, 0, 0, 0};
        for (int r = 0; r < stride; r += 4) {
            const Four share = *reinterpret_cast<const Four*>(amount + r) *
                               *reinterpret_cast<const Four*>(need + r);
            largest = share > largest ? share : largest;
        }
        const double share =
            std::max(std::max(largest[0], largest[1]), std::max(largest[2], largest[3])) *
            std::abs(eta[c]);
        sum += followed(share, negligible) * sixth[c];
    }
    return sum;
}

ETCHBACK_WIDE void hull(const double* f0,
                        const double* d0,
                        const double* c0,
                        const double* f1,
                        const double* d1,
                        const double* c1,
                        double h,
                        int rows,
                        double* low,
                        double* high) {
    const double h1 = h / 5.0, h2 = h * h / 20.0;
    for (int r = 0; r < rows; r += 4) {
        const Four b0 = *reinterpret_cast<const Four*>(f0 + r);
        const Four b5 = *reinterpret_cast<const Four*>(f1 + r);
        const Four s0 = *reinterpret_cast<const Four*>(d0 + r) * h1;
        const Four s5 = *reinterpret_cast<const Four*>(d1 + r) * h1;
        const Four b1 = b0 + s0, b4 = b5 - s5;
        const Four b2 = b1 + s0 + *reinterpret_cast<const Four*>(c0 + r) * h2;
        const Four b3 = b4 - s5 + *reinterpret_cast<const Four*>(c1 + r) * h2;
        Four least = b0 < b1 ? b0 : b1, largest = b0 > b1 ? b0 : b1;
        least = least < b2 ? least : b2;
        least = least < b3 ? least : b3;
        least = least < b4 ? least : b4;
        least = least < b5 ? least : b5;
        largest = largest > b2 ? largest : b2;
        largest = largest > b3 ? largest : b3;
        largest = largest > b4 ? largest : b4;
        largest = largest > b5 ? largest : b5;
        *reinterpret_cast<Four*>(low + r) = least;
        *reinterpret_cast<Four*>(high + r) = largest;
    }
}

Ticks step_for(double sixth) {
    constexpr Ticks longest = Ticks{1} << (kTickBits - 1);
    if (!(sixth > kHermite * 64.0)) {
        return longest;
    }
    // h^6 = kHermite / sixth >= 2^e
    const int e = std::ilogb(kHermite / sixth);
    const int whole = (e >= 0 ? e : e - 5) / 6;
    const int rest = e - 6 * whole;
    const int level = kTickBits + whole;
    if (level < 1) {
        return 1;
    }
    const Ticks step = Ticks{1} << level;
    return rest >= 4 ? step + step / 2 : step;  // 2^(4/6) > 1.5
}

}  // namespace etchback::behaviour::detail
