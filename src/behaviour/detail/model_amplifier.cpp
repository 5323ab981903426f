// Op-amps and comparators: an inner stage with one pole, an output between the rails.
#include <fmt/format.h>

#include <numbers>

#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

std::string joined(std::string_view unit, std::string_view what) {
    return unit.empty() ? std::string(what) : std::string(unit) + " " + std::string(what);
}

// No two amplifiers are equal: what is free to choose differs by some percent from one to the next.
// Equal poles in a row, each driving the next, would have no basis of exponentials.
double spread(PartId id, std::string_view unit) {
    const int last = unit.empty() ? 0 : unit.back() - '0';
    return 1.0 + 0.005 * ((7 * id.index + 31 * last) % 61);
}

void supply_current(Builder& b, PartId id, std::string_view unit, const AmplifierNodes& n) {
    b.own_curve(id,
                joined(unit, "supply"),
                n.supply,
                n.ground,
                {{0.05, 2.0},
                 {off_siemens, b.number(id, "supply_current") / 2.0, off_siemens},
                 off_siemens * 0.05});
}

bool has_rails(Builder& b, PartId id) {
    if (b.on_net(id, "supply") && b.on_net(id, "ground")) {
        return true;
    }
    b.note(fmt::format("{}: its supply pins are on no net; it is left out", b.part(id).name));
    return false;
}

AmplifierNodes nodes_of(Builder& b, PartId id) {
    return {b.pin(id, "in_plus"),
            b.pin(id, "in_minus"),
            b.pin(id, "output"),
            b.pin(id, "supply"),
            b.pin(id, "ground")};
}

}  // namespace

void put_op_amp(Builder& b, PartId id, std::string_view unit, const AmplifierNodes& n) {
    const double gain = b.number(id, "gain");
    const double offset = b.number(id, "offset_voltage");
    const double bandwidth = b.number(id, "gain_bandwidth") * spread(id, unit);
    const double slew = b.number(id, "slew_rate");  // volts a second
    const double headroom_high = b.number(id, "headroom_high");
    const double headroom_low = b.number(id, "headroom_low");
    const double siemens = 1.0 / b.number(id, "output_resistance");
    const double most_a = b.number(id, "output_current_most");
    // The stage stands at the voltage that the output shall have. Its capacitor is charged with at
    // most the slew rate; the input stage gives 2 pi * bandwidth * C for each volt.
    const double farad = 1e-9;
    const NodeId stage = b.inner(id, joined(unit, "stage"));
    const double gm = 2.0 * std::numbers::pi * bandwidth * farad;
    const double most = slew * farad;
    b.curve(id,
            joined(unit, "input stage"),
            n.ground,
            stage,
            sum({{n.plus, 1.0}, {n.minus, -1.0}}, offset),
            {{-most / gm, most / gm}, {0.0, gm, 0.0}, -most},
            most / gm);
    b.capacitor(id, joined(unit, "pole"), stage, n.ground, farad);
    b.conductor(id, joined(unit, "gain"), stage, n.ground, gain / gm / spread(id, unit));
    // Rails: beyond them the stage is held by much more than what the input stage can give.
    const double clamp = 100.0 * most * spread(id, unit);
    b.curve(id,
            joined(unit, "upper rail"),
            stage,
            n.ground,
            sum({{stage, 1.0}, {n.supply, -1.0}}, headroom_high),
            ramp(0.0, clamp),
            0.1);
    b.curve(id,
            joined(unit, "lower rail"),
            n.ground,
            stage,
            sum({{n.ground, 1.0}, {stage, -1.0}}, headroom_low),
            ramp(0.0, clamp),
            0.1);
    b.curve(id,
            joined(unit, "source"),
            n.supply,
            n.out,
            sum({{stage, 1.0}, {n.out, -1.0}}),
            {{rest_v, rest_v + most_a / siemens}, {0.0, siemens, 0.0}, 0.0},
            0.1);
    b.curve(id,
            joined(unit, "sink"),
            n.out,
            n.ground,
            sum({{n.out, 1.0}, {stage, -1.0}}),
            {{rest_v, rest_v + most_a / siemens}, {0.0, siemens, 0.0}, 0.0},
            0.1);
    b.conductor(id, joined(unit, "output leak"), n.out, n.ground, 1.0 / off_siemens);
    supply_current(b, id, unit, n);
}

void put_comparator(Builder& b, PartId id, std::string_view unit, const AmplifierNodes& n) {
    const double gain = b.number(id, "gain");
    const double seconds = b.number(id, "response_time") * spread(id, unit);
    const double siemens = 1.0 / b.number(id, "output_resistance");
    const double most_a = b.number(id, "output_current_most");
    // An open collector: the stage rises to the most that the output sinks.
    const double most_v = most_a / siemens;
    const double stage_ohm = 1e5;
    const NodeId stage = b.inner(id, joined(unit, "stage"));
    const double window = most_v / gain;  // of the inputs' difference
    b.curve(id,
            joined(unit, "input stage"),
            n.ground,
            stage,
            sum({{n.minus, 1.0}, {n.plus, -1.0}}),
            {{0.1 * rest_v, 0.1 * rest_v + window}, {0.0, gain / stage_ohm, 0.0}, 0.0},
            10.0 * window);
    b.conductor(id, joined(unit, "stage resistance"), stage, n.ground, stage_ohm);
    b.capacitor(id, joined(unit, "pole"), stage, n.ground, seconds / stage_ohm);
    b.add(id,
          joined(unit, "sink"),
          n.out,
          n.ground,
          Controlled{sum({{stage, siemens}, {n.ground, -siemens}})});
    b.curve(id,
            joined(unit, "saturation"),
            n.ground,
            n.out,
            sum({{stage, 1.0}, {n.out, -1.0}}),
            ramp(rest_v, siemens),
            0.1);
    b.conductor(id, joined(unit, "output leak"), n.out, n.ground, 1.0 / off_siemens);
    supply_current(b, id, unit, n);
}

void model_op_amp(Builder& b, PartId id) {
    if (has_rails(b, id)) {
        put_op_amp(b, id, "", nodes_of(b, id));
    }
}

void model_comparator(Builder& b, PartId id) {
    if (has_rails(b, id)) {
        put_comparator(b, id, "", nodes_of(b, id));
    }
}

void model_integrated_circuit(Builder& b, PartId id) {
    const circuit::Part& part = b.part(id);
    const Chip* chip = b.tables.devices.chip(part.said.type.value);
    if (chip == nullptr) {
        b.note(fmt::format("{}: what this chip does is not known; it is left out", part.name));
        return;
    }
    const auto pin = [&](const ChipUnit& unit, std::string_view wanted) -> std::optional<NodeId> {
        for (const auto& [of_kind, of_chip] : unit.pins) {
            for (std::size_t p = 0; of_kind == wanted && p < part.pins.size(); ++p) {
                if (part.pins[p].written == of_chip && part.pins[p].net.known()) {
                    return b.pin(id, p);
                }
            }
        }
        return std::nullopt;
    };
    int number = 0;
    for (const ChipUnit& unit : chip->units) {
        ++number;
        const auto plus = pin(unit, "in_plus"), minus = pin(unit, "in_minus"),
                   out = pin(unit, "output"), supply = pin(unit, "supply"),
                   ground = pin(unit, "ground");
        const std::string name = fmt::format("unit {}", number);
        if (!plus || !minus || !out || !supply || !ground) {
            b.note(fmt::format(
                "{}: its {} is not wired by pin numbers and is left out", part.name, name));
            continue;
        }
        const AmplifierNodes nodes{*plus, *minus, *out, *supply, *ground};
        unit.kind == "comparator" ? put_comparator(b, id, name, nodes)
                                  : put_op_amp(b, id, name, nodes);
    }
}

}  // namespace etchback::behaviour::detail
