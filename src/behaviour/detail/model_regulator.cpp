// Shunt regulators and series regulators.
#include <fmt/format.h>

#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {

void model_shunt_regulator(Builder& b, PartId id) {
    const NodeId anode = b.pin(id, "anode"), cathode = b.pin(id, "cathode"),
                 input = b.pin(id, "reference");
    const double volts = b.number(id, "reference_voltage");
    const double siemens = b.number(id, "transconductance");
    const double least_v = b.number(id, "cathode_voltage_least");
    // Below `least_v` the cathode carries nothing: a knee in series with the output stage.
    const NodeId stage = b.inner(id, "stage");
    const double slope_ohm = 1.0;
    const double before_ohm = 1e5;  // what it draws for itself below the knee
    b.own_curve(
        id,
        "output stage",
        cathode,
        stage,
        {{0.05, least_v}, {off_siemens, 1.0 / before_ohm, 1.0 / slope_ohm}, off_siemens * 0.05});
    // The stage takes siemens * (reference - volts), as far as it is above the anode.
    b.curve(
        id, "sink", stage, anode, sum({{input, 1.0}, {anode, -1.0}}), ramp(volts, siemens), 1e-2);
    b.curve(id,
            "saturation",
            anode,
            stage,
            // gain (input - volts) above the stage's own voltage: what the sink cannot take
            sum({{input, siemens * slope_ohm}, {anode, 1.0 - siemens * slope_ohm}, {stage, -1.0}},
                -siemens * slope_ohm * volts),
            ramp(rest_v, 1.0 / slope_ohm),
            0.1);
    b.conductor(id, "stage leak", stage, anode, before_ohm);
    b.conductor(id, "input", input, anode, volts / b.number(id, "reference_current"));
    // A 431 is also a diode from anode to cathode.
    Junction j;
    j.forward_v = 0.8;
    j.forward_a = 0.1;
    junction(b, id, "substrate diode", anode, cathode, j);
}

void model_linear_regulator(Builder& b, PartId id) {
    if (!b.on_net(id, "input") || !b.on_net(id, "output") || !b.on_net(id, "ground")) {
        b.note(fmt::format("{}: input, output or ground is on no net; it is left out",
                           b.part(id).name));
        return;
    }
    std::optional<Known> fixed;
    const auto& properties = b.part(id).said.properties;
    if (const auto value = b.perhaps_value(id);
        value && !properties.contains("reference_voltage")) {
        fixed = Known{base::Quantity::of(*value, base::Unit::volt), false, ""};
    }
    const auto volts = b.perhaps(id, "reference_voltage", fixed);
    if (!volts) {
        b.complain(id, "its output voltage is not known", "write it: value = \"...\"");
        return;
    }
    const NodeId in = b.pin(id, "input"), out = b.pin(id, "output"), ground = b.pin(id, "ground");
    const double dropout = b.number(id, "dropout");
    const double siemens = 1.0 / b.number(id, "output_resistance");
    const double most_a = b.number(id, "output_current_most");
    const double quiescent = b.number(id, "quiescent_current");
    // The target is the lesser of the set voltage and what the input leaves after the dropout.
    const NodeId target = b.inner(id, "target");
    const double feed_ohm = 1e6;
    b.add(id, "set voltage", ground, target, CurrentSource{Constant{*volts / feed_ohm}});
    b.conductor(id, "set", target, ground, feed_ohm);
    b.curve(id,
            "dropout",
            target,
            ground,
            sum({{target, 1.0}, {in, -1.0}}, dropout),
            ramp(0.0, 1e-2),
            0.1);
    b.curve(id,
            "pass",
            in,
            out,
            sum({{target, 1.0}, {out, -1.0}}),
            {{0.0, most_a / siemens}, {0.0, siemens, 0.0}, 0.0},
            0.1);
    b.own_curve(id,
                "quiescent",
                in,
                ground,
                {{0.05, 2.0}, {off_siemens, quiescent / 2.0, off_siemens}, off_siemens * 0.05});
    b.conductor(id, "pass leak", in, out, 1.0 / off_siemens);
}

}  // namespace etchback::behaviour::detail
