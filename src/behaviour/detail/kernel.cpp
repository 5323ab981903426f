#include "behaviour/detail/kernel.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

// The same source for processors with and without wide registers; without contraction both give
// the same bits.
#define ETCHBACK_WIDE __attribute__((target_clones("avx2", "default")))

namespace etchback::behaviour::detail {

namespace {

typedef double Four __attribute__((vector_size(32), aligned(8), may_alias));

template <int quads>
__attribute__((always_inline)) inline void rows_times_block(
    const double* data, int stride, int columns, const double* eta, double* f) {
    Four a[quads];
#pragma GCC unroll 4
    for (int q = 0; q < quads; ++q) {
        a[q] = Four{0, 0, 0, 0};
    }
    for (int c = 0; c < columns; ++c, data += stride) {
        const double x = eta[c];
#pragma GCC unroll 4
        for (int q = 0; q < quads; ++q) {
            a[q] += *reinterpret_cast<const Four*>(data + 4 * q) * x;
        }
    }
#pragma GCC unroll 4
    for (int q = 0; q < quads; ++q) {
        *reinterpret_cast<Four*>(f + 4 * q) = a[q];
    }
}

ETCHBACK_WIDE void rows_times(
    const double* data, int stride, int columns, const double* eta, double* f) {
    int r = 0;
    for (; r + 16 <= stride; r += 16) {
        rows_times_block<4>(data + r, stride, columns, eta, f + r);
    }
    for (; r + 12 <= stride; r += 12) {
        rows_times_block<3>(data + r, stride, columns, eta, f + r);
    }
    for (; r < stride; r += 4) {
        rows_times_block<1>(data + r, stride, columns, eta, f + r);
    }
}

// Quads of rows that share the loads of a column's amplitudes.
template <int quads>
__attribute__((always_inline)) inline void rows_times3_block(const double* data,
                                                             int stride,
                                                             int columns,
                                                             const double* e0,
                                                             const double* e1,
                                                             const double* e2,
                                                             double* f0,
                                                             double* f1,
                                                             double* f2) {
    Four a[quads], b[quads], d[quads];
#pragma GCC unroll 4
    for (int q = 0; q < quads; ++q) {
        a[q] = b[q] = d[q] = Four{0, 0, 0, 0};
    }
    for (int c = 0; c < columns; ++c, data += stride) {
        const double x0 = e0[c], x1 = e1[c], x2 = e2[c];
#pragma GCC unroll 4
        for (int q = 0; q < quads; ++q) {
            const Four row = *reinterpret_cast<const Four*>(data + 4 * q);
            a[q] += row * x0;
            b[q] += row * x1;
            d[q] += row * x2;
        }
    }
#pragma GCC unroll 4
    for (int q = 0; q < quads; ++q) {
        *reinterpret_cast<Four*>(f0 + 4 * q) = a[q];
        *reinterpret_cast<Four*>(f1 + 4 * q) = b[q];
        *reinterpret_cast<Four*>(f2 + 4 * q) = d[q];
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
    int r = 0;
    for (; r + 12 <= stride; r += 12) {
        rows_times3_block<3>(data + r, stride, columns, e0, e1, e2, f0 + r, f1 + r, f2 + r);
    }
    for (; r + 8 <= stride; r += 8) {
        rows_times3_block<2>(data + r, stride, columns, e0, e1, e2, f0 + r, f1 + r, f2 + r);
    }
    for (; r < stride; r += 4) {
        rows_times3_block<1>(data + r, stride, columns, e0, e1, e2, f0 + r, f1 + r, f2 + r);
    }
}

}  // namespace

Ticks ticks(double s) {
    return std::llround(s * 0x1p40);
}

namespace {

constexpr int kDigits = 8;  // 1, 3, 5 ... 15

ETCHBACK_WIDE void turn_all(const double* own,
                            const double* other,
                            int reals,
                            int pairs,
                            int padded,
                            const double* from,
                            double* to) {
    for (int i = 0; i < padded; i += 4) {
        *reinterpret_cast<Four*>(to + i) =
            *reinterpret_cast<const Four*>(from + i) * *reinterpret_cast<const Four*>(own + i);
    }
    // Quads that reach beyond the pairs find zeros in `other` there.
    const double* re = from + reals;
    const double* im = re + pairs;
    for (int i = 0; i < pairs; i += 4) {
        *reinterpret_cast<Four*>(to + reals + i) -=
            *reinterpret_cast<const Four*>(im + i) * *reinterpret_cast<const Four*>(other + i);
    }
    for (int i = 0; i < pairs; i += 4) {
        *reinterpret_cast<Four*>(to + reals + pairs + i) +=
            *reinterpret_cast<const Four*>(re + i) * *reinterpret_cast<const Four*>(other + i);
    }
}

}  // namespace

Propagator::Propagator(const Modes& m)
    : reals_(m.reals),
      own_reals_(m.own_reals),
      pairs_(m.pairs),
      tables_(m.tables),
      padded_((std::max(m.size(), m.reals + m.pairs + (m.pairs + 3) / 4 * 4) + 3) / 4 * 4),
      rate_(m.rate),
      turns_(static_cast<std::size_t>(kDigits * (kTickBits + 8))) {
    sixth_.assign(static_cast<std::size_t>(padded_), 0.0);
    speed_.assign(static_cast<std::size_t>(padded_), 0.0);
    between_.assign(static_cast<std::size_t>(padded_), 0.0);
    for (int k = 0; k < reals_; ++k) {
        speed_[static_cast<std::size_t>(k)] = std::abs(rate_[static_cast<std::size_t>(k)]);
    }
    for (const auto& mu : m.pair_rate) {
        pair_re_.push_back(mu.real());
        pair_im_.push_back(mu.imag());
    }
    for (int k = 0; k < pairs_; ++k) {
        const double r = std::abs(m.pair_rate[static_cast<std::size_t>(k)]);
        speed_[static_cast<std::size_t>(m.re(k))] = speed_[static_cast<std::size_t>(m.im(k))] = r;
    }
    for (std::size_t i = 0; i < sixth_.size(); ++i) {
        const double r = speed_[i];
        sixth_[i] = r * r * r * r * r * r;
    }
    rates_.own.assign(static_cast<std::size_t>(padded_), 0.0);
    rates_.other.assign(static_cast<std::size_t>(pairs_ + 4), 0.0);
    for (int i = 0; i < reals_; ++i) {
        rates_.own[static_cast<std::size_t>(i)] = rate_[static_cast<std::size_t>(i)];
    }
    for (int i = 0; i < pairs_; ++i) {
        const auto k = static_cast<std::size_t>(i);
        rates_.own[static_cast<std::size_t>(m.re(i))] =
            rates_.own[static_cast<std::size_t>(m.im(i))] = pair_re_[k];
        rates_.other[k] = pair_im_[k];
    }
}

const Propagator::Turn& Propagator::turn(int level, int digit) {
    Turn& t = turns_[static_cast<std::size_t>(level * kDigits + digit / 2)];
    if (t.h == 0.0) {
        t.h = std::ldexp(digit, level - kTickBits);
        t.own.assign(static_cast<std::size_t>(padded_), 1.0);
        t.other.assign(static_cast<std::size_t>(pairs_ + 4), 0.0);
        for (int i = 0; i < own_reals_; ++i) {
            t.own[static_cast<std::size_t>(i)] = std::exp(rate_[static_cast<std::size_t>(i)] * t.h);
        }
        for (int i = 0; i < pairs_; ++i) {
            const auto k = static_cast<std::size_t>(i);
            const auto e = std::exp(std::complex<double>(pair_re_[k], pair_im_[k]) * t.h);
            t.own[static_cast<std::size_t>(reals_ + i)] =
                t.own[static_cast<std::size_t>(reals_ + pairs_ + i)] = e.real();
            t.other[k] = e.imag();
        }
    }
    return t;
}

void Propagator::apply(const Turn& t, const double* from, double* to) const {
    turn_all(t.own.data(), t.other.data(), reals_, pairs_, padded_, from, to);
}

void Propagator::advance(const double* from, double* to, Ticks step) {
    auto bits = static_cast<std::uint64_t>(step);
    if (bits == 0) {
        std::copy(from, from + padded_, to);
        return;
    }
    // The last turn ends in `to`, so they begin in the one or the other.
    int turns = 0;
    for (std::uint64_t b = bits; b != 0; b &= ~(std::uint64_t{15} << std::countr_zero(b))) {
        ++turns;
    }
    while (bits != 0) {
        const int level = std::countr_zero(bits);
        const int digit = static_cast<int>((bits >> level) & 15);
        bits &= ~(std::uint64_t{15} << level);
        const Turn& t = turn(level, digit);
        double* target = --turns % 2 == 0 ? to : between_.data();
        apply(t, from, target);
        for (int i = 0; i < tables_; ++i) {
            const int value = reals_ + 2 * pairs_ + i;
            target[value] += target[value + tables_] * t.h;
        }
        from = target;
    }
}

void Propagator::derivatives(const double* eta, double* first, double* second) const {
    apply(rates_, eta, first);
    for (int i = 0; i < tables_; ++i) {
        const int value = reals_ + 2 * pairs_ + i;
        first[value] = eta[value + tables_];
    }
    apply(rates_, first, second);
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

ETCHBACK_WIDE void sixth_derivatives(const double* amount,
                                     int stride,
                                     int columns,
                                     const double* need,
                                     const double* eta,
                                     const double* sixth,
                                     double negligible,
                                     double* out) {
    for (int c = 0; c < columns; ++c, amount += stride) {
        out[c] = 0.0;
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
        out[c] = followed(share, negligible) * sixth[c];
    }
}

ETCHBACK_WIDE void take_column(const double* row,
                               int stride,
                               double e0,
                               double e1,
                               double e2,
                               const RowJets& from,
                               const RowJets& to) {
    for (int r = 0; r < stride; r += 4) {
        const Four share = *reinterpret_cast<const Four*>(row + r);
        *reinterpret_cast<Four*>(to.f + r) =
            *reinterpret_cast<const Four*>(from.f + r) - share * e0;
        *reinterpret_cast<Four*>(to.f1 + r) =
            *reinterpret_cast<const Four*>(from.f1 + r) - share * e1;
        *reinterpret_cast<Four*>(to.f2 + r) =
            *reinterpret_cast<const Four*>(from.f2 + r) - share * e2;
    }
}

ETCHBACK_WIDE void add_fading(
    const double* row, int stride, double eta, double* lift, double* sink) {
    const Four none = {0, 0, 0, 0};
    for (int r = 0; r < stride; r += 4) {
        const Four now = *reinterpret_cast<const Four*>(row + r) * eta;
        *reinterpret_cast<Four*>(lift + r) += now > none ? now : none;
        *reinterpret_cast<Four*>(sink + r) -= now < none ? now : none;
    }
}

ETCHBACK_WIDE void add_ringing(
    const double* amount, int stride, double size, double* lift, double* sink) {
    for (int r = 0; r < stride; r += 4) {
        const Four most = *reinterpret_cast<const Four*>(amount + r) * size;
        *reinterpret_cast<Four*>(lift + r) += most;
        *reinterpret_cast<Four*>(sink + r) += most;
    }
}

ETCHBACK_WIDE void stray_weights(
    const double* eta, const double* speed, double h, int padded, double* out) {
    const Four none = {0, 0, 0, 0};
    for (int i = 0; i < padded; i += 4) {
        const Four x = *reinterpret_cast<const Four*>(speed + i) * h, square = x * x;
        const Four followed = square * square * square * (1.0 / kHermite);
        const Four jets = 2.0 + 0.4 * x + 0.05 * square;
        const Four e = *reinterpret_cast<const Four*>(eta + i);
        *reinterpret_cast<Four*>(out + i) =
            (e > none ? e : -e) * (followed < jets ? followed : jets);
    }
}

namespace {

constexpr double kNone = -std::numeric_limits<double>::infinity();

__attribute__((always_inline)) inline double largest_of(Four v) {
    return std::max(std::max(v[0], v[1]), std::max(v[2], v[3]));
}

}  // namespace

ETCHBACK_WIDE bool any_outside(const double* f, const double* low, const double* high, int rows) {
    Four largest = {kNone, kNone, kNone, kNone};
    for (int r = 0; r < rows; r += 4) {
        const Four here = *reinterpret_cast<const Four*>(f + r);
        const Four above = here - *reinterpret_cast<const Four*>(high + r);
        const Four below = *reinterpret_cast<const Four*>(low + r) - here;
        const Four worse = above > below ? above : below;
        largest = worse > largest ? worse : largest;
    }
    return largest_of(largest) >= 0.0;
}

ETCHBACK_WIDE bool widen(double* low,
                         double* high,
                         const double* sink,
                         const double* lift,
                         const double* stray,
                         const double* floor,
                         const double* ceiling,
                         int rows) {
    Four largest = {kNone, kNone, kNone, kNone};
    for (int r = 0; r < rows; r += 4) {
        const Four l =
            *reinterpret_cast<const Four*>(low + r) - *reinterpret_cast<const Four*>(sink + r);
        const Four h =
            *reinterpret_cast<const Four*>(high + r) + *reinterpret_cast<const Four*>(lift + r);
        const Four s = *reinterpret_cast<const Four*>(stray + r);
        *reinterpret_cast<Four*>(low + r) = l;
        *reinterpret_cast<Four*>(high + r) = h;
        const Four above = h + s - *reinterpret_cast<const Four*>(ceiling + r);
        const Four below = *reinterpret_cast<const Four*>(floor + r) - l + s;
        const Four worse = above > below ? above : below;
        largest = worse > largest ? worse : largest;
    }
    return largest_of(largest) >= 0.0;
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
