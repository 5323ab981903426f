// What controllers put into a network, and how they get at their wiring and numbers.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "behaviour/controllers.h"

namespace etchback::behaviour::detail {

// Gives pins and numbers of one controller, adds elements in its name, and collects what is wrong.
class Bench {
public:
    Bench(Network& network, const Family& family, const ControllerWiring& wiring)
        : network_(network), family_(family), wiring_(wiring) {}

    Network& network() { return network_; }
    const ControllerWiring& wiring() const { return wiring_; }
    const std::string& part() const { return wiring_.part; }

    // A number of the dossier, else the family's usual one. `number` complains where there is
    // none; `positive` also where it is not above zero.
    std::optional<double> find(std::string_view name) const;
    double number(std::string_view name);
    double positive(std::string_view name);
    double number_or(std::string_view name, double otherwise) const;
    bool has_positive(std::string_view name) const { return number_or(name, 0.0) > 0.0; }

    // The node of a role; nothing where it is not wired or tied to the return.
    std::optional<NodeId> pin(std::string_view role) const;
    NodeId needed_pin(std::string_view role);  // complains, and gives the return
    NodeId ground() const;

    NodeId inner_node(std::string_view what);
    static constexpr double least_sink_a = 1e-7;
    BranchId add(std::string_view what, NodeId from, NodeId to, Element element);
    SwitchId add_switch(std::string_view what, NodeId from, NodeId to, Switch element);
    KnobId knob(std::string_view what, double initial);
    // A voltage against the return.
    ProbeId volts(std::string_view what, NodeId node, double scale);
    ProbeId slope(std::string_view what, NodeId node, double scale);

    // A current from `node` to the return that a knob sets, but no more than what a small
    // resistance lets through, so that it never pulls the node below the return.
    // Its knob stays at or above `least_sink_a`, so that a supply at 0 V is off the corner.
    KnobId sink(std::string_view what, NodeId node, double largest_a);
    // Keeps `node` between the return and `high_v`. The lower corner lies 50 mV below the return:
    // a node that rests at the return must not rest on a corner.
    void clamp(std::string_view what, NodeId node, double high_v, double siemens);
    // A capacitor stands between `node`, or what is wired to it, and something else.
    bool has_capacitor(NodeId node) const;

    // The transistor that the controller works: the one outside, or one put in between the roles
    // drain and source. Nothing where it works none.
    struct Power {
        std::optional<SwitchId> id;
        std::optional<BranchId> own;  // the switch inside
        std::optional<NodeId> drain, source;
    };
    Power power();

    void complain(std::string what, std::string todo);
    base::Errors& errors() { return errors_; }

private:
    std::string named(std::string_view what) const;

    Network& network_;
    const Family& family_;
    const ControllerWiring& wiring_;
    base::Errors errors_;
};

// One share of the reference that is left at the junction temperature (an input number), by the
// numbers foldback_start, foldback_slope (per kelvin) and foldback_least.
double thermal_share(const Bench& bench);

std::string volts_text(double v);
std::string amps_text(double a);
std::string time_text(double s);

}  // namespace etchback::behaviour::detail
