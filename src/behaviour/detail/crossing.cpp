#include "behaviour/detail/crossing.h"

#include <algorithm>

namespace etchback::behaviour::detail {

namespace {

constexpr int kHalvings = 24;
constexpr double kHalfTick = 0x1p-41;  // seconds; see kernel.h

// Root of a function that is below zero at `low` and not below at `high`: false position with
// Illinois's weight, kept inside the bracket.
template <typename F>
double bracketed(F&& q, double low, double q_low, double high, double q_high, double fine) {
    int side = 0;
    for (int i = 0; i < 40 && high - low > fine; ++i) {
        double t = low + (high - low) * (-q_low / (q_high - q_low));
        if (!(t > low && t < high)) {
            t = 0.5 * (low + high);
        }
        const double value = q(t);
        if (value >= 0.0) {
            high = t;
            q_high = value;
            if (side == 1) {
                q_low *= 0.5;
            }
            side = 1;
        } else {
            low = t;
            q_low = value;
            if (side == -1) {
                q_high *= 0.5;
            }
            side = -1;
        }
    }
    return high;
}

// Where the slope passes zero, given that it has opposite signs at the ends.
double level_point(const Quintic& q, double h, bool rises_first) {
    double low = 0.0, high = h;
    for (int i = 0; i < kHalvings; ++i) {
        const double t = 0.5 * (low + high);
        ((q.slope(t) > 0.0) == rises_first ? low : high) = t;
    }
    return 0.5 * (low + high);
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

std::optional<double> first_crossing(const Jet& a, const Jet& b, double h) {
    const double fine = std::max(h * 1e-9, kHalfTick);
    if (a.f < 0.0) {
        if (b.f >= 0.0) {
            const Quintic q(a, b, h);
            return bracketed(q, 0.0, a.f, h, b.f, fine);
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
        const double top = level_point(q, h, true);
        const double value = q(top);
        if (value < 0.0) {
            return std::nullopt;
        }
        return bracketed(q, 0.0, a.f, top, value, fine);
    }
    if (b.f < 0.0 || a.f1 >= 0.0) {
        return std::nullopt;
    }
    // Begins at the edge and moves inwards, yet ends beyond it.
    const Quintic q(a, b, h);
    const double bottom = level_point(q, h, false);
    const double value = q(bottom);
    if (value >= 0.0) {
        return std::nullopt;
    }
    return bracketed(q, bottom, value, h, b.f, fine);
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
    return q(level_point(q, h, a.f1 > 0.0));
}

}  // namespace etchback::behaviour::detail
