#include "behaviour/detail/modes.h"

#include <Eigen/Eigenvalues>
#include <cmath>
#include <limits>

namespace etchback::behaviour::detail {

namespace {

// What would keep its value for ever leaks with a time constant of about a day: at the rate zero
// the answer to a constant would be infinite. Nothing that can be measured moves.
constexpr double kSlowest = 1e-5;
constexpr double kGoodCondition = 1e6;
constexpr double kLeastNudge = 1e-14, kMostNudge = 1e-7;

struct Decomposition {
    std::vector<double> real_rates;
    std::vector<std::complex<double>> pair_rates;
    Matrix basis, inverse;
    double condition = 0.0;
};

Decomposition decompose(const Matrix& f) {
    const Eigen::Index n = f.rows();
    Decomposition d;
    d.basis = Matrix(n, n);
    if (n == 0) {
        d.inverse = Matrix(0, 0);
        return d;
    }
    const Eigen::EigenSolver<Matrix> solver(f);
    const auto& values = solver.eigenvalues();
    const auto vectors = solver.eigenvectors();
    Eigen::Index column = 0;
    for (Eigen::Index i = 0; i < n; ++i) {
        if (values[i].imag() == 0.0) {
            d.real_rates.push_back(values[i].real());
            d.basis.col(column++) = vectors.col(i).real().normalized();
        }
    }
    const Eigen::Index reals = column;
    const Eigen::Index pairs = (n - reals) / 2;
    Eigen::Index pair = 0;
    for (Eigen::Index i = 0; i < n && pair < pairs; ++i) {
        if (values[i].imag() > 0.0) {
            // Turned so that real and imaginary part stand upright on each other.
            Eigen::VectorXcd v = vectors.col(i);
            const std::complex<double> square = (v.transpose() * v)(0, 0);
            v *= std::polar(1.0, -0.5 * std::arg(square)) / v.norm();
            d.basis.col(reals + pair) = v.real();
            d.basis.col(reals + pairs + pair) = v.imag();
            d.pair_rates.push_back(std::conj(values[i]));
            ++pair;
        }
    }
    d.inverse = d.basis.partialPivLu().inverse();
    d.condition = d.inverse.allFinite() ? d.basis.norm() * d.inverse.norm()
                                        : std::numeric_limits<double>::infinity();
    return d;
}

// Moves every entry, zeros too, by a small share of what rates its row and column have; the same in
// every run.
Matrix nudged(Matrix f, double nudge) {
    const Eigen::Index n = f.rows();
    Vector size(n);
    for (Eigen::Index i = 0; i < n; ++i) {
        size[i] = std::sqrt(std::min(f.row(i).norm(), f.col(i).norm()));
    }
    std::uint64_t state = 0x9e3779b97f4a7c15ull;
    for (Eigen::Index k = 0; k < n; ++k) {
        for (Eigen::Index i = 0; i < n; ++i) {
            state = state * 6364136223846793005ull + 1442695040888963407ull;
            const double share = static_cast<double>(state >> 11) * 0x1p-53 - 0.5;
            f(i, k) += nudge * share * size[i] * size[k];
        }
    }
    return f;
}

// Answers of the own coordinates to the sources: own' = rate * own + drive * s.
Matrix forced_response(const Decomposition& d, const Matrix& drive, const SourceLayout& layout) {
    const Eigen::Index reals = static_cast<Eigen::Index>(d.real_rates.size());
    const Eigen::Index pairs = static_cast<Eigen::Index>(d.pair_rates.size());
    Matrix forced = Matrix::Zero(drive.rows(), drive.cols());
    // Each own coordinate as a complex one: c' = rate c + (sum over sources).
    const auto solve = [&](Eigen::Index k, auto&& put) {
        const bool real = k < reals;
        const std::complex<double> rate =
            real ? std::complex<double>(d.real_rates[static_cast<std::size_t>(k)])
                 : d.pair_rates[static_cast<std::size_t>(k - reals)];
        const auto b = [&](int column) {
            return real ? std::complex<double>(drive(k, column))
                        : std::complex<double>(drive(k, column), drive(k + pairs, column));
        };
        for (int c = 0; c <= layout.knobs; ++c) {
            put(k, c, -b(c) / rate);
        }
        for (int i = 0; i < static_cast<int>(layout.sines.size()); ++i) {
            const double w = layout.sines[static_cast<std::size_t>(i)].omega;
            const int ic = layout.cosine(i), is = layout.sine(i);
            // c = a cos + b sin with complex a, b: -w a = rate b + gs; w b = rate a + gc.
            const std::complex<double> denominator = rate * rate + w * w;
            put(k, ic, -(rate * b(ic) + w * b(is)) / denominator);
            put(k, is, -(rate * b(is) - w * b(ic)) / denominator);
        }
        for (int i = 0; i < static_cast<int>(layout.tables.size()); ++i) {
            const int iv = layout.value(i), ip = layout.slope(i);
            const std::complex<double> v = -b(iv) / rate;
            put(k, iv, v);
            put(k, ip, (v - b(ip)) / rate);
        }
    };
    const auto put = [&](Eigen::Index k, int column, std::complex<double> value) {
        forced(k, column) = value.real();
        if (k >= reals) {
            forced(k + pairs, column) = value.imag();
        }
    };
    for (Eigen::Index k = 0; k < reals + pairs; ++k) {
        solve(k, put);
    }
    return forced;
}

}  // namespace

Modes modes_of(const Matrix& f, const Matrix& g, const SourceLayout& layout) {
    Decomposition d = decompose(f);
    // What is moved and what rounding makes of the rest, whichever weighs least together.
    const auto error = [](double nudge, double condition) {
        return nudge + std::numeric_limits<double>::epsilon() * condition;
    };
    double least = error(0.0, d.condition);
    const bool good = d.condition < kGoodCondition;
    for (double nudge = kLeastNudge; nudge <= kMostNudge && !good; nudge *= 10.0) {
        Decomposition other = decompose(nudged(f, nudge));
        if (!(error(nudge, other.condition) >= least)) {
            least = error(nudge, other.condition);
            d = std::move(other);
        }
    }
    for (double& rate : d.real_rates) {
        if (std::abs(rate) < kSlowest) {
            rate = -kSlowest;
        }
    }
    for (auto& rate : d.pair_rates) {
        if (std::abs(rate.real()) < kSlowest) {
            rate.real(-kSlowest);
        }
    }
    Modes m;
    const int n = static_cast<int>(f.rows());
    m.own_reals = static_cast<int>(d.real_rates.size());
    m.own_pairs = static_cast<int>(d.pair_rates.size());
    m.reals = m.own_reals + 1 + layout.knobs;
    m.pairs = m.own_pairs + static_cast<int>(layout.sines.size());
    m.tables = static_cast<int>(layout.tables.size());
    m.rate = d.real_rates;
    m.rate.resize(static_cast<std::size_t>(m.reals), 0.0);
    m.pair_rate = d.pair_rates;
    for (const SineSource& s : layout.sines) {
        m.pair_rate.emplace_back(0.0, s.omega);
    }
    m.forced = forced_response(d, d.inverse * g, layout);
    m.basis = std::move(d.basis);
    m.inverse = std::move(d.inverse);
    m.condition = d.condition;
    for (int k = 0; k < n; ++k) {
        m.own_at.push_back(k < m.own_reals                 ? m.real(k)
                           : k < m.own_reals + m.own_pairs ? m.re(k - m.own_reals)
                                                           : m.im(k - m.own_reals - m.own_pairs));
    }
    for (int c = 0; c <= layout.knobs; ++c) {
        m.source_at.push_back(m.real(m.own_reals + c));
    }
    for (int i = 0; i < static_cast<int>(layout.sines.size()); ++i) {
        m.source_at.push_back(m.re(m.own_pairs + i));
        m.source_at.push_back(m.im(m.own_pairs + i));
    }
    for (int i = 0; i < m.tables; ++i) {
        m.source_at.push_back(m.value(i));
        m.source_at.push_back(m.slope(i));
    }
    return m;
}

Vector Modes::eta_of(const Vector& x, const Vector& s) const {
    Vector eta(size());
    const Vector own = inverse * x - forced * s;
    for (std::size_t k = 0; k < own_at.size(); ++k) {
        eta[own_at[k]] = own[static_cast<Eigen::Index>(k)];
    }
    for (std::size_t k = 0; k < source_at.size(); ++k) {
        eta[source_at[k]] = s[static_cast<Eigen::Index>(k)];
    }
    return eta;
}

Vector Modes::s_of(const Vector& eta) const {
    Vector s(static_cast<Eigen::Index>(source_at.size()));
    for (std::size_t k = 0; k < source_at.size(); ++k) {
        s[static_cast<Eigen::Index>(k)] = eta[source_at[k]];
    }
    return s;
}

Vector Modes::x_of(const Vector& eta) const {
    Vector own = forced * s_of(eta);
    for (std::size_t k = 0; k < own_at.size(); ++k) {
        own[static_cast<Eigen::Index>(k)] += eta[own_at[k]];
    }
    return basis * own;
}

RowVector Modes::row(const RowVector& x, const RowVector& s) const {
    const RowVector own = x * basis;
    const RowVector sources = own * forced + s;
    RowVector out(size());
    for (std::size_t k = 0; k < own_at.size(); ++k) {
        out[own_at[k]] = own[static_cast<Eigen::Index>(k)];
    }
    for (std::size_t k = 0; k < source_at.size(); ++k) {
        out[source_at[k]] = sources[static_cast<Eigen::Index>(k)];
    }
    return out;
}

RowVector Modes::slope_of(const RowVector& row) const {
    RowVector out(size());
    for (int k = 0; k < pairs; ++k) {
        const std::complex<double> mu = pair_rate[static_cast<std::size_t>(k)];
        out[re(k)] = row[re(k)] * mu.real() + row[im(k)] * mu.imag();
        out[im(k)] = row[im(k)] * mu.real() - row[re(k)] * mu.imag();
    }
    for (int k = 0; k < reals; ++k) {
        out[real(k)] = row[real(k)] * rate[static_cast<std::size_t>(k)];
    }
    for (int k = 0; k < tables; ++k) {
        out[value(k)] = 0.0;
        out[slope(k)] = row[value(k)];
    }
    return out;
}

}  // namespace etchback::behaviour::detail
