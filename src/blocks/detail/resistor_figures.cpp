// Figures of resistors: dividers and dissipation.
#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "blocks/chains.h"
#include "blocks/detail/knowledge.h"
#include "blocks/detail/topics.h"
#include "blocks/droppers.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;
using circuit::PartId;

const circuit::Part* shunt_regulator_at(const circuit::Circuit& circuit, NetId tap) {
    for (const circuit::PinRef pin : circuit[tap].pins) {
        const circuit::Part& part = circuit[pin.part];
        if (is_shunt_regulator(part) && is_high_impedance(circuit, pin)) {
            return &part;
        }
    }
    return nullptr;
}

struct Halves {
    double top = 0.0, bottom = 0.0;
    std::vector<PartId> parts;
};

// `bottom` lies between the tap and the end called `low`.
Halves halves(const Chain& chain, std::size_t tap, bool to_is_low) {
    Halves h;
    for (std::size_t i = 0; i < chain.links.size(); ++i) {
        const bool before = i < tap;
        (before == to_is_low ? h.top : h.bottom) += chain.links[i].ohm;
    }
    h.parts = chain.parts();
    return h;
}

void divider(Topic& topic, const Chain& chain, std::size_t tap_index) {
    const NetId tap = chain.links[tap_index].from;
    const circuit::Part* regulator = shunt_regulator_at(topic.circuit, tap);
    const VoltageBetween* whole = topic.voltages.between(chain.from(), chain.to());
    bool to_is_low = whole == nullptr || whole->from == chain.from();
    if (regulator != nullptr) {
        to_is_low = regulator->net("anode") == chain.to();
    } else if (whole == nullptr && topic.circuit[chain.from()].role == "return") {
        to_is_low = false;
    }
    const Halves h = halves(chain, tap_index, to_is_low);
    const std::string names = joined(topic.circuit, h.parts, ".");
    const auto reference = regulator != nullptr ? reference_v(*regulator) : std::nullopt;
    if (reference) {
        auto f = figure("divider." + names,
                        "Voltage at which " + regulator->name + " regulates, by " +
                            joined(topic.circuit, h.parts, ", "),
                        "U",
                        reference->volts * (1.0 + h.top / h.bottom),
                        base::Unit::volt);
        f.formula = "U = Uref·(1 + R1/R2)";
        f.worked = "U = " + volts(reference->volts) + " · (1 + " + in_ohms(h.top) + "/" +
                   in_ohms(h.bottom) + ")";
        f.source = "divider of a shunt regulator; its reference current neglected";
        rest_on(f, topic.circuit, h.parts);
        f.assumed = f.assumed || reference->assumed;
        f.evidence.push_back(evidence_of(*regulator, volts(reference->volts)));
        f.nets = {topic.circuit[chain.from()].name,
                  topic.circuit[tap].name,
                  topic.circuit[chain.to()].name};
        topic.out.push_back(std::move(f));
        return;
    }
    auto f = figure("divider." + names,
                    "Share of the voltage at " + topic.circuit[tap].name + ", by " +
                        joined(topic.circuit, h.parts, ", "),
                    "k",
                    h.bottom / (h.top + h.bottom),
                    base::Unit::none);
    f.formula = "k = R2/(R1 + R2)";
    f.worked = "k = " + in_ohms(h.bottom) + "/(" + in_ohms(h.top) + " + " + in_ohms(h.bottom) + ")";
    f.source = "voltage divider";
    f.nets = {
        topic.circuit[chain.from()].name, topic.circuit[tap].name, topic.circuit[chain.to()].name};
    rest_on(f, topic.circuit, h.parts);
    topic.out.push_back(std::move(f));
}

// Something besides the dropper draws current from the mains: a bridge, a winding, a lamp.
bool other_loads(const Topic& topic) {
    const auto draws = [&](const circuit::Part& part) {
        if (is_capacitor(part) || is_suppressor(part) || is_connector(part) || is_mains(part) ||
            (is_resistor(part) && part.value().value_or(0.0) > 1e4)) {
            return false;
        }
        const auto on = [&](bool live) {
            return std::any_of(part.pins.begin(), part.pins.end(), [&](const circuit::Pin& pin) {
                return live ? topic.mains.on_live(pin.net) : topic.mains.on_neutral(pin.net);
            });
        };
        return on(true) && on(false);
    };
    return std::any_of(topic.circuit.parts.begin(), topic.circuit.parts.end(), draws);
}

// The dropper whose current flows through a series resistor.
const Dropper* dropper_through(const Topic& topic,
                               const circuit::Part& part,
                               const std::vector<Dropper>& all) {
    const auto both = ends(part);
    for (const Dropper& d : all) {
        const auto inside = [&](const std::vector<NetId>& nets) {
            return both && contains(nets, both->first) && contains(nets, both->second);
        };
        const bool in_line = inside(topic.mains.live) || inside(topic.mains.neutral);
        if (inside(d.node) || (!in_line && (inside(d.plus) || inside(d.minus))) ||
            (in_line && all.size() == 1 && !other_loads(topic))) {
            return &d;
        }
    }
    return nullptr;
}

void dissipation_by_current(Topic& topic,
                            const circuit::Part& part,
                            const std::vector<Dropper>& all) {
    const Dropper* by = dropper_through(topic, part, all);
    if (by == nullptr) {
        return;
    }
    const double amps = by->current_a_rms;
    auto f = figure("dissipation." + part.name,
                    "Power in " + part.name + " at the mains' upper limit",
                    "P",
                    amps * amps * *part.value(),
                    base::Unit::watt);
    f.formula = "P = I²·R";
    f.worked = "P = (" + text_of(amps, base::Unit::ampere) + ")² · " + in_ohms(*part.value());
    f.source = "upper bound: current of the dropper with its load short-circuited";
    f.parts = {part.name, topic.circuit[by->capacitor].name};
    f.assumed = is_doubtful(part, {"value"}) || topic.mains.voltage_assumed;
    f.evidence = {
        evidence_of(part, base::to_text(part.said.value->value)),
        {base::Evidence::Kind::figure, "dropper_rms." + topic.circuit[by->capacitor].name, "", {}}};
    topic.out.push_back(std::move(f));
}

void dissipation_by_voltage(Topic& topic, const circuit::Part& part, const VoltageBetween& v) {
    if (v.working_v_rms <= 0.0 || v.bound_only) {
        return;
    }
    const double ohm = *part.value();
    auto f = figure("dissipation." + part.name,
                    "Power in " + part.name,
                    "P",
                    v.working_v_rms * v.working_v_rms / ohm,
                    base::Unit::watt);
    f.formula = "P = U²/R";
    f.worked = "P = (" + volts(v.working_v_rms) + ")²/" + in_ohms(ohm);
    f.source = "definition; U is the RMS value, or the mean of a direct voltage";
    f.parts = {part.name};
    f.assumed = v.figure.assumed || is_doubtful(part, {"value"});
    f.evidence = v.figure.evidence;
    const auto own = evidence_of(part, base::to_text(part.said.value->value));
    if (std::find(f.evidence.begin(), f.evidence.end(), own) == f.evidence.end()) {
        f.evidence.push_back(own);
    }
    topic.out.push_back(std::move(f));
}

}  // namespace

void divider_figures(Topic& topic) {
    for (const Chain& chain : resistor_chains(topic.circuit)) {
        for (std::size_t i = 1; i < chain.links.size(); ++i) {
            if (is_tap(topic.circuit, chain.links[i].from)) {
                divider(topic, chain, i);
            }
        }
    }
}

void resistor_figures(Topic& topic) {
    const auto dropping = droppers(topic.circuit, topic.domains, topic.mains);
    for (const circuit::Part& part : topic.circuit.parts) {
        const auto both =
            is_resistor(part) && part.value().value_or(0.0) > 0.0 ? ends(part) : std::nullopt;
        if (!both) {
            continue;
        }
        if (const VoltageBetween* v = topic.voltages.between(both->first, both->second)) {
            dissipation_by_voltage(topic, part, *v);
        } else {
            dissipation_by_current(topic, part, dropping);
        }
    }
}

}  // namespace etchback::blocks::detail
