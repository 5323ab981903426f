#include <numbers>

#include "reference/circuits/dropper.h"
#include "reference/ida/currents.h"

namespace etchback::ida {

double DropperEquations::supply(double t) const {
    return std::numbers::sqrt2 * p_.supply_v_rms *
           std::sin(2.0 * std::numbers::pi * p_.supply_hz * t);
}

// The current of the line: what the series resistor leaves.
double DropperEquations::line(double t, std::span<const double> y) const {
    return (supply(t) - y[across] - y[a] + y[n]) / p_.series_ohm;
}

void DropperEquations::start(std::span<double> y, std::span<double> scale) const {
    std::ranges::fill(y, 0.0);
    y[across] = p_.dropper_start_v;
    y[bulk] = p_.bulk_start_v;
    const double sizes[all] = {1.0, 1.0, 1.0, 1.0, 1e-4, 1e-2, 1e-6, 1e-4};
    std::ranges::copy(sizes, scale.begin());
}

void DropperEquations::residual(double t,
                                std::span<const double> y,
                                std::span<const double> yp,
                                std::span<double> r) const {
    std::ranges::fill(r, 0.0);
    const double i = line(t, y);
    r[across] = i - y[across] / p_.bleeder_ohm - p_.dropper_farad * yp[across];
    flow(r, n, a, i);
    bridge(y, yp, r, a, n, bulk, p_.diode, p_.diode_farad);
    const double load = p_.leds.current(y[bulk]);
    flow(r, bulk, earth, load + p_.bulk_farad * yp[bulk]);
    r[integrals] = i - yp[integrals];
    r[integrals + 1] = supply(t) * i - yp[integrals + 1];
    r[integrals + 2] = i * i - yp[integrals + 2];
    r[integrals + 3] = load - yp[integrals + 3];
}

void DropperEquations::jacobian(double t, std::span<const double> y, double cj, Stamps& j) const {
    const double g = 1.0 / p_.series_ohm;
    // Every row that the line's current enters, with its factor there.
    const std::pair<int, double> rows[] = {{across, 1.0},
                                           {a, 1.0},
                                           {n, -1.0},
                                           {integrals, 1.0},
                                           {integrals + 1, supply(t)},
                                           {integrals + 2, 2.0 * line(t, y)}};
    for (const auto& [row, factor] : rows) {
        j.add(row, across, -g * factor);
        j.add(row, a, -g * factor);
        j.add(row, n, g * factor);
    }
    j.add(across, across, -1.0 / p_.bleeder_ohm - cj * p_.dropper_farad);
    bridge(y, j, a, n, bulk, p_.diode, p_.diode_farad, cj);
    const double slope = p_.leds.slope(y[bulk]);
    flow(j, bulk, earth, slope + cj * p_.bulk_farad);
    j.add(integrals + 3, bulk, slope);
    for (int k = 0; k < 4; ++k) {
        j.add(integrals + k, integrals + k, -cj);
    }
}

}  // namespace etchback::ida
