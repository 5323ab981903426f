// Figures of resistors: dividers, time constants, voltage and dissipation.
#include <algorithm>
#include <cmath>
#include <map>

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

std::string joined(const circuit::Circuit& circuit,
                   const std::vector<PartId>& parts,
                   std::string_view joint) {
    std::string text;
    for (const PartId id : parts) {
        text += (text.empty() ? "" : std::string(joint)) + circuit[id].name;
    }
    return text;
}

void rest_on(base::Figure& f, const circuit::Circuit& circuit, const std::vector<PartId>& parts) {
    for (const PartId id : parts) {
        const circuit::Part& part = circuit[id];
        f.parts.push_back(part.name);
        f.evidence.push_back(
            evidence_of(part, part.said.value ? base::to_text(part.said.value->value) : ""));
        f.assumed = f.assumed || is_doubtful(part, {"value"});
    }
}

// The tap of a chain: a chip's sense input looks at it.
bool is_tap(const circuit::Circuit& circuit, NetId net) {
    const auto& pins = circuit[net].pins;
    return std::any_of(pins.begin(), pins.end(), [&](circuit::PinRef pin) {
        return is_high_impedance(circuit, pin) && !is_test_point(circuit[pin.part]);
    });
}

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

std::string ohms(double r) {
    return text_of(r, base::Unit::ohm);
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
        f.worked = "U = " + volts(reference->volts) + " · (1 + " + ohms(h.top) + "/" +
                   ohms(h.bottom) + ")";
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
    f.worked = "k = " + ohms(h.bottom) + "/(" + ohms(h.top) + " + " + ohms(h.bottom) + ")";
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
    f.worked = "P = (" + text_of(amps, base::Unit::ampere) + ")² · " + ohms(*part.value());
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
    f.worked = "P = (" + volts(v.working_v_rms) + ")²/" + ohms(ohm);
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

namespace {

// Capacitors that lie between the same two nets count as one.
struct CapacitorSet {
    std::pair<NetId, NetId> nets;
    double farad = 0.0;
    std::vector<PartId> parts;
};

std::vector<CapacitorSet> capacitor_sets(const circuit::Circuit& circuit) {
    std::map<std::pair<NetId, NetId>, CapacitorSet> sets;
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const circuit::Part& part = circuit.parts[i];
        const auto both =
            is_capacitor(part) && part.value().value_or(0.0) > 0.0 ? ends(part) : std::nullopt;
        if (both) {
            const auto nets = std::minmax(both->first, both->second);
            CapacitorSet& set = sets[{nets.first, nets.second}];
            set.nets = {nets.first, nets.second};
            set.farad += *part.value();
            set.parts.push_back(PartId{static_cast<int>(i)});
        }
    }
    std::vector<CapacitorSet> all;
    for (auto& [nets, set] : sets) {
        all.push_back(std::move(set));
    }
    return all;
}

void time_constant(Topic& topic,
                   const CapacitorSet& set,
                   double ohm,
                   std::vector<PartId> resistors,
                   const std::string& title) {
    std::sort(resistors.begin(), resistors.end());
    auto f = figure("time_constant." + joined(topic.circuit, set.parts, ".") + "." +
                        joined(topic.circuit, resistors, "."),
                    title,
                    "τ",
                    ohm * set.farad,
                    base::Unit::second);
    f.formula = "τ = R·C";
    f.worked = "τ = " + ohms(ohm) + " · " + text_of(set.farad, base::Unit::farad);
    f.source = "definition";
    rest_on(f, topic.circuit, resistors);
    rest_on(f, topic.circuit, set.parts);
    topic.out.push_back(std::move(f));
}

// A resistor that fills a capacitor at a chip's sense input against the return: a filter. Anything
// else at the node would make another time constant of it.
void filters(Topic& topic, const CapacitorSet& set, const std::vector<Chain>& chains) {
    for (const auto& [node, base_net] : {set.nets, std::pair(set.nets.second, set.nets.first)}) {
        std::vector<const Chain*> fed;
        for (const Chain& chain : chains) {
            if (chain.from() == node || chain.to() == node) {
                fed.push_back(&chain);
            }
        }
        if (!is_tap(topic.circuit, node) || topic.circuit[node].role == "return" ||
            topic.circuit[base_net].role != "return" || fed.size() != 1) {
            continue;
        }
        const Chain& only = *fed.front();
        const NetId far = only.from() == node ? only.to() : only.from();
        if (far != base_net) {
            time_constant(topic,
                          set,
                          only.ohm(),
                          only.parts(),
                          "Time constant of the filter " +
                              joined(topic.circuit, only.parts(), " and ") + ", " +
                              joined(topic.circuit, set.parts, " and "));
        }
    }
}

}  // namespace

// A time constant says something where a resistance lies right across a capacitor (it discharges
// it), or where a lone resistor fills a capacitor that a chip's input looks at.
void time_figures(Topic& topic) {
    const auto chains =
        resistor_chains(topic.circuit, {.pass_inputs = true, .pass_capacitors = false});
    for (const CapacitorSet& set : capacitor_sets(topic.circuit)) {
        std::vector<PartId> across;
        const double parallel =
            resistance_between(chains, {set.nets.first}, {set.nets.second}, &across);
        if (parallel > 0.0) {
            time_constant(topic,
                          set,
                          parallel,
                          across,
                          "Time constant of " + joined(topic.circuit, set.parts, " and ") +
                              " with " + joined(topic.circuit, across, " and "));
        } else {
            filters(topic, set, chains);
        }
    }
}

}  // namespace etchback::blocks::detail
