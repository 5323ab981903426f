// Circuit 2: a capacitive dropper. Mains, a resistor, a capacitor with its bleeder, a bridge, a
// capacitor and a string of LEDs.
#pragma once

#include "reference/ida/equations.h"
#include "reference/ida/laws.h"

namespace etchback::ida {

// Invented values of a small LED lamp.
struct Dropper {
    double supply_v_rms = 230.0, supply_hz = 50.0;
    double series_ohm = 100.0;
    double dropper_farad = 470e-9, dropper_start_v = 0.0;
    double bleeder_ohm = 470e3;
    Bends diode{.leak = 1e-8, .at = {0.60, 0.75}, .added = {0.5, 4.5}};
    double diode_farad = 20e-12;
    double bulk_farad = 10e-6, bulk_start_v = 70.0;
    Bends leds{.leak = 1e-7, .at = {66.0, 70.0}, .added = {2e-3, 4e-3}};
};

class DropperEquations final : public Equations {
public:
    explicit DropperEquations(const Dropper& p) : p_(p) {}
    enum Unknown { across, a, n, bulk, integrals, all = integrals + 4 };

    int size() const override { return all; }
    void start(std::span<double> y, std::span<double> scale) const override;
    std::vector<bool> differential() const override { return std::vector<bool>(all, true); }
    void residual(double t,
                  std::span<const double> y,
                  std::span<const double> yp,
                  std::span<double> r) const override;
    void jacobian(double t, std::span<const double> y, double cj, Stamps& j) const override;

private:
    double supply(double t) const;
    double line(double t, std::span<const double> y) const;
    Dropper p_;
};

}  // namespace etchback::ida
