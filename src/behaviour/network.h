// What the engine simulates: a network of linear elements, piecewise-linear branches, switches and
// sources. Every device of a circuit is made of these (models.h does it).
//
// Units are SI: ohms' inverses (siemens), farads, henries, volts, amperes, seconds. Voltages are
// counted from a branch's first node to its second; currents flow from the first node through the
// branch to the second. Node 0 is the reference, at 0 V.
#pragma once

#include <compare>
#include <limits>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/error.h"

namespace etchback::behaviour {

// Indices into the network's lists; types of their own, so that they can't be mixed.
struct NodeId {
    int index = -1;
    auto operator<=>(const NodeId&) const = default;
};
struct BranchId {  // anything with two ends: conductances, capacitors, windings, sources ...
    int index = -1;
    auto operator<=>(const BranchId&) const = default;
};
struct SwitchId {  // a branch that a machine opens and closes
    int index = -1;
    auto operator<=>(const SwitchId&) const = default;
};
struct KnobId {  // a constant that a machine may change
    int index = -1;
    auto operator<=>(const KnobId&) const = default;
};
struct ProbeId {  // a quantity that can be watched, recorded and averaged
    int index = -1;
    auto operator<=>(const ProbeId&) const = default;
};
struct OwnerId {  // whom a branch's power is booked to: a part of the circuit
    int index = -1;
    auto operator<=>(const OwnerId&) const = default;
};

inline constexpr NodeId reference{0};

// A linear expression in node voltages, winding currents and knobs.
struct Expression {
    struct Volt {
        NodeId node;
        double factor = 1.0;
    };
    struct Ampere {  // current of a winding
        BranchId winding;
        double factor = 1.0;
    };
    struct Knob {
        KnobId knob;
        double factor = 1.0;
    };
    std::vector<Volt> volts;
    std::vector<Ampere> amperes;
    std::vector<Knob> knobs;
    double constant = 0.0;

    static Expression voltage(NodeId plus, NodeId minus = reference);
    static Expression winding_current(BranchId winding);
};

// A continuous piecewise-linear function: `slopes[k]` holds between `corners[k - 1]` and
// `corners[k]`; the value at `corners[0]` (or at 0 where there is no corner) is `anchor`.
// slopes.size() == corners.size() + 1; corners rise.
struct PiecewiseLinear {
    std::vector<double> corners;
    std::vector<double> slopes;
    double anchor = 0.0;

    double operator()(double u) const;
};

// What a source gives.
struct Constant {
    double value = 0.0;
};
struct Sine {  // amplitude * sin(2 pi frequency t + phase), times the factor knob where there is
               // one
    double amplitude = 0.0;
    double frequency_hz = 50.0;
    double phase_rad = 0.0;
    std::optional<KnobId> factor;
};
struct FromKnob {
    KnobId knob;
    double factor = 1.0;
};
// Straight lines between points; before the first and after the last the value stays. With a
// period the points repeat; the first must lie at 0 and the last at or before the period. Two
// points at one time are a jump.
struct Table {
    std::vector<double> t_s;
    std::vector<double> value;
    std::optional<double> period_s;
};
// A table of one pulse that repeats.
Table pulse(double low,
            double high,
            double delay_s,
            double rise_s,
            double width_s,
            double fall_s,
            double period_s);

using Signal = std::variant<Constant, Sine, FromKnob, Table>;

struct Conductance {
    double siemens = 0.0;
};
struct Capacitance {
    double farad = 0.0;
    double initial_v = 0.0;
};
// A winding: inductance and series resistance. Couplings between windings stand in the network.
struct Winding {
    double henry = 0.0;
    double ohm = 0.0;
    double initial_a = 0.0;
};
// Current through the branch is a piecewise-linear function of an expression. A diode: of its own
// voltage. The scales say how fine a corner must be met: in the control (volts or amperes) and, on
// a steep segment, in the current.
struct Curve {
    Expression control;
    PiecewiseLinear current;
    double threshold_scale = 1.0;
    double current_scale_a = 0.1;
};
// Current through the branch is linear in an expression (transconductance, current mirror).
struct Controlled {
    Expression current_a;
};
struct Switch {
    double on_siemens = 0.0;
    double off_siemens = 0.0;
    bool closed = false;
};
struct VoltageSource {
    Signal volt;
};
struct CurrentSource {
    Signal ampere;
};

using Element = std::variant<Conductance,
                             Capacitance,
                             Winding,
                             Curve,
                             Controlled,
                             Switch,
                             VoltageSource,
                             CurrentSource>;

struct Branch {
    std::string name;
    NodeId from;
    NodeId to;
    Element element;
    OwnerId owner;
};

// Mutual inductance M between two windings, henry; positive where current into both first nodes
// adds flux.
struct Coupling {
    BranchId first;
    BranchId second;
    double henry = 0.0;
};

// v(first) = ratio * v(second) at all times, with the currents that keep power: an ideal
// transformer. Leakage and magnetising inductance are windings of their own.
struct IdealTransformer {
    std::string name;
    NodeId first_plus, first_minus;
    NodeId second_plus, second_minus;
    double ratio = 1.0;
};

struct Probe {
    enum class Kind {
        expression,    // of node voltages, winding currents and knobs
        slope,         // its time derivative
        branch_volts,  // voltage across a branch
        branch_amps,   // current through a branch, sources and capacitors included
    };
    std::string name;
    Kind kind = Kind::expression;
    Expression expression;
    BranchId branch;
    double scale = 1.0;  // a change that matters: 1 V, 1 A; sets how finely crossings are met
};

struct Knob {
    std::string name;
    double initial = 0.0;
};

class Network {
public:
    Network();  // with the reference node

    NodeId node(std::string name);
    OwnerId owner(std::string name);
    BranchId add(std::string name, NodeId from, NodeId to, Element element, OwnerId owner = {});
    SwitchId add_switch(
        std::string name, NodeId from, NodeId to, Switch element, OwnerId owner = {});
    void couple(BranchId first, BranchId second, double henry);
    void transformer(IdealTransformer transformer);
    KnobId knob(std::string name, double initial);
    ProbeId probe(Probe probe);
    ProbeId probe_voltage(std::string name,
                          NodeId plus,
                          NodeId minus = reference,
                          double scale = 1.0);
    ProbeId probe_current(std::string name, BranchId branch, double scale = 0.1);

    // Replaces what a branch is made of, for faults and tolerances.
    void replace(BranchId branch, Element element);

    const std::vector<std::string>& nodes() const { return nodes_; }
    const std::vector<std::string>& owners() const { return owners_; }
    const std::vector<Branch>& branches() const { return branches_; }
    const std::vector<Coupling>& couplings() const { return couplings_; }
    const std::vector<IdealTransformer>& transformers() const { return transformers_; }
    const std::vector<Knob>& knobs() const { return knobs_; }
    const std::vector<Probe>& probes() const { return probes_; }
    const std::vector<BranchId>& switches() const { return switches_; }

    const Branch& operator[](BranchId id) const {
        return branches_[static_cast<std::size_t>(id.index)];
    }

private:
    std::vector<std::string> nodes_;
    std::vector<std::string> owners_;
    std::vector<Branch> branches_;
    std::vector<Coupling> couplings_;
    std::vector<IdealTransformer> transformers_;
    std::vector<Knob> knobs_;
    std::vector<Probe> probes_;
    std::vector<BranchId> switches_;
};

// All that keeps the network from being simulated, in words: negative or non-finite values, a
// branch on a node that does not exist, a loop of voltage sources, couplings above one ...
std::vector<base::Error> faults_of(const Network& network);

}  // namespace etchback::behaviour
