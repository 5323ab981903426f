#include "bench/detail/harmonic_fit.h"

#include <fftw3.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>

namespace etchback::bench::detail {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

// Row of the model at phase p (radians of the fundamental).
void fill_row(double p, int orders, double* row) {
    const double c1 = std::cos(p), s1 = std::sin(p);
    double c = 1.0, s = 0.0;
    row[0] = 1.0;
    for (int h = 1; h <= orders; ++h) {
        const double next = c * c1 - s * s1;
        s = s * c1 + c * s1;
        c = next;
        row[2 * h - 1] = c;
        row[2 * h] = s;
    }
}

// Derivative of the model by omega at time t, with coefficients c.
double slope(const VectorXd& c, const double* row, double t, int orders) {
    double sum = 0.0;
    for (int h = 1; h <= orders; ++h) {
        sum += h * (c[2 * h] * row[2 * h - 1] - c[2 * h - 1] * row[2 * h]);
    }
    return t * sum;
}

struct Sums {
    MatrixXd normal;
    VectorXd right, cross;  // X'y, X'D
    double yy = 0.0, dd = 0.0, dr = 0.0, rr = 0.0;
    std::size_t n = 0;
};

struct Times {
    double dt_s, middle_s;
    double at(std::size_t k) const { return static_cast<double>(k) * dt_s - middle_s; }
};

// Normal equations; blocks of rows keep the products in the cache.
Sums normal_equations(std::span<const double> y, const Times& times, double omega, int orders) {
    const int p = 2 * orders + 1;
    Sums sums{MatrixXd::Zero(p, p), VectorXd::Zero(p), VectorXd::Zero(p)};
    constexpr int kBlock = 128;
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor> rows(kBlock, p);
    VectorXd values(kBlock);
    int filled = 0;
    const auto flush = [&] {
        if (filled == 0) {
            return;  // Eigen divides by the number of rows
        }
        const auto used = rows.topRows(filled);
        sums.normal.selfadjointView<Eigen::Lower>().rankUpdate(used.transpose());
        sums.right.noalias() += used.transpose() * values.head(filled);
        filled = 0;
    };
    for (std::size_t k = 0; k < y.size(); ++k) {
        if (std::isnan(y[k])) {
            continue;
        }
        fill_row(omega * times.at(k), orders, rows.row(filled).data());
        values[filled] = y[k];
        ++sums.n;
        if (++filled == kBlock) {
            flush();
        }
    }
    flush();
    sums.normal.triangularView<Eigen::StrictlyUpper>() = sums.normal.transpose();
    return sums;
}

void residual_sums(std::span<const double> y,
                   const Times& times,
                   double omega,
                   int orders,
                   const VectorXd& c,
                   Sums& sums) {
    std::vector<double> row(2 * orders + 1);
    const Eigen::Map<const VectorXd> x(row.data(), 2 * orders + 1);
    sums.cross.setZero();
    sums.dd = sums.dr = sums.rr = 0.0;
    for (std::size_t k = 0; k < y.size(); ++k) {
        if (std::isnan(y[k])) {
            continue;
        }
        const double t = times.at(k);
        fill_row(omega * t, orders, row.data());
        const double r = y[k] - x.dot(c);
        const double d = slope(c, row.data(), t, orders);
        sums.cross += d * x;
        sums.dd += d * d;
        sums.dr += d * r;
        sums.rr += r * r;
    }
}

// How much further means of the residual stray than those of white noise.
double stretch_of(const std::vector<double>& r) {
    double c0 = 0.0;
    for (const double v : r) {
        c0 += v * v;
    }
    if (c0 <= 0.0 || r.size() < 20) {
        return 1.0;
    }
    double sum = 1.0;
    for (std::size_t lag = 1; lag < std::min<std::size_t>(r.size() / 4, 400); ++lag) {
        double c = 0.0;
        for (std::size_t k = lag; k < r.size(); ++k) {
            c += r[k] * r[k - lag];
        }
        const double rho = c / c0;
        if (rho < 2.0 / std::sqrt(static_cast<double>(r.size()))) {
            break;
        }
        sum += 2.0 * rho;
    }
    return sum;
}

double noise_variance_of(const std::vector<double>& r) {
    double sum = 0.0;
    for (std::size_t k = 2; k < r.size(); ++k) {
        const double d = r[k] - 2.0 * r[k - 1] + r[k - 2];
        sum += d * d;
    }
    return r.size() > 2 ? sum / (6.0 * static_cast<double>(r.size() - 2)) : 0.0;
}

}  // namespace

double HarmonicFit::at(double t_s) const {
    std::vector<double> row(2 * orders + 1);
    fill_row(omega * t_s, orders, row.data());
    return Eigen::Map<const VectorXd>(row.data(), 2 * orders + 1).dot(c);
}

HarmonicFit fit_harmonics(std::span<const double> y,
                          double dt_s,
                          double omega,
                          int orders,
                          bool fit_omega,
                          bool averaged) {
    HarmonicFit fit;
    fit.orders = orders;
    fit.middle_s = 0.5 * dt_s * static_cast<double>(y.size() - 1);
    const Times times{dt_s, fit.middle_s};
    Sums sums;
    Eigen::LDLT<MatrixXd> solver;
    for (int round = 0;; ++round) {
        sums = normal_equations(y, times, omega, orders);
        solver.compute(sums.normal);
        fit.c = solver.solve(sums.right);
        residual_sums(y, times, omega, orders, fit.c, sums);
        fit.by_omega = solver.solve(sums.cross);
        const double bend = sums.dd - sums.cross.dot(fit.by_omega);
        if (!fit_omega || !(bend > 0.0)) {
            break;
        }
        const double step = sums.dr / bend;
        fit.omega_variance = 1.0 / bend;
        if (round == 12 || std::abs(step) < 1e-10 * omega) {
            break;
        }
        omega += std::clamp(step, -0.02 * omega, 0.02 * omega);
    }
    fit.omega = omega;
    fit.used = sums.n;
    fit.inverse = solver.solve(MatrixXd::Identity(2 * orders + 1, 2 * orders + 1));
    const double freedom =
        static_cast<double>(sums.n) - (2.0 * orders + 1.0) - (fit_omega ? 1.0 : 0.0);
    fit.variance = freedom > 0.0 ? sums.rr / freedom : 0.0;
    std::vector<double> left;
    left.reserve(sums.n);
    std::vector<double> row(2 * orders + 1);
    for (std::size_t k = 0; k < y.size(); ++k) {
        if (!std::isnan(y[k])) {
            fill_row(omega * times.at(k), orders, row.data());
            left.push_back(y[k] -
                           Eigen::Map<const VectorXd>(row.data(), 2 * orders + 1).dot(fit.c));
        }
    }
    fit.stretch = stretch_of(left);
    const double share = freedom > 0.0 ? static_cast<double>(sums.n) / freedom : 1.0;
    fit.noise_variance = noise_variance_of(left) * share;
    fit.omega_variance *= fit.variance * fit.stretch;
    fit.by_omega = -fit.by_omega;
    if (averaged) {
        for (int h = 1; h <= orders; ++h) {
            const double x = 0.5 * h * omega * dt_s;
            const double back = x / std::sin(x);
            fit.c.segment(2 * h - 1, 2) *= back;
            fit.by_omega.segment(2 * h - 1, 2) *= back;
        }
    }
    return fit;
}

namespace {

double around_mean(std::vector<double>& y) {
    double sum = 0.0, n = 0.0, squares = 0.0;
    for (const double v : y) {
        if (!std::isnan(v)) {
            sum += v;
            n += 1.0;
        }
    }
    for (double& v : y) {
        v = std::isnan(v) ? 0.0 : v - sum / n;
        squares += v * v;
    }
    return squares;
}

// The strongest line of the spectrum, for records of many cycles.
double strongest_line(std::vector<double> y, double dt_s, double low_hz, double high_hz) {
    const double around = around_mean(y);
    const std::size_t n = 2 * y.size();  // twice as long: lines fall between bins less
    const std::unique_ptr<double, void (*)(void*)> in(fftw_alloc_real(n), fftw_free);
    const std::unique_ptr<fftw_complex, void (*)(void*)> out(fftw_alloc_complex(n / 2 + 1),
                                                             fftw_free);
    const fftw_plan plan =
        fftw_plan_dft_r2c_1d(static_cast<int>(n), in.get(), out.get(), FFTW_ESTIMATE);
    std::fill(in.get(), in.get() + n, 0.0);
    std::copy(y.begin(), y.end(), in.get());
    fftw_execute(plan);
    fftw_destroy_plan(plan);
    const double bin_hz = 1.0 / (static_cast<double>(n) * dt_s);
    double best = 0.0, best_gain = 0.2 * around;
    for (std::size_t k = 1; k < n / 2; ++k) {
        const double f = static_cast<double>(k) * bin_hz;
        const double re = out.get()[k][0], im = out.get()[k][1];
        const double gain = 2.0 * (re * re + im * im) / static_cast<double>(y.size());
        if (f >= low_hz && f <= high_hz && gain > best_gain) {
            best_gain = gain;
            best = 2.0 * std::numbers::pi * f;
        }
    }
    return best;
}

}  // namespace

double rough_omega(std::span<const double> all, double dt_all, double low_hz, double high_hz) {
    const double whole = dt_all * static_cast<double>(all.size());
    const bool many = whole * low_hz > 10.0;
    std::size_t by = 1;
    const std::vector<double> y = thinned(all, many ? 65'536 : 4000, by);
    const double dt_s = dt_all * static_cast<double>(by);
    const double span = dt_s * static_cast<double>(y.size());
    if (many) {
        return strongest_line(y, dt_s, low_hz, std::min(high_hz, 0.4 / dt_s));
    }
    std::vector<double> centred = y;
    const double around = around_mean(centred);
    double sum = 0.0, n = 0.0;
    for (const double v : y) {
        sum += std::isnan(v) ? 0.0 : v;
        n += std::isnan(v) ? 0.0 : 1.0;
    }
    const Times times{dt_s, 0.5 * dt_s * static_cast<double>(y.size() - 1)};
    double best = 0.0, best_gain = 0.2 * around;
    const double highest = std::min(high_hz, 0.2 / dt_s);
    for (double f = std::max(low_hz, 0.9 / span); f <= highest; f += std::min(0.2 / span, 2.0)) {
        const double omega = 2.0 * std::numbers::pi * f;
        const Sums sums = normal_equations(y, times, omega, 1);
        const VectorXd c = sums.normal.ldlt().solve(sums.right);
        const double gain = c.dot(sums.right) - (n > 0.0 ? sum * sum / n : 0.0);
        if (gain > best_gain) {
            best_gain = gain;
            best = omega;
        }
    }
    return best;
}

std::vector<double> thinned(std::span<const double> y, std::size_t most, std::size_t& by) {
    by = std::max<std::size_t>(1, (y.size() + most - 1) / most);
    std::vector<double> out;
    out.reserve(y.size() / by + 1);
    for (std::size_t k = 0; k + by <= y.size(); k += by) {
        double sum = 0.0;
        for (std::size_t i = 0; i < by; ++i) {
            sum += y[k + i];
        }
        out.push_back(sum / static_cast<double>(by));
    }
    return out;
}

}  // namespace etchback::bench::detail
