// The bench on which a circuit is made a network: nodes, numbers, elements, and notes about them.
#pragma once

#include <set>

#include "behaviour/detail/model_tables.h"
#include "behaviour/models.h"
#include "circuit/domains.h"

namespace etchback::behaviour::detail {

using circuit::NetId;
using circuit::PartId;

// A number that a model asks for and that the dossier may know under another word than its key.
struct Known {
    base::Quantity value;
    bool assumed = false;
    std::string source;
};

// A transistor that a controller works: its channel is a switch, not a model of its own.
struct Driven {
    std::optional<SwitchId> channel;  // none where a fault takes the drive away
    NodeId high, low;                 // drain and source, collector and emitter
    PartId by;
};

class Builder {
public:
    Builder(const circuit::Circuit& circuit,
            const dossier::Dossier& dossier,
            const std::vector<parts::RegisteredType>& types,
            const Tables& tables,
            const ModelOptions& options);

    const circuit::Circuit& circuit;
    const dossier::Dossier& dossier;
    const std::vector<parts::RegisteredType>& types;
    const Tables& tables;
    const ModelOptions& options;
    const circuit::Domains domains;

    Model model;
    base::Errors errors;
    std::map<PartId, Driven> driven;  // filled in before parts are modelled
    std::set<PartId> silent;          // gate resistors and the like: they carry nothing
    bool is_switch(PartId id) const {
        const auto it = driven.find(id);
        return it != driven.end() && it->second.channel.has_value();
    }

    const circuit::Part& part(PartId id) const { return circuit[id]; }
    OwnerId owner(PartId id) const { return owners_[static_cast<std::size_t>(id.index)]; }
    Network& network() { return model.network; }

    // --- nodes ---
    NodeId net(NetId id) const { return nets_[static_cast<std::size_t>(id.index)]; }
    // Where a pin is joined, faults taken into account. A pin on no net has a node of its own.
    NodeId pin(PartId id, std::size_t index);
    NodeId pin(PartId id, std::string_view name);
    bool on_net(PartId id, std::string_view name) const;
    NodeId inner(PartId id, std::string_view what);
    NodeId return_of(NetId id) const;
    NetId reference_net() const { return reference_net_; }

    // --- numbers ---
    // A parameter of a part: from the options, the dossier's property of that key, `known`, or the
    // table of devices. Listed as parameter and, if it is assumed, as such.
    double number(PartId id, std::string_view key, const std::optional<Known>& known = {});
    // The same where it may stay unknown.
    std::optional<double> perhaps(PartId id,
                                  std::string_view key,
                                  const std::optional<Known>& known = {});
    // The part's value with its tolerance; complains where it is absent or not above zero.
    double value(PartId id);
    std::optional<double> perhaps_value(PartId id);
    const parts::RegisteredType* type(PartId id) const;
    std::optional<Known> typed(PartId id,
                               double parts::RegisteredType::*field,
                               base::Unit unit) const;

    // --- elements, named "R9" or "D3.junction" and booked to the part ---
    std::string name(PartId id, std::string_view what) const;
    BranchId add(PartId id, std::string_view what, NodeId from, NodeId to, Element element);
    SwitchId add_switch(PartId id, std::string_view what, NodeId from, NodeId to, Switch element);
    BranchId conductor(PartId id, std::string_view what, NodeId from, NodeId to, double ohm);
    BranchId capacitor(PartId id, std::string_view what, NodeId from, NodeId to, double farad);
    BranchId curve(PartId id,
                   std::string_view what,
                   NodeId from,
                   NodeId to,
                   Expression control,
                   PiecewiseLinear current,
                   double scale = 1.0);
    // A curve of the branch's own voltage.
    BranchId own_curve(PartId id,
                       std::string_view what,
                       NodeId from,
                       NodeId to,
                       PiecewiseLinear current,
                       double scale = 1.0);
    // A winding with the resistor across it that damps it; `loss` names the row of its quality.
    BranchId winding(PartId id,
                     std::string_view what,
                     NodeId from,
                     NodeId to,
                     double henry,
                     double ohm,
                     std::string_view loss);

    void current(PartId id, BranchId branch);  // the part's current probe
    // Switches around a load; gives the node at which the load itself begins.
    NodeId load_terminals(PartId id, NodeId from, NodeId to);
    void note(std::string sentence) { model.left_out.push_back(std::move(sentence)); }
    void complain(PartId id, std::string what, std::string todo);
    void machine(std::unique_ptr<Machine> machine) { model.machines.push_back(std::move(machine)); }
    bool has_capacitor_across(PartId id, NetId a, NetId b) const;

    // --- beginning and end ---
    void put_in_faults();
    void put_in_dormant_faults();
    void tie_floating();

private:
    void choose_reference();
    NodeId outside(PartId id, NodeId node) const;
    void check_faults(const std::vector<Fault>& faults);
    std::vector<circuit::PinRef> opened_by(const Fault& fault) const;
    std::optional<std::pair<circuit::PinRef, circuit::PinRef>> joined_by(const Fault& fault) const;
    double booked(PartId id, std::string_view key, const base::Quantity& value, bool assumed);

    std::vector<NodeId> nets_;
    std::vector<OwnerId> owners_;
    std::map<circuit::PinRef, NodeId> own_nodes_;  // of open pins and pins on no net
    std::set<circuit::PinRef> open_;
    std::map<circuit::PinRef, std::size_t> dormant_open_;  // index into options.dormant
    NetId reference_net_;
};

// --- shapes of piecewise-linear curves ---
inline constexpr double off_siemens = 1e-9;     // what a blocking junction or open switch leaks
inline constexpr double wire_siemens = 1e3;     // a closed contact
inline constexpr double fault_siemens = 100;    // a short put in on purpose: 10 milliohm
inline constexpr double dormant_siemens = 200;  // a joint that a dormant fault may open
inline constexpr double dormant_leak = 1e-11;
// Corners that would lie where a circuit without voltage rests are moved up by this, so that no
// rounding decides on which side of them it is.
inline constexpr double rest_v = 1e-3;

// Off below `knee_v`, then `ohm`.
PiecewiseLinear knee(double knee_v, double ohm);
// The same with breakdown below -`breakdown_v`.
PiecewiseLinear knee_and_breakdown(double knee_v,
                                   double ohm,
                                   double breakdown_v,
                                   double breakdown_ohm);
// The same current both ways round: each corner (volt, ampere) is met, the last slope goes on.
struct CurvePoint {
    double volt, ampere;
};
PiecewiseLinear odd(const std::vector<CurvePoint>& points);
// Rising through points from the off state on, `off_siemens` before the first.
PiecewiseLinear through(const std::vector<CurvePoint>& points, double first_slope = off_siemens);
// `siemens` above zero, nothing below: half of a channel that saturates.
PiecewiseLinear ramp(double from, double siemens);

// Expressions: a sum of node voltages and a constant.
Expression sum(std::vector<Expression::Volt> volts, double constant = 0.0);

}  // namespace etchback::behaviour::detail
