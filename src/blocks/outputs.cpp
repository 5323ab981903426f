#include "blocks/outputs.h"

#include <algorithm>

#include "blocks/detail/ac_source.h"
#include "blocks/kinds.h"

namespace etchback::blocks {
namespace {

using circuit::Circuit;
using circuit::NetId;
using circuit::PartId;
using detail::WindingEnds;

// The two ends of a winding, each with what small series resistors and coils tie to it.
struct TiedEnds {
    std::vector<NetId> dot, end;
};

TiedEnds tied_ends(const Circuit& circuit, const WindingEnds& w) {
    TiedEnds ends;
    ends.dot = tied(circuit, {w.dot}, most_bus_ohm, {w.end});
    ends.end = tied(circuit, {w.end}, most_bus_ohm, ends.dot);
    return ends;
}

// A diode from an end of the winding: cathode to plus, or anode to minus.
std::optional<Output> rectified(const Circuit& circuit,
                                const WindingEnds& w,
                                const TiedEnds& ends,
                                PartId diode) {
    const circuit::Part& part = circuit[diode];
    const auto p = is_diode(part) ? poles(part) : std::nullopt;
    if (!p) {
        return std::nullopt;
    }
    Output out;
    out.transformer = w.transformer;
    out.winding = w.name;
    out.diode = diode;
    out.diode_drop_v = forward_drop_v(part);
    const auto on = [&](NetId net) { return contains(ends.dot, net) || contains(ends.end, net); };
    if (on(p->positive) == on(p->negative)) {
        return std::nullopt;
    }
    const bool to_plus = on(p->positive);
    const NetId hot = to_plus ? p->positive : p->negative;
    const std::vector<NetId>& hot_group = contains(ends.dot, hot) ? ends.dot : ends.end;
    const std::vector<NetId>& cold_group = contains(ends.dot, hot) ? ends.end : ends.dot;
    std::vector<NetId> stop = hot_group;
    stop.insert(stop.end(), cold_group.begin(), cold_group.end());
    std::sort(stop.begin(), stop.end());
    const auto far = tied(circuit, {to_plus ? p->negative : p->positive}, most_bus_ohm, stop);
    out.plus = to_plus ? far : cold_group;
    out.minus = to_plus ? cold_group : far;
    return out;
}

// A capacitor that smooths: without one it is a clamp or a snubber, no output.
bool smoothed(const Circuit& circuit, const Output& out) {
    return std::any_of(circuit.parts.begin(), circuit.parts.end(), [&](const circuit::Part& part) {
        const auto both = is_capacitor(part) ? ends(part) : std::nullopt;
        return both && ((contains(out.plus, both->first) && contains(out.minus, both->second)) ||
                        (contains(out.plus, both->second) && contains(out.minus, both->first)));
    });
}

bool is_primary(const Circuit& circuit, const WindingEnds& w) {
    return is_switching_net(circuit, w.dot) || is_switching_net(circuit, w.end);
}

void find_loads(const Circuit& circuit, Output& out) {
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const circuit::Part& part = circuit.parts[i];
        const PartId id{static_cast<int>(i)};
        const auto p = is_led_string(part) ? poles(part) : std::nullopt;
        if (p && contains(out.plus, p->positive) && contains(out.minus, p->negative)) {
            out.led_strings.push_back(id);
        }
        if (is_controller(part) && contains(out.plus, supply_net(part)) && !out.controller) {
            out.controller = id;
        }
        const auto d = is_diode(part) ? poles(part) : std::nullopt;
        if (d && id != out.diode && contains(out.plus, d->negative) &&
            contains(out.minus, d->positive)) {
            out.flyback = false;
        }
    }
}

}  // namespace

std::vector<Output> outputs(const Circuit& circuit) {
    std::vector<Output> found;
    for (std::size_t t = 0; t < circuit.parts.size(); ++t) {
        for (const WindingEnds& w : detail::windings_of(circuit, PartId{static_cast<int>(t)})) {
            if (is_primary(circuit, w)) {
                continue;
            }
            const TiedEnds ends = tied_ends(circuit, w);
            for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
                auto out = rectified(circuit, w, ends, PartId{static_cast<int>(i)});
                if (out && smoothed(circuit, *out)) {
                    find_loads(circuit, *out);
                    found.push_back(std::move(*out));
                    break;
                }
            }
        }
    }
    return found;
}

std::optional<double> turns_ratio(const Circuit& circuit,
                                  PartId transformer,
                                  const std::string& of,
                                  const std::string& over) {
    const auto windings = detail::windings_of(circuit, transformer);
    const auto named = [&](const std::string& name) {
        return std::find_if(
            windings.begin(), windings.end(), [&](const WindingEnds& w) { return w.name == name; });
    };
    const auto a = named(of);
    const auto b = named(over);
    if (a == windings.end() || b == windings.end()) {
        return std::nullopt;
    }
    return detail::ratio_of(*a, *b);
}

}  // namespace etchback::blocks
