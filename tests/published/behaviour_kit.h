// Circuits for checks against published figures: parts by their names, and small machines that
// time an event.
#pragma once

#include <gtest/gtest.h>

#include <memory>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "behaviour/network.h"
#include "behaviour/simulation.h"
#include "reference/machines.h"

namespace etchback::behaviour::test {

// How far a part that a book calls ideal is from it here: a closed switch or conducting diode is
// `on_siemens`, an open one `off_siemens`.
struct Ideal {
    double on_siemens = 1e3;
    double off_siemens = 1e-9;
    double scale_v = 0.1;  // how finely a diode's corner is met: the engine takes a thousandth
};

// Says "reached" when a probe meets a threshold; nothing else.
class Stopwatch final : public Machine {
public:
    explicit Stopwatch(Watch watch) : watch_(watch) {}
    std::string name() const override { return "stopwatch"; }
    void start(Hands& hands) override { hands.arm(0, watch_); }
    void crossed(Hands& hands, int) override { hands.tell("reached", "The threshold is reached."); }
    void alarm(Hands&, int) override {}
    std::unique_ptr<Machine> clone() const override { return std::make_unique<Stopwatch>(*this); }

private:
    Watch watch_;
};

// A circuit on the bench: nodes are made when first named; "0" is the reference.
class Bench {
public:
    NodeId node(const std::string& name) {
        if (name == "0") {
            return reference;
        }
        for (std::size_t k = 0; k < network.nodes().size(); ++k) {
            if (network.nodes()[k] == name) {
                return NodeId{static_cast<int>(k)};
            }
        }
        return network.node(name);
    }
    BranchId resistor(const std::string& a, const std::string& b, double ohm) {
        return add(a, b, Conductance{.siemens = 1.0 / ohm});
    }
    BranchId capacitor(const std::string& a, const std::string& b, double farad, double v = 0.0) {
        return add(a, b, Capacitance{.farad = farad, .initial_v = v});
    }
    BranchId coil(const std::string& a,
                  const std::string& b,
                  double henry,
                  double a0 = 0.0,
                  double ohm = 0.0) {
        return add(a, b, Winding{.henry = henry, .ohm = ohm, .initial_a = a0});
    }
    BranchId source(const std::string& a, const std::string& b, Signal signal) {
        return add(a, b, VoltageSource{std::move(signal)});
    }
    BranchId battery(const std::string& a, const std::string& b, double volt) {
        return source(a, b, Constant{volt});
    }
    BranchId sine(const std::string& a, const std::string& b, double peak_v, double hz) {
        Sine sine;
        sine.amplitude = peak_v;
        sine.frequency_hz = hz;
        return source(a, b, sine);
    }
    BranchId current(const std::string& a, const std::string& b, double ampere) {
        return add(a, b, CurrentSource{Constant{ampere}});
    }
    BranchId diode(const std::string& a,
                   const std::string& b,
                   double knee_v = 0.0,
                   Ideal ideal = {}) {
        Curve curve;
        curve.control = Expression::voltage(node(a), node(b));
        curve.current.corners = {knee_v};
        curve.current.slopes = {ideal.off_siemens, ideal.on_siemens};
        curve.current.anchor = ideal.off_siemens * knee_v;
        curve.threshold_scale = ideal.scale_v;
        return add(a, b, std::move(curve));
    }
    // Four diodes from `a` and `b` to `plus` and from `minus` back.
    void bridge(const std::string& a,
                const std::string& b,
                const std::string& plus,
                const std::string& minus,
                double knee_v = 0.0,
                Ideal ideal = {}) {
        diode(a, plus, knee_v, ideal);
        diode(b, plus, knee_v, ideal);
        diode(minus, a, knee_v, ideal);
        diode(minus, b, knee_v, ideal);
    }
    SwitchId contact(const std::string& a, const std::string& b, Ideal ideal = {}) {
        return network.add_switch(
            next_name(),
            node(a),
            node(b),
            Switch{.on_siemens = ideal.on_siemens, .off_siemens = ideal.off_siemens});
    }
    // v(a, b) = ratio v(c, d).
    void transformer(const std::string& a,
                     const std::string& b,
                     const std::string& c,
                     const std::string& d,
                     double ratio) {
        network.transformer({.name = next_name(),
                             .first_plus = node(a),
                             .first_minus = node(b),
                             .second_plus = node(c),
                             .second_minus = node(d),
                             .ratio = ratio});
    }
    ProbeId volts(const std::string& a, const std::string& b = "0", double scale = 1.0) {
        return network.probe_voltage(a + " " + b, node(a), node(b), scale);
    }
    ProbeId amps(BranchId branch, double scale = 0.1) {
        return network.probe_current("amps", branch, scale);
    }
    template <typename M, typename... Arguments>
    void machine(Arguments&&... arguments) {
        machines.push_back(std::make_unique<M>(std::forward<Arguments>(arguments)...));
    }
    Simulation simulate(double tolerance = 1e-3) {
        SimulationOptions options;
        options.tolerance = tolerance;
        auto made = Simulation::make(std::move(network), std::move(machines), std::move(options));
        if (!made) {
            throw std::runtime_error(base::to_string(made.errors().front()));
        }
        return std::move(*made);
    }

    Network network;
    std::vector<std::unique_ptr<Machine>> machines;

private:
    std::string next_name() { return "X" + std::to_string(++count_); }
    BranchId add(const std::string& a, const std::string& b, Element element) {
        return network.add(next_name(), node(a), node(b), std::move(element));
    }
    int count_ = 0;
};

inline void run_to(Simulation& simulation, double t_s) {
    const Ending ending = simulation.run_to(t_s);
    ASSERT_EQ(ending, Ending::reached)
        << (simulation.trouble().empty() ? std::string()
                                         : base::to_string(simulation.trouble().front()));
}

inline void expect_in_order(const Simulation& simulation) {
    const Ledger ledger = simulation.ledger();
    EXPECT_LT(ledger.residual(), 1e-3);
    EXPECT_LT(ledger.worst_kirchhoff_a, 1e-4) << ledger.worst_node;
}

// Measures `probes` over one span once everything has settled.
inline Measured settled(Simulation& simulation,
                        const std::vector<ProbeId>& probes,
                        double settle_s,
                        double span_s) {
    run_to(simulation, settle_s);
    simulation.measure(probes);
    run_to(simulation, settle_s + span_s);
    expect_in_order(simulation);
    return simulation.measured();
}

}  // namespace etchback::behaviour::test
