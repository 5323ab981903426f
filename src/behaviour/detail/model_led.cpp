// LEDs and strings of them.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

// LEDs in series and parallel as one knee and slope. The forward voltage holds at the forward
// current; with a slope resistance given, the knee follows from it.
PiecewiseLinear led_shape(Builder& b, PartId id, double count, double strings) {
    std::optional<Known> usual;
    for (const dossier::Claim& claim : b.dossier.claims) {
        if (b.part(id).kind.id == "led_string" && claim.quantity.value == "output current" &&
            claim.value.value.value > 0) {
            base::Quantity share = claim.value.value;
            share.value /= strings;
            share.low /= strings;
            share.high /= strings;
            usual = Known{share, true, "output current claimed by the label"};
        }
    }
    if (const auto& said = b.part(id).said.rated_current; !usual && said) {
        usual = Known{said->value, false, ""};
    }
    const double amps = b.number(id, "forward_current", usual);
    const double volts = b.number(id, "forward_voltage");
    double ohm = 0.0;
    if (b.part(id).said.properties.contains("dynamic_resistance")) {
        ohm = b.number(id, "dynamic_resistance");
    } else {
        const double share = 1.0 - b.number(id, "knee_share");
        ohm = b.number(id,
                       "dynamic_resistance",
                       Known{{share * volts / amps,
                              base::Unit::ohm,
                              0.5 * share * volts / amps,
                              2.0 * share * volts / amps,
                              {},
                              true},
                             true,
                             "usual share of the forward voltage over the usual current"});
    }
    const double start = std::max(0.2 * volts, volts - ohm * amps);
    // Below the knee LEDs still pass a trifle, more than other junctions do.
    const double leak = 1e-7 * strings;
    return {{count * start}, {leak, strings / (count * ohm)}, leak * count * start};
}

}  // namespace

void model_led(Builder& b, PartId id) {
    const NodeId anode = b.pin(id, "anode"), cathode = b.pin(id, "cathode");
    b.current(id, b.own_curve(id, "", anode, cathode, led_shape(b, id, 1.0, 1.0)));
}

namespace {

std::optional<double> claimed(const Builder& b, std::string_view quantity) {
    for (const dossier::Claim& claim : b.dossier.claims) {
        if (claim.quantity.value == quantity && claim.value.value.value > 0) {
            return claim.value.value.value;
        }
    }
    return std::nullopt;
}

// How many LEDs are in series where nobody has counted: as many as the claimed output voltage
// needs; on a direct supply, as many as leave a fifth of it to the strip's own resistors.
std::optional<Known> count_of(const Builder& b, double forward_v) {
    const auto known = [&](double volts, const char* source) {
        const double many = std::max(1.0, std::floor(volts / forward_v + 0.3));
        return Known{base::Quantity::of(many, base::Unit::none), true, source};
    };
    if (const auto volts = claimed(b, "output voltage")) {
        return known(*volts, "the label's output voltage over the forward voltage of one");
    }
    const auto& supply = b.dossier.supply;
    if (supply.kind == dossier::Supply::Kind::dc && supply.voltage) {
        return known(0.8 * supply.voltage->value.value,
                     "four fifths of the supply over the forward voltage of one");
    }
    return std::nullopt;
}

// A strip made for a direct supply has resistors of its own: at that supply it takes its current.
std::optional<double> strip_ohm(const Builder& b, double knee_v, double amps) {
    const auto& supply = b.dossier.supply;
    if (supply.kind != dossier::Supply::Kind::dc || !supply.voltage ||
        claimed(b, "output voltage")) {
        return std::nullopt;
    }
    const double left = supply.voltage->value.value - knee_v;
    return left > 0.0 ? std::optional(left / amps) : std::nullopt;
}

}  // namespace

void model_led_string(Builder& b, PartId id) {
    const bool counted = b.part(id).said.properties.contains("count");
    const double count = b.number(
        id, "count", counted ? std::nullopt : count_of(b, b.number(id, "forward_voltage")));
    const double strings = b.number(id, "strings");
    const NodeId plus = b.pin(id, "plus"), minus = b.pin(id, "minus");
    const NodeId begin = b.load_terminals(id, plus, minus);
    PiecewiseLinear shape = led_shape(b, id, count, strings);
    if (const auto ohm =
            counted
                ? std::nullopt
                : strip_ohm(b, shape.corners.front(), strings * b.number(id, "forward_current"))) {
        b.note(fmt::format("{}: taken as a strip with resistors of its own, made for the supply",
                           b.part(id).name));
        shape.slopes.back() = 1.0 / *ohm;
    }
    b.own_curve(id, "", begin, minus, shape);
    if (!b.has_capacitor_across(id, b.part(id).net("plus"), b.part(id).net("minus"))) {
        b.capacitor(id, "junction", plus, minus, b.number(id, "junction_capacitance"));
    }
}

}  // namespace etchback::behaviour::detail
