#include "behaviour/detail/kernel.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <complex>
#include <limits>

// The same source for processors with and without wide registers; without contraction both give
// the same bits.
#define ETCHBACK_WIDE __attribute__((target_clones("avx2", "default")))

namespace etchback::behaviour::detail {

namespace {

typedef double Four __attribute__((vector_size(32), aligned(8), may_alias));

template <int quads>
__attribute__((always_inline)) inline void rows_times_block(
    const double* data, int pitch, int columns, const double* eta, double* f) {
    Four a[quads];
#pragma GCC unroll 9
    for (int q = 0; q < quads; ++q) {
        a[q] = Four{0, 0, 0, 0};
    }
    for (int c = 0; c < columns; ++c, data += pitch) {
        const double x = eta[c];
#pragma GCC unroll 9
        for (int q = 0; q < quads; ++q) {
            a[q] += *reinterpret_cast<const Four*>(data + 4 * q) * x;
        }
    }
#pragma GCC unroll 9
    for (int q = 0; q < quads; ++q) {
        *reinterpret_cast<Four*>(f + 4 * q) = a[q];
    }
}

// f = the first `rows` (a multiple of four) of a matrix whose columns are `pitch` apart, times eta.
ETCHBACK_WIDE void rows_times(
    const double* data, int rows, int pitch, int columns, const double* eta, double* f) {
    int r = 0;
    for (; r + 36 <= rows; r += 36) {
        rows_times_block<9>(data + r, pitch, columns, eta, f + r);
    }
    for (; r + 24 <= rows; r += 24) {
        rows_times_block<6>(data + r, pitch, columns, eta, f + r);
    }
    for (; r + 12 <= rows; r += 12) {
        rows_times_block<3>(data + r, pitch, columns, eta, f + r);
    }
    for (; r < rows; r += 4) {
        rows_times_block<1>(data + r, pitch, columns, eta, f + r);
    }
}

}  // namespace

Ticks ticks(double s) {
    return std::llround(s * 0x1p40);
}

namespace {

constexpr int kDigits = 8;  // 1, 3, 5 ... 15
constexpr int kMostDigits = 16;

typedef long long FourIndices __attribute__((vector_size(32)));

// Applies turns one after the other, quad by quad. In the first quads, parts of pairs stand side by
// side.
ETCHBACK_WIDE void turn_all(
    const double* const* turns, int count, int paired, int padded, const double* from, double* to) {
    int i = 0;
    for (; i < paired; i += 4) {
        Four v = *reinterpret_cast<const Four*>(from + i);
        for (int k = 0; k < count; ++k) {
            const double* own = turns[k] + i;
            const Four other = __builtin_shuffle(v, FourIndices{1, 0, 3, 2});
            v = v * *reinterpret_cast<const Four*>(own) +
                other * *reinterpret_cast<const Four*>(own + padded);
        }
        *reinterpret_cast<Four*>(to + i) = v;
    }
    for (; i < padded; i += 4) {
        Four v = *reinterpret_cast<const Four*>(from + i);
        for (int k = 0; k < count; ++k) {
            v *= *reinterpret_cast<const Four*>(turns[k] + i);
        }
        *reinterpret_cast<Four*>(to + i) = v;
    }
}

int padded_to_four(int n) {
    return (n + 3) / 4 * 4;
}

}  // namespace

Propagator::Propagator(const Modes& m)
    : own_reals_(m.own_reals),
      reals_at_(m.real(0)),
      pairs_(m.pairs),
      values_at_(m.value(0)),
      tables_(m.tables),
      padded_(padded_to_four(m.size())),
      rate_(m.rate),
      pair_rate_(m.pair_rate),
      turns_(static_cast<std::size_t>(kDigits * (kTickBits + 8))) {
    sixth_.assign(static_cast<std::size_t>(padded_), 0.0);
    speed_.assign(static_cast<std::size_t>(padded_), 0.0);
    for (int k = 0; k < m.reals; ++k) {
        speed_[static_cast<std::size_t>(m.real(k))] = std::abs(rate_[static_cast<std::size_t>(k)]);
    }
    for (int k = 0; k < pairs_; ++k) {
        const double r = std::abs(m.pair_rate[static_cast<std::size_t>(k)]);
        speed_[static_cast<std::size_t>(m.re(k))] = speed_[static_cast<std::size_t>(m.im(k))] = r;
    }
    for (std::size_t i = 0; i < sixth_.size(); ++i) {
        const double r = speed_[i];
        sixth_[i] = r * r * r * r * r * r;
    }
}

void Propagator::make(std::vector<double>& turn, double h) const {
    turn.assign(static_cast<std::size_t>(padded_), 1.0);
    turn.resize(static_cast<std::size_t>(2 * padded_), 0.0);
    for (int k = 0; k < pairs_; ++k) {
        const auto e = std::exp(pair_rate_[static_cast<std::size_t>(k)] * h);
        double* own = turn.data() + 2 * k;
        own[0] = own[1] = e.real();
        own[padded_] = -e.imag();
        own[padded_ + 1] = e.imag();
    }
    for (int k = 0; k < own_reals_; ++k) {
        turn[static_cast<std::size_t>(reals_at_ + k)] =
            std::exp(rate_[static_cast<std::size_t>(k)] * h);
    }
}

void Propagator::advance(const double* from, double* to, Ticks step) {
    const double* turns[kMostDigits];
    int count = 0;
    for (auto bits = static_cast<std::uint64_t>(step); bits != 0;) {
        const int level = std::countr_zero(bits);
        const auto digit = static_cast<int>((bits >> level) & 15);
        bits &= ~(std::uint64_t{15} << level);
        auto& turn = turns_[static_cast<std::size_t>(level * kDigits + digit / 2)];
        if (turn.empty()) {
            make(turn, std::ldexp(digit, level - kTickBits));
        }
        turns[count++] = turn.data();
    }
    turn_all(turns, count, padded_to_four(2 * pairs_), padded_, from, to);
    for (int v = values_at_; v < values_at_ + tables_; ++v) {
        to[v] += from[v + tables_] * seconds(step);
    }
}

void RowBlock::assign(const std::vector<RowVector>& rows, int columns) {
    stride_ = padded_to_four(static_cast<int>(rows.size()));
    columns_ = columns;
    data_.assign(static_cast<std::size_t>(stride_ * columns), 0.0);
    for (std::size_t r = 0; r < rows.size(); ++r) {
        for (int c = 0; c < columns; ++c) {
            data_[static_cast<std::size_t>(c * stride_) + r] = rows[r][c];
        }
    }
}

void RowBlock::values(const double* eta, double* f) const {
    rows_times(data_.data(), stride_, stride_, columns_, eta, f);
}

void JetBlock::assign(const std::vector<RowVector>& rows, const Modes& modes) {
    stride_ = padded_to_four(static_cast<int>(rows.size()));
    columns_ = modes.size();
    data_.assign(static_cast<std::size_t>(3 * stride_ * columns_), 0.0);
    for (std::size_t r = 0; r < rows.size(); ++r) {
        RowVector row = rows[r];
        for (int derivative = 0; derivative < 3; ++derivative) {
            for (int c = 0; c < columns_; ++c) {
                data_[static_cast<std::size_t>(3 * c * stride_ + derivative * stride_) + r] =
                    row[c];
            }
            row = modes.slope_of(row);
        }
    }
}

void JetBlock::values(const double* eta, double* f) const {
    rows_times(data_.data(), stride_, 3 * stride_, columns_, eta, f);
}

void JetBlock::jets(const double* eta, double* f) const {
    rows_times(data_.data(), 3 * stride_, 3 * stride_, columns_, eta, f);
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

ETCHBACK_WIDE void take_column(
    const double* column, int rows, double eta, const double* from, double* to) {
    for (int r = 0; r < rows; r += 4) {
        *reinterpret_cast<Four*>(to + r) = *reinterpret_cast<const Four*>(from + r) -
                                           *reinterpret_cast<const Four*>(column + r) * eta;
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

ETCHBACK_WIDE bool reaches(const double* from,
                           const double* to,
                           double h,
                           const double* sink,
                           const double* lift,
                           const double* stray,
                           const double* floor,
                           const double* ceiling,
                           int rows,
                           double* low,
                           double* high) {
    const double h1 = h / 5.0, h2 = h * h / 20.0;
    Four furthest = {kNone, kNone, kNone, kNone};
    for (int r = 0; r < rows; r += 4, from += 4, to += 4) {
        const Four b0 = *reinterpret_cast<const Four*>(from);
        const Four b5 = *reinterpret_cast<const Four*>(to);
        const Four s0 = *reinterpret_cast<const Four*>(from + rows) * h1;
        const Four s5 = *reinterpret_cast<const Four*>(to + rows) * h1;
        const Four b1 = b0 + s0, b4 = b5 - s5;
        const Four b2 = b1 + s0 + *reinterpret_cast<const Four*>(from + 2 * rows) * h2;
        const Four b3 = b4 - s5 + *reinterpret_cast<const Four*>(to + 2 * rows) * h2;
        Four least = b0 < b1 ? b0 : b1, largest = b0 > b1 ? b0 : b1;
        least = least < b2 ? least : b2;
        least = least < b3 ? least : b3;
        least = least < b4 ? least : b4;
        least = least < b5 ? least : b5;
        largest = largest > b2 ? largest : b2;
        largest = largest > b3 ? largest : b3;
        largest = largest > b4 ? largest : b4;
        largest = largest > b5 ? largest : b5;
        least -= *reinterpret_cast<const Four*>(sink + r);
        largest += *reinterpret_cast<const Four*>(lift + r);
        *reinterpret_cast<Four*>(low + r) = least;
        *reinterpret_cast<Four*>(high + r) = largest;
        const Four s = *reinterpret_cast<const Four*>(stray + r);
        const Four above = largest + s - *reinterpret_cast<const Four*>(ceiling + r);
        const Four below = *reinterpret_cast<const Four*>(floor + r) - least + s;
        const Four further = above > below ? above : below;
        furthest = further > furthest ? further : furthest;
    }
    return largest_of(furthest) >= 0.0;
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
