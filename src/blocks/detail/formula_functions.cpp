#include "blocks/detail/formula_functions.h"

#include <cmath>
#include <limits>
#include <numbers>

namespace etchback::blocks::detail {

namespace {

using std::numbers::pi;

// Simpson's rule over [from, to].
template <typename Function>
double integral(double from, double to, const Function& f) {
    constexpr int n = 400;
    const double h = (to - from) / n;
    double sum = f(from) + f(to);
    for (int i = 1; i < n; ++i) {
        sum += (i % 2 != 0 ? 4.0 : 2.0) * f(from + i * h);
    }
    return sum * h / 3.0;
}

// Where a function that falls through zero between `low` and `high` does so.
template <typename Function>
double zero_between(double low, double high, const Function& f) {
    for (int i = 0; i < 60; ++i) {
        const double middle = 0.5 * (low + high);
        (f(middle) > 0.0 ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

// One charging of the capacitor, which begins where the sine has risen to its voltage. Angles
// count from the zero crossing, voltages in crests: x dv/da = (sin a - v)/r - v while charging.
class Charging {
public:
    Charging(double x, double r, double begin)
        : x_(x), r_(r), begin_(begin), decay_((1.0 + 1.0 / r) / x) {
        const double drive = 1.0 / (x * r);
        const double norm = decay_ * decay_ + 1.0;
        sine_ = drive * decay_ / norm;
        cosine_ = -drive / norm;
        rest_ = std::sin(begin) - sine_ * std::sin(begin) - cosine_ * std::cos(begin);
        end_ = begin;
        // The current has one hump; it lasts to the crest at least.
        end_ = zero_between(0.5 * pi, pi, [&](double a) { return std::sin(a) - volts(a); });
    }
    double volts(double a) const {
        return sine_ * std::sin(a) + cosine_ * std::cos(a) +
               rest_ * std::exp(-decay_ * (a - begin_));
    }
    double amps(double a) const { return (std::sin(a) - volts(a)) / r_; }
    double begin() const { return begin_; }
    double end() const { return end_; }
    // Above the voltage that this charging began with, when the next half-wave comes to it.
    double surplus() const {
        return volts(end_) * std::exp(-(pi - (end_ - begin_)) / x_) - std::sin(begin_);
    }

private:
    double x_, r_, begin_, decay_;
    double sine_, cosine_, rest_, end_;
};

}  // namespace

double mean_of_square_over(double k) {
    return integral(0.0,
                    pi,
                    [&](double a) {
                        const double s = std::sin(a);
                        return s * s / (1.0 + k * s);
                    }) /
           pi;
}

double boundary_power_factor(double k) {
    const double square = integral(0.0, pi, [&](double a) {
        const double i = std::sin(a) / (1.0 + k * std::sin(a));
        return i * i;
    });
    return std::numbers::sqrt2 * mean_of_square_over(k) / std::sqrt(square / pi);
}

double capacitor_input_power_factor(double x, double r) {
    if (!(x > 0.0) || !(r > 0.0)) {
        return std::numeric_limits<double>::quiet_NaN();
    }
    const double begin =
        zero_between(0.0, 0.5 * pi, [&](double a) { return Charging(x, r, a).surplus(); });
    const Charging steady(x, r, begin);
    const double power =
        integral(begin, steady.end(), [&](double a) { return std::sin(a) * steady.amps(a); });
    const double square =
        integral(begin, steady.end(), [&](double a) { return steady.amps(a) * steady.amps(a); });
    return std::numbers::sqrt2 * power / std::sqrt(pi * square);
}

}  // namespace etchback::blocks::detail
