// Diodes of all sorts: a knee, a slope, a leak, a breakdown and a capacitance.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

using parts::RegisteredType;

std::optional<Known> rated(const std::optional<dossier::Amount>& said) {
    return said ? std::optional(Known{said->value, false, ""}) : std::nullopt;
}

// Forward voltage and the current at which it holds: the dossier's, the type's, or usual ones.
// Types print the largest; what is met is nearer nine tenths of it.
Junction forward_of(Builder& b, PartId id) {
    Junction j;
    std::optional<Known> current = rated(b.part(id).said.rated_current);
    if (!current) {
        current = b.typed(id, &RegisteredType::current_a, base::Unit::ampere);
    }
    j.forward_a = b.number(id, "rated_current", current);
    std::optional<Known> volts = b.typed(id, &RegisteredType::forward_voltage_v, base::Unit::volt);
    if (volts) {
        const double most = volts->value.value;
        volts->value = {0.9 * most, base::Unit::volt, 0.8 * most, most, {}, true};
        volts->source += "; nine tenths of the largest";
    }
    j.forward_v = b.number(id, "forward_voltage", volts);
    j.knee_share = b.number(id, "knee_share");
    return j;
}

std::optional<double> reverse_of(Builder& b, PartId id) {
    std::optional<Known> volts = rated(b.part(id).said.rated_voltage);
    if (!volts) {
        volts = b.typed(id, &RegisteredType::reverse_voltage_v, base::Unit::volt);
    }
    return b.perhaps(id, "reverse_voltage", volts);
}

// Segments of a junction from leak through knee to slope.
PiecewiseLinear forward_shape(const Junction& j, double breakdown_ohm) {
    const double start = j.knee_share * j.forward_v;
    std::vector<CurvePoint> points;
    if (j.three) {
        // A tenth of the current at two thirds of the way from the knee to the forward voltage.
        const double bend = start + 0.6 * (j.forward_v - start);
        points = {{start, 0.0}, {bend, 0.1 * j.forward_a}, {j.forward_v, j.forward_a}};
    } else {
        points = {{start, 0.0}, {j.forward_v, j.forward_a}};
    }
    PiecewiseLinear out;
    const double leak = off_siemens;
    if (j.breakdown_v) {
        out.corners.push_back(-*j.breakdown_v);
        out.slopes.push_back(1.0 / breakdown_ohm);
        out.anchor = -leak * *j.breakdown_v;
    } else {
        out.anchor = leak * start;
    }
    out.slopes.push_back(leak);
    for (std::size_t k = 0; k + 1 < points.size(); ++k) {
        out.corners.push_back(points[k].volt);
        out.slopes.push_back((points[k + 1].ampere - points[k].ampere) /
                             (points[k + 1].volt - points[k].volt));
    }
    return out;
}

double zener_volts(Builder& b, PartId id) {
    if (b.part(id).said.value) {
        return b.value(id);
    }
    const auto typed = b.typed(id, &RegisteredType::zener_voltage_v, base::Unit::volt);
    const auto volts = b.perhaps(id, "value", typed);
    if (!volts) {
        b.complain(id, "its voltage is not known", "write it: value = \"...\"");
        return 1.0;
    }
    return *volts;
}

// Current that breaks down at `volts` from `cathode` to `anode`, with the other way as a diode.
void put_zener(Builder& b,
               PartId id,
               NodeId anode,
               NodeId cathode,
               double volts,
               double at_a,
               double slope_ohm) {
    const double forward = b.number(id, "forward_voltage");
    const double forward_a = b.number(id, "forward_voltage_current");
    const double start = b.number(id, "knee_share") * forward;
    const double begin = std::max(0.1 * volts, volts - at_a * slope_ohm);
    // Counted from cathode to anode: breakdown is positive.
    const PiecewiseLinear shape{{-start, begin},
                                {forward_a / (forward - start), off_siemens, 1.0 / slope_ohm},
                                -off_siemens * start};
    const BranchId branch = b.own_curve(id, "", cathode, anode, shape);
    b.capacitor(id, "junction", cathode, anode, b.number(id, "junction_capacitance"));
    b.current(id, branch);
}

}  // namespace

BranchId junction(
    Builder& b, PartId id, std::string_view what, NodeId anode, NodeId cathode, const Junction& j) {
    const BranchId branch = b.own_curve(
        id, what, anode, cathode, forward_shape(j, b.number(id, "breakdown_resistance")));
    if (j.capacitance_f) {
        b.capacitor(id,
                    what.empty() ? "junction" : std::string(what) + " junction",
                    anode,
                    cathode,
                    *j.capacitance_f);
    }
    return branch;
}

void model_diode(Builder& b, PartId id) {
    if (b.silent.contains(id)) {
        return;
    }
    Junction j = forward_of(b, id);
    j.breakdown_v = reverse_of(b, id);
    j.capacitance_f = b.number(id, "junction_capacitance");
    const NodeId anode = b.pin(id, "anode"), cathode = b.pin(id, "cathode");
    b.current(id, junction(b, id, "", anode, cathode, j));
}

void model_bridge(Builder& b, PartId id) {
    Junction j = forward_of(b, id);
    j.breakdown_v = reverse_of(b, id);
    j.capacitance_f = b.number(id, "junction_capacitance");
    j.three = true;
    const NodeId ac1 = b.pin(id, "ac1"), ac2 = b.pin(id, "ac2");
    const NodeId plus = b.pin(id, "plus"), minus = b.pin(id, "minus");
    junction(b, id, "ac1 to plus", ac1, plus, j);
    junction(b, id, "ac2 to plus", ac2, plus, j);
    junction(b, id, "minus to ac1", minus, ac1, j);
    junction(b, id, "minus to ac2", minus, ac2, j);
}

void model_zener(Builder& b, PartId id) {
    const double volts = zener_volts(b, id);
    const double at = b.number(
        id, "test_current", b.typed(id, &RegisteredType::zener_current_a, base::Unit::ampere));
    put_zener(b,
              id,
              b.pin(id, "anode"),
              b.pin(id, "cathode"),
              volts,
              at,
              b.number(id, "slope_resistance"));
}

namespace {

// The number in a type: "SMBJ15A" tells 15 behind "SMBJ".
std::optional<double> number_behind(std::string_view type, std::string_view prefix) {
    if (!type.starts_with(prefix)) {
        return std::nullopt;
    }
    double value = 0.0;
    const std::string_view rest = type.substr(prefix.size());
    const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), value);
    return error == std::errc() && end != rest.data() && value > 0.0 ? std::optional(value)
                                                                     : std::nullopt;
}

// The dossier's, or what the trade's names of types tell: SMAJ, SMBJ, SMCJ the stand-off
// voltage (breakdown some 17 % above), P4KE, P6KE, P6SMB the breakdown voltage.
std::optional<double> tvs_breakdown(Builder& b, PartId id) {
    const auto known = [&](double volts, double times, const char* source) {
        return Known{
            {volts * times, base::Unit::volt, volts * times * 0.95, volts * times * 1.05, {}, true},
            true,
            source};
    };
    const auto& said = b.part(id).said;
    if (said.value) {
        return b.perhaps_value(id);
    }
    for (const std::string_view prefix : {"SMAJ", "SMBJ", "SMCJ", "SA", "5KP"}) {
        if (const auto volts = number_behind(said.type.value, prefix)) {
            return b.perhaps(
                id,
                "breakdown_voltage",
                known(*volts, 1.17, "its type names the stand-off voltage, common practice"));
        }
    }
    for (const std::string_view prefix : {"P4KE", "P6KE", "1.5KE", "P6SMB", "P4SMA"}) {
        if (const auto volts = number_behind(said.type.value, prefix)) {
            return b.perhaps(
                id,
                "breakdown_voltage",
                known(*volts, 1.0, "its type names the breakdown voltage, common practice"));
        }
    }
    return b.perhaps(id, "breakdown_voltage");
}

}  // namespace

void model_tvs(Builder& b, PartId id) {
    const auto volts = tvs_breakdown(b, id);
    if (!volts) {
        b.note(
            fmt::format("{}: its breakdown voltage is not known; it is left out", b.part(id).name));
        return;
    }
    const double ohm = *volts * b.number(id, "clamping_slope");
    put_zener(b, id, b.pin(id, "anode"), b.pin(id, "cathode"), *volts, 1e-3, ohm);
}

void model_bidirectional_tvs(Builder& b, PartId id) {
    const auto volts = tvs_breakdown(b, id);
    if (!volts) {
        b.note(
            fmt::format("{}: its breakdown voltage is not known; it is left out", b.part(id).name));
        return;
    }
    const double ohm = *volts * b.number(id, "clamping_slope");
    const NodeId from = b.pin(id, 0), to = b.pin(id, 1);
    const PiecewiseLinear shape = odd({{*volts, off_siemens * *volts}, {*volts + ohm, 1.0}});
    b.current(id, b.own_curve(id, "", from, to, shape));
    b.capacitor(id, "junction", from, to, b.number(id, "junction_capacitance"));
}

}  // namespace etchback::behaviour::detail
