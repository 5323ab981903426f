// The exponentials of one pattern: x' = F x + G s in coordinates where every one runs alone.
//
// The vector eta holds the amplitudes of all of them, the circuit's and the sources':
//   [0, 2 pairs)      complex modes, real part beside imaginary part, then the sources' cosines
//                     beside their sines
//   [2 pairs, +reals) real modes of the circuit, then the constants (1, knobs), rate 0
//   then the tables' values, then their slopes.
// An eigenvalue that occurs several times with one eigenvector (critical damping, equal stages in a
// row) has no such coordinates; such a matrix is moved by up to one part in 1e7, by as little as
// makes its modes separate (E. B. Davies, "Approximate diagonalization", SIAM J. Matrix Anal. Appl.
// 29, 2007; cited from memory).
#pragma once

#include <complex>

#include "behaviour/detail/state_space.h"

namespace etchback::behaviour::detail {

struct Modes {
    int reals = 0, pairs = 0, tables = 0;
    int own_reals = 0, own_pairs = 0;             // of these, the circuit's
    std::vector<double> rate;                     // by real
    std::vector<std::complex<double>> pair_rate;  // of re + i im
    Matrix basis;                                 // x = basis * own + basis * forced * s
    Matrix inverse;
    Matrix forced;               // own = inverse * x - forced * s
    std::vector<int> own_at;     // position in eta of each own coordinate
    std::vector<int> source_at;  // position in eta of each source state
    double condition = 0.0;

    int size() const { return reals + 2 * pairs + 2 * tables; }
    int re(int k) const { return 2 * k; }
    int im(int k) const { return 2 * k + 1; }
    int real(int k) const { return 2 * pairs + k; }
    int value(int k) const { return 2 * pairs + reals + k; }
    int slope(int k) const { return value(k) + tables; }

    Vector eta_of(const Vector& x, const Vector& s) const;
    Vector x_of(const Vector& eta) const;
    Vector s_of(const Vector& eta) const;
    RowVector row(const RowVector& x, const RowVector& s) const;  // the same row over eta
    RowVector slope_of(const RowVector& row) const;  // the row whose value is the first's slope
};

Modes modes_of(const Matrix& f, const Matrix& g, const SourceLayout& layout);

}  // namespace etchback::behaviour::detail
