// Optocoupler: an LED, its light delayed by one time constant, a transistor that saturates.
#include <numbers>

#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {

void model_optocoupler(Builder& b, PartId id) {
    const NodeId anode = b.pin(id, "anode"), cathode = b.pin(id, "cathode");
    const NodeId collector = b.pin(id, "collector"), emitter = b.pin(id, "emitter");
    Junction led;
    led.forward_v = b.number(id, "forward_voltage");
    led.forward_a = b.number(id, "forward_voltage_current");
    led.knee_share = b.number(id, "knee_share");
    led.capacitance_f = b.number(id, "junction_capacitance");
    b.current(id, junction(b, id, "LED", anode, cathode, led));

    // The light is a voltage of an inner node: a copy of the LED's current into a resistor and a
    // capacitor. One volt of it stands for `siemens` of collector current.
    const double ratio = b.number(id, "ctr") / 100.0;
    const double siemens = b.number(id, "collector_siemens_at_saturation");
    const double light_ohm = 1e5;
    const double copy = ratio / (siemens * light_ohm);
    const double start = led.knee_share * led.forward_v;
    const NodeId light = b.inner(id, "light");
    b.curve(id,
            "light",
            reference,
            light,
            sum({{anode, 1.0}, {cathode, -1.0}}),
            ramp(start, copy * led.forward_a / (led.forward_v - start)),
            0.1);
    b.conductor(id, "light decay", light, reference, light_ohm);
    const double seconds = 1.0 / (2.0 * std::numbers::pi * b.number(id, "bandwidth"));
    b.capacitor(id, "light delay", light, reference, seconds / light_ohm);

    // min(light, collector voltage) in pieces: the light's share, less what the collector lacks.
    b.add(id, "collector", collector, emitter, Controlled{sum({{light, siemens}})});
    b.curve(id,
            "saturation",
            emitter,
            collector,
            sum({{light, 1.0}, {collector, -1.0}, {emitter, 1.0}}),
            ramp(rest_v, siemens),
            0.1);
    b.conductor(id, "dark", collector, emitter, 1.0 / off_siemens);
}

}  // namespace etchback::behaviour::detail
