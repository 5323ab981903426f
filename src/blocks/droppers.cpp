#include "blocks/droppers.h"

#include <algorithm>
#include <numbers>

#include "blocks/kinds.h"

namespace etchback::blocks {
namespace {

using circuit::Circuit;
using circuit::NetId;
using circuit::PartId;
using Nets = std::vector<NetId>;

constexpr double bridge_drop_v = 1.4;  // two silicon diodes, common practice

// A capacitor between a line and a net that belongs to neither, on the mains side.
std::optional<Dropper> candidate(const Circuit& circuit,
                                 const circuit::Domains& domains,
                                 const MainsLines& mains,
                                 PartId id) {
    const circuit::Part& part = circuit[id];
    const auto both = is_capacitor(part) && !part.kind.polarised ? ends(part) : std::nullopt;
    if (!both || !part.value()) {
        return std::nullopt;
    }
    auto [line, load] = *both;
    if (!mains.on_line(line)) {
        std::swap(line, load);
    }
    if (!mains.on_line(line) || mains.on_line(load) || contains(mains.earth, load) ||
        domains.isolated_from_mains(load)) {
        return std::nullopt;
    }
    Dropper d;
    d.capacitor = id;
    d.in_live = mains.on_live(line);
    d.line_end = line;
    d.load_end = load;
    d.back = d.in_live ? mains.neutral : mains.live;
    Nets lines = mains.live;
    lines.insert(lines.end(), mains.neutral.begin(), mains.neutral.end());
    std::sort(lines.begin(), lines.end());
    d.node = tied(circuit, {load}, most_series_ohm, lines);
    d.capacitance_f = *part.value();
    return d;
}

bool find_bridge(const Circuit& circuit, Dropper& d, Nets& plus, Nets& minus) {
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const circuit::Part& part = circuit.parts[i];
        if (!is_bridge(part)) {
            continue;
        }
        const NetId a = part.net("~1");
        const NetId b = part.net("~2");
        if ((contains(d.node, a) && contains(d.back, b)) ||
            (contains(d.node, b) && contains(d.back, a))) {
            d.rectifiers.push_back(PartId{static_cast<int>(i)});
            plus.push_back(part.net("+"));
            minus.push_back(part.net("-"));
            return plus.front().known() && minus.front().known();
        }
    }
    return false;
}

// Diodes on the node: one feeds a rail, the other (or a Zener diode) lets the other half-wave past.
bool find_diodes(const Circuit& circuit, Dropper& d, Nets& plus, Nets& minus) {
    Nets plus_back, minus_back;
    bool leaves = false;  // charge must leave the node and come back to it, or no AC flows: a
    bool enters = false;  // reservoir behind one diode is no dropper
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const circuit::Part& part = circuit.parts[i];
        const auto p = is_diode(part) || is_zener(part) ? poles(part) : std::nullopt;
        if (!p) {
            continue;
        }
        const PartId id{static_cast<int>(i)};
        const bool from_node = contains(d.node, p->positive);
        const bool to_node = contains(d.node, p->negative);
        leaves = leaves || from_node || (to_node && is_zener(part));
        enters = enters || to_node || (from_node && is_zener(part));
        if (from_node && !contains(d.back, p->negative)) {
            plus.push_back(p->negative);
        } else if (to_node && !contains(d.back, p->positive)) {
            minus.push_back(p->positive);
        } else if (contains(d.back, p->positive) && !to_node) {
            plus_back.push_back(p->negative);
            continue;
        } else if (contains(d.back, p->negative) && !from_node) {
            minus_back.push_back(p->positive);
            continue;
        } else if (!from_node && !to_node) {
            continue;
        }
        d.rectifiers.push_back(id);
    }
    d.full_wave =
        !plus.empty() && !minus.empty() &&
        std::find(plus_back.begin(), plus_back.end(), plus.front()) != plus_back.end() &&
        std::find(minus_back.begin(), minus_back.end(), minus.front()) != minus_back.end();
    if (!d.full_wave && plus.empty() != minus.empty()) {
        (plus.empty() ? plus : minus) = d.back;
    }
    return leaves && enters && !plus.empty() && !minus.empty();
}

bool between(const Poles& p, const Nets& plus, const Nets& minus) {
    return contains(plus, p.positive) && contains(minus, p.negative);
}

void find_limits(const Circuit& circuit, Dropper& d) {
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const circuit::Part& part = circuit.parts[i];
        const auto p = poles(part);
        if (!p) {
            continue;
        }
        const PartId id{static_cast<int>(i)};
        if (const auto knee = led_knee_v(part); knee && between(*p, d.plus, d.minus)) {
            d.limits.push_back({id, *knee, true});
        } else if (is_zener(part) && part.value() &&
                   (between({p->negative, p->positive}, d.plus, d.minus) ||
                    between({p->negative, p->positive}, d.node, d.back) ||
                    between({p->negative, p->positive}, d.back, d.node))) {
            d.limits.push_back({id, *part.value(), false});
        }
    }
    std::stable_sort(d.limits.begin(), d.limits.end(), [](const auto& a, const auto& b) {
        return a.volts < b.volts;
    });
}

void set_currents(Dropper& d, const MainsLines& mains) {
    const double f = mains.high_hz;
    d.current_a_rms = 2.0 * std::numbers::pi * f * d.capacitance_f * mains.high_v_rms;
    if (d.limits.empty()) {
        return;
    }
    const double vo = d.limits.front().volts;
    const double swing = d.full_wave ? 4.0 * (mains.high_v_peak - vo - bridge_drop_v)
                                     : 2.0 * mains.high_v_peak - vo - bridge_drop_v;
    d.load_current_a = std::max(0.0, f * d.capacitance_f * swing);
}

}  // namespace

std::vector<Dropper> droppers(const Circuit& circuit,
                              const circuit::Domains& domains,
                              const MainsLines& mains) {
    std::vector<Dropper> found;
    for (std::size_t i = 0; mains.found() && i < circuit.parts.size(); ++i) {
        auto d = candidate(circuit, domains, mains, PartId{static_cast<int>(i)});
        Nets plus, minus;
        if (!d ||
            (!find_bridge(circuit, *d, plus, minus) && !find_diodes(circuit, *d, plus, minus))) {
            continue;
        }
        Nets stop = d->node;
        stop.insert(stop.end(), d->back.begin(), d->back.end());
        std::sort(stop.begin(), stop.end());
        d->minus = tied(circuit, minus, most_series_ohm, stop);
        stop.insert(stop.end(), d->minus.begin(), d->minus.end());
        std::sort(stop.begin(), stop.end());
        d->plus = tied(circuit, plus, most_series_ohm, stop);
        find_limits(circuit, *d);
        set_currents(*d, mains);
        found.push_back(std::move(*d));
    }
    return found;
}

}  // namespace etchback::blocks
