// Circuit 1: mains with its impedance, a bridge, a capacitor and a resistor.
#pragma once

#include <numbers>

#include "reference/ida/equations.h"
#include "reference/ida/figures.h"
#include "reference/ida/laws.h"

namespace etchback::ida {

// Invented values of a small mains supply.
struct Rectifier {
    double supply_v_rms = 230.0, supply_hz = 50.0;
    double source_ohm = 8.0, source_henry = 0.8e-3;
    Bends diode{.leak = 1e-8, .at = {0.60, 0.75}, .added = {0.5, 4.5}};
    double diode_farad = 20e-12;
    double bulk_farad = 22e-6, bulk_start_v = 300.0;
    double load_ohm = 3300.0;
};

// The same circuit with junctions that follow the exponential law.
struct JunctionRectifier : Rectifier {
    Junction junction{.saturation_a = 2e-9, .swing_v = 0.048, .leak = 1e-8};
};

template <typename Parameters>
class RectifierEquations final : public Equations {
public:
    explicit RectifierEquations(const Parameters& p) : p_(p) {}
    enum Unknown { current, a, n, bulk, integrals, all = integrals + 4 };

    int size() const override { return all; }
    void start(std::span<double> y, std::span<double> scale) const override;
    std::vector<bool> differential() const override { return std::vector<bool>(all, true); }
    void residual(double t,
                  std::span<const double> y,
                  std::span<const double> yp,
                  std::span<double> r) const override;
    void jacobian(double t, std::span<const double> y, double cj, Stamps& j) const override;

private:
    double supply(double t) const {
        return std::numbers::sqrt2 * p_.supply_v_rms *
               std::sin(2.0 * std::numbers::pi * p_.supply_hz * t);
    }
    const auto& law() const {
        if constexpr (requires { p_.junction; }) {
            return p_.junction;
        } else {
            return p_.diode;
        }
    }
    Parameters p_;
};

extern template class RectifierEquations<Rectifier>;
extern template class RectifierEquations<JunctionRectifier>;

}  // namespace etchback::ida
