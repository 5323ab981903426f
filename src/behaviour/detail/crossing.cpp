#include "behaviour/detail/crossing.h"

#include <algorithm>
#include <cmath>

namespace etchback::behaviour::detail {

namespace {

constexpr int kMostTrials = 60;
constexpr int kProbes = 8;
constexpr double kHalfTick = 0x1p-41;  // seconds; see kernel.h

// Where q reaches zero, given that it is below zero at `low` and not below at `high`: a t at which
// it lies within 0 and `slack`. Newton's method towards the middle of that, kept in the bracket.
double reaches_zero(
    const Quintic& q, double low, double q_low, double high, double q_high, double slack) {
    const double fine = std::max((high - low) * 1e-12, kHalfTick);
    double t = low + (high - low) * (-q_low / (q_high - q_low));
    for (int i = 0; i < kMostTrials && q_high > slack && high - low > fine; ++i) {
        if (!(t > low && t < high)) {
            t = 0.5 * (low + high);
        }
        const auto [value, slope] = q.both(t);
        if (value >= 0.0) {
            high = t;
            q_high = value;
        } else {
            low = t;
        }
        const double next = t + (0.5 * slack - value) / slope;
        // Creeping along a flat stretch: halve instead.
        t = i % 8 == 7 ? 0.5 * (low + high) : next;
    }
    return high;
}

// The same over a whole step, which may cross more than once where it does not rise at both ends.
double first_of_perhaps_several(
    const Quintic& q, const Jet& a, const Jet& b, double h, double slack) {
    double low = 0.0, q_low = a.f;
    if (!(a.f1 > 0.0 && b.f1 > 0.0)) {
        for (int i = 1; i < kProbes; ++i) {
            const double t = h * i / kProbes, value = q(t);
            if (value >= 0.0) {
                return reaches_zero(q, low, q_low, t, value, slack);
            }
            low = t;
            q_low = value;
        }
    }
    return reaches_zero(q, low, q_low, h, b.f, slack);
}

// Where the slope passes zero, given that it has opposite signs at the ends; q there is met to
// within `slack`.
double level_point(const Quintic& q, double h, double begin, double end, double slack) {
    const bool rises_first = begin > 0.0;
    double low = 0.0, high = h, slope_low = begin, slope_high = end;
    int side = 0;
    double t = 0.0;
    for (int i = 0; i < kMostTrials; ++i) {
        t = low + (high - low) * slope_low / (slope_low - slope_high);
        if (!(t > low && t < high)) {
            t = 0.5 * (low + high);
        }
        const double slope = q.slope(t);
        if (std::abs(slope) * (high - low) <= slack) {
            break;
        }
        // Illinois's weight: an end that stays twice counts half.
        if ((slope > 0.0) == rises_first) {
            low = t;
            slope_low = slope;
            slope_high *= side == -1 ? 0.5 : 1.0;
            side = -1;
        } else {
            high = t;
            slope_high = slope;
            slope_low *= side == 1 ? 0.5 : 1.0;
            side = 1;
        }
    }
    return t;
}

}  // namespace

Quintic::Quintic(const Jet& a, const Jet& b, double h) : h_(h) {
    const double d = b.f - a.f;
    const double a1 = a.f1 * h, b1 = b.f1 * h;
    const double a2 = a.f2 * h * h, b2 = b.f2 * h * h;
    c_[0] = a.f;
    c_[1] = a1;
    c_[2] = 0.5 * a2;
    c_[3] = 10.0 * d - 6.0 * a1 - 4.0 * b1 - 1.5 * a2 + 0.5 * b2;
    c_[4] = -15.0 * d + 8.0 * a1 + 7.0 * b1 + 1.5 * a2 - b2;
    c_[5] = 6.0 * d - 3.0 * (a1 + b1) - 0.5 * (a2 - b2);
}

double Quintic::operator()(double t) const {
    const double x = t / h_;
    return c_[0] + x * (c_[1] + x * (c_[2] + x * (c_[3] + x * (c_[4] + x * c_[5]))));
}

double Quintic::slope(double t) const {
    const double x = t / h_;
    return (c_[1] + x * (2 * c_[2] + x * (3 * c_[3] + x * (4 * c_[4] + x * 5 * c_[5])))) / h_;
}

std::pair<double, double> Quintic::both(double t) const {
    const double x = t / h_;
    double value = c_[5], slope = 0.0;
    for (int i = 4; i >= 0; --i) {
        slope = slope * x + value;
        value = value * x + c_[i];
    }
    return {value, slope / h_};
}

std::optional<double> first_crossing(const Jet& a, const Jet& b, double h, double slack) {
    if (a.f < 0.0) {
        if (b.f >= 0.0) {
            const Quintic q(a, b, h);
            return first_of_perhaps_several(q, a, b, h, slack);
        }
        if (!(a.f1 > 0.0 && b.f1 < 0.0)) {
            return std::nullopt;
        }
        // Rises and falls: the tangents' meeting point bounds a hump from above.
        const double meet = (b.f - b.f1 * h - a.f) / (a.f1 - b.f1);
        if (meet > 0.0 && meet < h && a.f + a.f1 * meet < 0.0) {
            return std::nullopt;
        }
        const Quintic q(a, b, h);
        const double top = level_point(q, h, a.f1, b.f1, 0.1 * slack);
        const double value = q(top);
        if (value < 0.0) {
            return std::nullopt;
        }
        return reaches_zero(q, 0.0, a.f, top, value, slack);
    }
    if (b.f < 0.0 || a.f1 >= 0.0) {
        return std::nullopt;
    }
    // Begins at the edge and moves inwards, yet ends beyond it.
    const Quintic q(a, b, h);
    const double bottom = level_point(q, h, a.f1, b.f1, 0.1 * slack);
    const double value = q(bottom);
    if (value >= 0.0) {
        return std::nullopt;
    }
    return reaches_zero(q, bottom, value, h, b.f, slack);
}

void hull_of(const Jet& a, const Jet& b, double h, double& low, double& high) {
    const double h1 = h / 5.0, h2 = h * h / 20.0;
    const double p1 = a.f + a.f1 * h1, p4 = b.f - b.f1 * h1;
    const double p2 = p1 + a.f1 * h1 + a.f2 * h2, p3 = p4 - b.f1 * h1 + b.f2 * h2;
    low = std::min({a.f, p1, p2, p3, p4, b.f});
    high = std::max({a.f, p1, p2, p3, p4, b.f});
}

std::optional<double> inner_extreme(const Jet& a, const Jet& b, double h) {
    if (!((a.f1 > 0.0 && b.f1 < 0.0) || (a.f1 < 0.0 && b.f1 > 0.0))) {
        return std::nullopt;
    }
    const Quintic q(a, b, h);
    return q(level_point(q, h, a.f1, b.f1, 1e-9 * (std::abs(a.f) + std::abs(b.f))));
}

}  // namespace etchback::behaviour::detail
