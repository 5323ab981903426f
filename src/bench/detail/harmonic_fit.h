// Least squares of a mean and harmonics, with or without the frequency.
#pragma once

#include <Eigen/Dense>
#include <span>
#include <vector>

namespace etchback::bench::detail {

struct HarmonicFit {
    double omega = 0.0;
    int orders = 0;
    double middle_s = 0.0;        // times count from here
    Eigen::VectorXd c;            // mean, cos 1, sin 1, cos 2 ...
    Eigen::MatrixXd inverse;      // of the normal equations
    Eigen::VectorXd by_omega;     // how c follows a change of omega
    double variance = 0.0;        // of what is left
    double stretch = 1.0;         // of the variance of c, where that is no white noise
    double noise_variance = 0.0;  // its part that changes from sample to sample
    double omega_variance = 0.0;  // zero where omega was given
    std::size_t used = 0;

    double at(double t_s) const;  // from the middle
};

// Every `dt_s` a sample, not-a-number where missing; averages over `dt_s` are corrected with
// `averaged` set. With `fit_omega`, omega is where the search begins.
HarmonicFit fit_harmonics(std::span<const double> samples,
                          double dt_s,
                          double omega,
                          int orders,
                          bool fit_omega,
                          bool averaged);

// Where to begin: the frequency between `low_hz` and `high_hz` at which a sine and two harmonics
// leave least. Zero where no frequency explains a fifth of the signal.
double rough_omega(std::span<const double> samples, double dt_s, double low_hz, double high_hz);

// Neighbours averaged, so that at most `most` are left; `by` says how many.
std::vector<double> thinned(std::span<const double> samples, std::size_t most, std::size_t& by);

}  // namespace etchback::bench::detail
