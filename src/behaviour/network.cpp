#include "behaviour/network.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

namespace etchback::behaviour {

namespace {

template <typename... Ts>
struct Overloaded : Ts... {
    using Ts::operator()...;
};
template <typename... Ts>
Overloaded(Ts...) -> Overloaded<Ts...>;

bool positive(double x) {
    return std::isfinite(x) && x > 0.0;
}
bool not_negative(double x) {
    return std::isfinite(x) && x >= 0.0;
}

// Collects complaints about one network.
class Inspector {
public:
    explicit Inspector(const Network& network) : network_(network) {}

    std::vector<base::Error> inspect() {
        for (const Branch& branch : network_.branches()) {
            ends(branch);
            element(branch);
        }
        couplings();
        transformers();
        probes();
        source_loops();
        return std::move(errors_);
    }

private:
    void say(std::string what, std::string todo) {
        errors_.push_back({{}, std::move(what), std::move(todo)});
    }

    bool exists(NodeId id) const {
        return id.index >= 0 && id.index < static_cast<int>(network_.nodes().size());
    }
    bool exists(KnobId id) const {
        return id.index >= 0 && id.index < static_cast<int>(network_.knobs().size());
    }
    bool is_winding(BranchId id) const {
        return id.index >= 0 && id.index < static_cast<int>(network_.branches().size()) &&
               std::holds_alternative<Winding>(network_[id].element);
    }

    void ends(const Branch& branch) {
        if (!exists(branch.from) || !exists(branch.to)) {
            say(fmt::format("{} ends on a node that does not exist", branch.name),
                "give both its ends a node of the network");
        }
    }

    void value(const Branch& branch, std::string_view quantity, double value, bool zero_too) {
        if (zero_too ? !not_negative(value) : !positive(value)) {
            say(fmt::format("the {} of {} is {}", quantity, branch.name, value),
                zero_too ? "give a finite value that is not negative"
                         : "give a finite value above zero");
        }
    }

    void expression(const std::string& name, const Expression& e) {
        const bool bad =
            std::any_of(
                e.volts.begin(),
                e.volts.end(),
                [&](const auto& v) { return !exists(v.node) || !std::isfinite(v.factor); }) ||
            std::any_of(e.amperes.begin(),
                        e.amperes.end(),
                        [&](const auto& a) {
                            return !is_winding(a.winding) || !std::isfinite(a.factor);
                        }) ||
            std::any_of(
                e.knobs.begin(),
                e.knobs.end(),
                [&](const auto& k) { return !exists(k.knob) || !std::isfinite(k.factor); }) ||
            !std::isfinite(e.constant);
        if (bad) {
            say(fmt::format("the expression of {} speaks of something that does not exist or is "
                            "not finite",
                            name),
                "use nodes, windings and knobs of the network and finite factors");
        }
    }

    void curve(const Branch& branch, const Curve& c) {
        expression(branch.name, c.control);
        const auto& f = c.current;
        const bool shape =
            f.slopes.size() == f.corners.size() + 1 &&
            std::is_sorted(f.corners.begin(), f.corners.end(), std::less_equal<>()) &&
            std::all_of(
                f.corners.begin(), f.corners.end(), [](double x) { return std::isfinite(x); }) &&
            std::all_of(
                f.slopes.begin(), f.slopes.end(), [](double x) { return std::isfinite(x); }) &&
            std::isfinite(f.anchor) && f.slopes.size() < 250;
        if (!shape) {
            say(fmt::format("the curve of {} has no proper corners and slopes", branch.name),
                "give rising corners and one slope more than corners, all finite");
        }
        value(branch, "threshold scale", c.threshold_scale, false);
        value(branch, "current scale", c.current_scale_a, false);
    }

    void signal(const Branch& branch, const Signal& signal) {
        std::visit(
            Overloaded{
                [&](const Constant& c) {
                    if (!std::isfinite(c.value)) {
                        say(fmt::format("the value of {} is not finite", branch.name),
                            "give a finite value");
                    }
                },
                [&](const Sine& s) {
                    value(branch, "amplitude", s.amplitude, true);
                    value(branch, "frequency", s.frequency_hz, false);
                    if (s.factor && !exists(*s.factor)) {
                        say(fmt::format("{} follows a knob that does not exist", branch.name),
                            "add the knob first");
                    }
                },
                [&](const FromKnob& k) {
                    if (!exists(k.knob)) {
                        say(fmt::format("{} follows a knob that does not exist", branch.name),
                            "add the knob first");
                    }
                },
                [&](const Table& t) { table(branch, t); }},
            signal);
    }

    void table(const Branch& branch, const Table& t) {
        const bool good =
            !t.t_s.empty() && t.t_s.size() == t.value.size() &&
            std::is_sorted(t.t_s.begin(), t.t_s.end()) &&
            std::all_of(t.t_s.begin(), t.t_s.end(), not_negative) &&
            std::all_of(
                t.value.begin(), t.value.end(), [](double x) { return std::isfinite(x); }) &&
            (!t.period_s || (positive(*t.period_s) && t.t_s.front() == 0.0 &&
                             t.t_s.back() <= *t.period_s * (1 + 1e-12)));
        if (!good) {
            say(fmt::format("the table of {} is not a list of rising times with finite values",
                            branch.name),
                "give as many times as values, from 0 on, within the period");
        }
    }

    void element(const Branch& branch) {
        std::visit(
            Overloaded{[&](const Conductance& g) { value(branch, "conductance", g.siemens, true); },
                       [&](const Capacitance& c) { value(branch, "capacitance", c.farad, true); },
                       [&](const Winding& w) {
                           value(branch, "inductance", w.henry, false);
                           value(branch, "resistance", w.ohm, true);
                       },
                       [&](const Curve& c) { curve(branch, c); },
                       [&](const Controlled& c) { expression(branch.name, c.current_a); },
                       [&](const Switch& s) {
                           value(branch, "conductance when closed", s.on_siemens, true);
                           value(branch, "conductance when open", s.off_siemens, true);
                       },
                       [&](const VoltageSource& s) { signal(branch, s.volt); },
                       [&](const CurrentSource& s) { signal(branch, s.ampere); }},
            branch.element);
    }

    void couplings() {
        for (const Coupling& c : network_.couplings()) {
            if (!is_winding(c.first) || !is_winding(c.second) || c.first == c.second) {
                say("a coupling does not join two windings", "couple windings of the network");
                continue;
            }
            const double l1 = std::get<Winding>(network_[c.first].element).henry;
            const double l2 = std::get<Winding>(network_[c.second].element).henry;
            if (!(c.henry * c.henry < l1 * l2)) {
                say(fmt::format("{} and {} are coupled by {} H, which is not less than the root of "
                                "the product of their inductances",
                                network_[c.first].name,
                                network_[c.second].name,
                                c.henry),
                    "leave some leakage, or use an ideal transformer");
            }
        }
    }

    void transformers() {
        for (const IdealTransformer& t : network_.transformers()) {
            if (!exists(t.first_plus) || !exists(t.first_minus) || !exists(t.second_plus) ||
                !exists(t.second_minus) || !std::isfinite(t.ratio) || t.ratio == 0.0) {
                say(fmt::format("the transformer {} has no proper nodes or ratio", t.name),
                    "give four nodes of the network and a ratio that is not zero");
            }
        }
    }

    void probes() {
        for (const Probe& p : network_.probes()) {
            const bool of_branch =
                p.kind == Probe::Kind::branch_volts || p.kind == Probe::Kind::branch_amps;
            if (of_branch && (p.branch.index < 0 ||
                              p.branch.index >= static_cast<int>(network_.branches().size()))) {
                say(fmt::format("the probe {} is on no branch", p.name), "name a branch");
            }
            if (!of_branch) {
                expression(p.name, p.expression);
            }
            if (!positive(p.scale)) {
                say(fmt::format("the probe {} has the scale {}", p.name, p.scale),
                    "give a scale above zero");
            }
        }
    }

    // A loop of ideal voltage sources asks for an infinite current.
    void source_loops() {
        std::vector<int> root(network_.nodes().size());
        std::iota(root.begin(), root.end(), 0);
        const auto find = [&](int i) {
            while (root[static_cast<std::size_t>(i)] != i) {
                i = root[static_cast<std::size_t>(i)];
            }
            return i;
        };
        for (const Branch& branch : network_.branches()) {
            if (!std::holds_alternative<VoltageSource>(branch.element) || !exists(branch.from) ||
                !exists(branch.to)) {
                continue;
            }
            const int a = find(branch.from.index), b = find(branch.to.index);
            if (a == b) {
                say(fmt::format("{} closes a loop of voltage sources without any resistance",
                                branch.name),
                    "take one source out or give it a source resistance");
            }
            root[static_cast<std::size_t>(a)] = b;
        }
    }

    const Network& network_;
    std::vector<base::Error> errors_;
};

}  // namespace

Expression Expression::voltage(NodeId plus, NodeId minus) {
    Expression e;
    e.volts.push_back({plus, 1.0});
    if (minus != reference) {
        e.volts.push_back({minus, -1.0});
    }
    return e;
}

Expression Expression::winding_current(BranchId winding) {
    Expression e;
    e.amperes.push_back({winding, 1.0});
    return e;
}

double PiecewiseLinear::operator()(double u) const {
    if (corners.empty()) {
        return anchor + slopes[0] * u;
    }
    double value = anchor;
    if (u <= corners[0]) {
        return value + slopes[0] * (u - corners[0]);
    }
    for (std::size_t k = 0; k < corners.size(); ++k) {
        const bool last = k + 1 == corners.size();
        const double to = last ? u : std::min(u, corners[k + 1]);
        value += slopes[k + 1] * (to - corners[k]);
        if (last || u <= corners[k + 1]) {
            break;
        }
    }
    return value;
}

Table pulse(double low,
            double high,
            double delay_s,
            double rise_s,
            double width_s,
            double fall_s,
            double period_s) {
    Table t;
    t.t_s = {0.0,
             delay_s,
             delay_s + rise_s,
             delay_s + rise_s + width_s,
             delay_s + rise_s + width_s + fall_s};
    t.value = {low, low, high, high, low};
    t.period_s = period_s;
    return t;
}

Network::Network() {
    nodes_.emplace_back("0");
}

NodeId Network::node(std::string name) {
    nodes_.push_back(std::move(name));
    return {static_cast<int>(nodes_.size()) - 1};
}

OwnerId Network::owner(std::string name) {
    owners_.push_back(std::move(name));
    return {static_cast<int>(owners_.size()) - 1};
}

BranchId Network::add(std::string name, NodeId from, NodeId to, Element element, OwnerId owner) {
    branches_.push_back({std::move(name), from, to, std::move(element), owner});
    const BranchId id{static_cast<int>(branches_.size()) - 1};
    if (std::holds_alternative<Switch>(branches_.back().element)) {
        switches_.push_back(id);
    }
    return id;
}

SwitchId Network::add_switch(
    std::string name, NodeId from, NodeId to, Switch element, OwnerId owner) {
    add(std::move(name), from, to, element, owner);
    return {static_cast<int>(switches_.size()) - 1};
}

void Network::couple(BranchId first, BranchId second, double henry) {
    couplings_.push_back({first, second, henry});
}

void Network::transformer(IdealTransformer transformer) {
    transformers_.push_back(std::move(transformer));
}

KnobId Network::knob(std::string name, double initial) {
    knobs_.push_back({std::move(name), initial});
    return {static_cast<int>(knobs_.size()) - 1};
}

ProbeId Network::probe(Probe probe) {
    probes_.push_back(std::move(probe));
    return {static_cast<int>(probes_.size()) - 1};
}

ProbeId Network::probe_voltage(std::string name, NodeId plus, NodeId minus, double scale) {
    Probe p;
    p.name = std::move(name);
    p.expression = Expression::voltage(plus, minus);
    p.scale = scale;
    return probe(std::move(p));
}

ProbeId Network::probe_current(std::string name, BranchId branch, double scale) {
    Probe p;
    p.name = std::move(name);
    p.kind = Probe::Kind::branch_amps;
    p.branch = branch;
    p.scale = scale;
    return probe(std::move(p));
}

void Network::replace(BranchId branch, Element element) {
    branches_[static_cast<std::size_t>(branch.index)].element = std::move(element);
}

std::vector<base::Error> faults_of(const Network& network) {
    return Inspector(network).inspect();
}

}  // namespace etchback::behaviour
