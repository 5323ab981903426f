// Circuit 3: a flyback at a fixed 65 kHz from a direct supply, discontinuous, peak current held.
#pragma once

#include "reference/ida/equations.h"
#include "reference/ida/laws.h"

namespace etchback::ida {

// Invented values of a 12 V supply of some ten watts.
struct FixedFlyback {
    double supply_v = 310.0, supply_ohm = 2.0;
    double bus_farad = 10e-6;
    double period_s = 1.0 / 65e3;
    double blanking_s = 400e-9;  // no comparison of the current for this long after turn-on
    double limit_a = 0.75;
    double longest_on_s = 7e-6;
    double primary_henry = 700e-6, primary_ohm = 0.8;
    double turns = 8.0;  // primary over secondary
    double coupling = 0.992;
    double secondary_ohm = 0.02;
    double damping_ohm = 33e3;  // across the primary: core loss
    double on_siemens = 0.5, off_siemens = 1e-8;
    Bends body{.leak = 0.0, .at = {0.7, 1e9}, .added = {5.0, 0.0}};
    double drain_farad = 60e-12;
    Bends clamp{.leak = 1e-9, .at = {0.8, 1e9}, .added = {2.0, 0.0}};
    double clamp_diode_farad = 8e-12;
    double clamp_farad = 2.2e-9, clamp_ohm = 150e3, clamp_start_v = 160.0;
    Bends output{.leak = 1e-7, .at = {0.4, 1e9}, .added = {20.0, 0.0}};
    double output_diode_farad = 150e-12;
    double snubber_ohm = 33.0, snubber_farad = 1e-9;  // across the output diode
    double output_farad = 470e-6, output_series_ohm = 0.04, output_start_v = 12.0;
    double load_ohm = 14.0;
};

class FixedFlybackEquations final : public Equations {
public:
    explicit FixedFlybackEquations(const FixedFlyback& p);
    // `rectifier`: the voltage across the output diode.
    enum Unknown {
        bus,
        primary,
        secondary,
        drain,
        clamp,
        rectifier,
        snubber,
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
    double next_alarm() const override;
    void alarm(double t) override;
    long cycles() const { return cycle_; }

private:
    FixedFlyback p_;
    double secondary_henry_, mutual_henry_;
    bool on_ = false;
    bool comparing_ = false;
    long cycle_ = 0;
    double off_at_ = never, compare_at_ = never;
};

}  // namespace etchback::ida
