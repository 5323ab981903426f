// Laws of conducting parts for hand-written equations: current and slope at a voltage.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>

namespace etchback::ida {

// Straight pieces: i(v) = leak v + sum of added[k] max(0, v - at[k]).
struct Bends {
    double leak = 1e-9;
    std::array<double, 2> at{0.7, 1e9};
    std::array<double, 2> added{10.0, 0.0};

    double current(double v) const {
        return leak * v + added[0] * std::max(0.0, v - at[0]) + added[1] * std::max(0.0, v - at[1]);
    }
    double slope(double v) const {
        return leak + (v > at[0] ? added[0] : 0.0) + (v > at[1] ? added[1] : 0.0);
    }
};

// A junction: i(v) = saturation (exp(v / swing) - 1) + leak v, continued by its tangent above
// `bound_v`, so that an iterate that overshoots stays finite.
struct Junction {
    double saturation_a = 1e-9;
    double swing_v = 0.045;
    double leak = 1e-9;
    double bound_v = 1.2;

    double current(double v) const {
        const double top = std::min(v, bound_v);
        const double e = saturation_a * std::exp(top / swing_v);
        return e - saturation_a + leak * v + e / swing_v * (v - top);
    }
    double slope(double v) const {
        return saturation_a * std::exp(std::min(v, bound_v) / swing_v) / swing_v + leak;
    }
};

}  // namespace etchback::ida
