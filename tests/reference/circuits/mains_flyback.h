// Circuit 4: a flyback of high power factor straight from the mains: line filter, bridge, a small
// bus capacitor, constant on-time, turned on again in the valley of the drain's ringing.
#pragma once

#include <algorithm>

#include "reference/ida/equations.h"
#include "reference/ida/laws.h"

namespace etchback::ida {

// Invented values of an LED lamp driver of some twenty watts.
struct MainsFlyback {
    double supply_v_rms = 230.0, supply_hz = 50.0;
    double filter_ohm = 10.0, filter_henry = 1.5e-3, filter_farad = 100e-9;
    Bends diode{.leak = 1e-8, .at = {0.60, 0.75}, .added = {0.5, 4.5}};
    double diode_farad = 20e-12;
    double bus_farad = 220e-9;
    double leakage_henry = 20e-6, leakage_damping_ohm = 2.2e3;
    double primary_henry = 1.5e-3, turns = 3.0;  // primary over secondary
    double on_siemens = 0.5, off_siemens = 1e-8;
    Bends body{.leak = 0.0, .at = {0.7, 1e9}, .added = {5.0, 0.0}};
    double drain_farad = 45e-12;
    Bends clamp{.leak = 1e-9, .at = {0.8, 1e9}, .added = {2.0, 0.0}};
    double clamp_diode_farad = 6e-12;
    double clamp_farad = 2.2e-9, clamp_ohm = 150e3, clamp_start_v = 190.0;
    Bends output{.leak = 1e-7, .at = {0.7, 1e9}, .added = {10.0, 0.0}};
    double output_diode_farad = 40e-12;
    double output_farad = 220e-6, output_series_ohm = 0.15, output_start_v = 48.0;
    Bends leds{.leak = 1e-6, .at = {45.0, 1e9}, .added = {0.13, 0.0}};
    // The controller.
    double on_s = 3.2e-6;
    double blanking_s = 1.5e-6;  // after turn-off: the winding is not looked at
    double delay_s = 0.45e-6;    // from the winding's zero to turn-on: half a swing
    double restart_s = 30e-6;    // after turn-off, where the winding never falls
};

class MainsFlybackEquations final : public Equations {
public:
    explicit MainsFlybackEquations(const MainsFlyback& p) : p_(p) {}
    // `rectifier`: the voltage across the output diode.
    enum Unknown {
        line,
        a,
        n,
        bus,
        leakage,
        magnetising,
        drain,
        clamp,
        rectifier,
        output,
        stored,
        integrals,
        all = integrals + 4
    };

    int size() const override { return all; }
    void start(std::span<double> y, std::span<double> scale) const override;
    std::vector<bool> differential() const override;
    void residual(double t,
                  std::span<const double> y,
                  std::span<const double> yp,
                  std::span<double> r) const override;
    void jacobian(double t, std::span<const double> y, double cj, Stamps& j) const override;

    int guards() const override { return 1; }
    void guard_values(double t, std::span<const double> y, std::span<double> g) const override;
    void crossed(int guard, bool rising, double t) override;
    double next_alarm() const override { return std::min({turn_at_, look_at_, restart_at_}); }
    void alarm(double t) override;
    long cycles() const { return cycles_; }

private:
    double supply(double t) const;
    void turn_on(double t);

    MainsFlyback p_;
    bool on_ = false;
    bool looking_ = false;
    double turn_at_ = 0.0, look_at_ = never, restart_at_ = never;
    long cycles_ = 0;
    mutable bool below_ = false;  // the winding, when it was last looked at
};

}  // namespace etchback::ida
