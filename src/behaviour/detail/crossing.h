// Where a smooth function crosses zero inside a step, from values and two derivatives at both ends.
#pragma once

#include <optional>
#include <utility>

namespace etchback::behaviour::detail {

struct Jet {  // value, first and second derivative
    double f = 0.0, f1 = 0.0, f2 = 0.0;
};

// The quintic that has these jets at 0 and h (Hermite's interpolation). Its error is at most
// h^6 / 46080 times the largest sixth derivative.
class Quintic {
public:
    Quintic(const Jet& begin, const Jet& end, double h);
    double operator()(double t) const;
    double slope(double t) const;
    std::pair<double, double> both(double t) const;  // value and slope

private:
    double h_;
    double c_[6];
};

// Earliest t in (0, h] at which the function, below zero at the beginning, has reached zero;
// nothing where it stays below. A function that begins at or above zero must first dip below. Its
// value at t lies within 0 and `slack`, the sooner found the larger that is.
std::optional<double> first_crossing(const Jet& begin, const Jet& end, double h, double slack);

// Bounds of the quintic over the step, from its Bezier points.
void hull_of(const Jet& begin, const Jet& end, double h, double& low, double& high);

// Extreme inside the step, where the slope changes sign; nothing where it does not.
std::optional<double> inner_extreme(const Jet& begin, const Jet& end, double h);

}  // namespace etchback::behaviour::detail
