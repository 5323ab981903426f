#include "blocks/detail/output_limits.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "blocks/chains.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;
using circuit::Part;
using circuit::PartId;

constexpr double default_tolerance = 0.05;  // of a resistor that states none: common practice
constexpr double opto_led_v = 1.2;  // forward voltage of an optocoupler's LED, common practice

std::string ohms(double r) {
    return base::to_engineering(r, base::Unit::ohm, {.digits = 4});
}
std::string number(double n) {
    return base::to_engineering(n, base::Unit::none, {.digits = 4});
}

double tolerance_of(const Part& part) {
    if (!part.said.tolerance) {
        return default_tolerance;
    }
    const base::Quantity& t = part.said.tolerance->value;
    return (t.unit == base::Unit::percent || t.unit == base::Unit::none) ? t.value / 100.0
                                                                         : default_tolerance;
}

double worst_tolerance(const circuit::Circuit& circuit, const std::vector<PartId>& parts) {
    double worst = 0.0;
    for (const PartId id : parts) {
        worst = std::max(worst, tolerance_of(circuit[id]));
    }
    return worst;
}

void rest_on(Reasoned& r, const circuit::Circuit& circuit, const std::vector<PartId>& parts) {
    for (const PartId id : parts) {
        const Part& part = circuit[id];
        r.parts.push_back(part.name);
        r.evidence.push_back(
            evidence_of(part, part.said.value ? base::to_text(part.said.value->value) : ""));
        r.assumed = r.assumed || is_doubtful(part, {"value"});
    }
}

struct Divider {
    double upper_ohm = 0.0, lower_ohm = 0.0;
    double tolerance = 0.0;
    std::vector<PartId> parts;
};

std::optional<Divider> divider(const circuit::Circuit& circuit,
                               const std::vector<NetId>& top,
                               NetId tap,
                               const std::vector<NetId>& bottom) {
    const auto chains = resistor_chains(circuit, {}, {tap});
    Divider d;
    d.upper_ohm = resistance_between(chains, top, {tap}, &d.parts);
    d.lower_ohm = resistance_between(chains, {tap}, bottom, &d.parts);
    d.tolerance = worst_tolerance(circuit, d.parts);
    if (d.upper_ohm <= 0.0 || d.lower_ohm <= 0.0) {
        return std::nullopt;
    }
    return d;
}

NetId net_named(const Part& part, std::initializer_list<std::string_view> names) {
    for (const std::string_view name : names) {
        if (const NetId net = part.net(name); net.known()) {
            return net;
        }
    }
    return {};
}

std::optional<Reasoned> by_shunt_regulator(const Knowledge& known, const Output& out) {
    for (std::size_t i = 0; i < known.circuit.parts.size(); ++i) {
        const Part& part = known.circuit.parts[i];
        if (!is_shunt_regulator(part) || !contains(out.minus, part.net("anode"))) {
            continue;
        }
        const NetId tap = net_named(part, {"reference", "ref", "R"});
        const auto reference = reference_v(part);
        const auto d =
            tap.known() ? divider(known.circuit, out.plus, tap, out.minus) : std::nullopt;
        if (!d || !reference) {
            continue;
        }
        Reasoned r;
        r.nominal = reference->volts * (1.0 + d->upper_ohm / d->lower_ohm);
        r.volts = reference->volts * (1.0 + d->upper_ohm * (1.0 + d->tolerance) /
                                                (d->lower_ohm * (1.0 - d->tolerance)));
        r.because = part.name + " and its divider hold the output at " + volts(r.nominal) + ", " +
                    volts(r.volts) + " at the worst of the resistors' tolerance";
        r.formula = "U = Uref·(1 + R1·(1 + δ)/(R2·(1 - δ)))";
        r.worked = "U = " + volts(reference->volts) + " · (1 + " + ohms(d->upper_ohm) + " · (1 + " +
                   number(d->tolerance) + ")/(" + ohms(d->lower_ohm) + " · (1 - " +
                   number(d->tolerance) + ")))";
        r.source = "definition of a shunt regulator's divider";
        r.assumed = reference->assumed || is_doubtful(part, {"reference_voltage"});
        rest_on(r, known.circuit, d->parts);
        r.parts.push_back(part.name);
        r.evidence.push_back(evidence_of(part, "reference " + volts(reference->volts)));
        return r;
    }
    return std::nullopt;
}

// Plus, (resistor), the optocoupler's LED, Zener diode, minus: in either order.
std::optional<Reasoned> by_zener(const Knowledge& known, const Output& out) {
    const auto chains = resistor_chains(known.circuit);
    const auto reaches = [&](const std::vector<NetId>& rail, NetId net) {
        return contains(rail, net) || resistance_between(chains, rail, {net}) > 0.0;
    };
    for (std::size_t o = 0; o < known.circuit.parts.size(); ++o) {
        const auto led =
            is_optocoupler(known.circuit.parts[o]) ? poles(known.circuit.parts[o]) : std::nullopt;
        for (std::size_t z = 0; led && z < known.circuit.parts.size(); ++z) {
            const Part& zener = known.circuit.parts[z];
            const auto p = is_zener(zener) && zener.value() ? poles(zener) : std::nullopt;
            if (!p) {
                continue;
            }
            const bool below = reaches(out.plus, led->positive) && p->negative == led->negative &&
                               contains(out.minus, p->positive);
            const bool above = reaches(out.plus, p->negative) && p->positive == led->positive &&
                               reaches(out.minus, led->negative);
            if (!below && !above) {
                continue;
            }
            Reasoned r;
            r.nominal = *zener.value() + opto_led_v;
            r.volts = *zener.value() * (1.0 + tolerance_of(zener)) + opto_led_v;
            r.because = zener.name + " and the LED of " + known.circuit.parts[o].name +
                        " hold the output near " + volts(r.nominal);
            r.formula = "U = Vz·(1 + δ) + Vf";
            r.worked = "U = " + volts(*zener.value()) + " · (1 + " + number(tolerance_of(zener)) +
                       ") + " + volts(opto_led_v);
            r.source = "common practice";
            rest_on(r,
                    known.circuit,
                    {PartId{static_cast<int>(std::min(o, z))},
                     PartId{static_cast<int>(std::max(o, z))}});
            return r;
        }
    }
    return std::nullopt;
}

std::optional<Reasoned> by_led(const Knowledge& known, const Output& out) {
    std::optional<Reasoned> best;
    for (const PartId id : out.led_strings) {
        const Part& part = known.circuit[id];
        const auto knee = led_knee_v(part);
        if (!knee || (best && *knee <= best->volts)) {
            continue;
        }
        Reasoned r;
        r.nominal = r.volts = *knee;
        r.because =
            "the LED string " + part.name + " holds the output at its knee of " + volts(*knee);
        r.formula = "U = n·Vf";
        r.worked = "U = " + number(property(part, "count").value_or(1.0)) + " · " +
                   volts(property(part, "forward_voltage").value_or(*knee));
        r.source = "definition";
        r.assumed = is_doubtful(part, {"count", "forward_voltage", "value", "properties"});
        r.parts = {part.name};
        r.evidence = {evidence_of(part, "knee " + volts(*knee))};
        best = r;
    }
    return best;
}

std::optional<Reasoned> by_claim(const Knowledge& known, const std::vector<Output>& all) {
    const auto isolated =
        std::count_if(all.begin(), all.end(), [](const Output& o) { return !o.controller; });
    for (const dossier::Claim& claim : known.dossier.claims) {
        if (isolated != 1 || base::lowered(claim.quantity.value) != "output voltage" ||
            claim.value.value.unit != base::Unit::volt) {
            continue;
        }
        Reasoned r;
        r.nominal = claim.value.value.value;
        r.volts = claim.value.value.high;
        r.because = "the label claims " + base::to_text(claim.value.value);
        r.formula = "U as claimed";
        r.worked = "U";
        r.source = "claim";
        r.assumed = true;
        r.evidence = {{base::Evidence::Kind::claim,
                       claim.quantity.value,
                       base::to_text(claim.value.value),
                       claim.place}};
        return r;
    }
    return std::nullopt;
}

// The auxiliary winding's supply of a controller on the same transformer.
const Output* auxiliary(const Output& out, const std::vector<Output>& all) {
    const auto it = std::find_if(all.begin(), all.end(), [&](const Output& o) {
        return o.controller && o.transformer == out.transformer;
    });
    return it == all.end() ? nullptr : &*it;
}

// From a limit on the auxiliary winding's own voltage to the output.
std::optional<Reasoned> through_turns(const Knowledge& known,
                                      const Output& out,
                                      const std::string& aux_winding,
                                      double aux_v,
                                      const std::string& aux_words) {
    const auto ratio =
        blocks::turns_ratio(known.circuit, out.transformer, out.winding, aux_winding);
    if (!ratio) {
        return std::nullopt;
    }
    Reasoned r;
    r.nominal = r.volts = aux_v * *ratio - out.diode_drop_v;
    r.formula = "U = Uaux·Ns/Na - Vf";
    r.worked = "U = " + aux_words + " · " + number(*ratio) + " - " + volts(out.diode_drop_v);
    r.source = "turns ratio; diode drops are common practice";
    r.assumed = is_doubtful(known.circuit[out.transformer], {"windings"});
    r.evidence = {evidence_of(known.circuit[out.transformer], "turns ratio " + number(*ratio))};
    return r;
}

std::optional<Reasoned> by_supply_limit(const Knowledge& known,
                                        const Output& out,
                                        const Output& aux) {
    const Part& chip = known.circuit[*aux.controller];
    const auto limit = threshold(chip, "over_voltage");
    if (!limit) {
        return std::nullopt;
    }
    auto r = through_turns(known,
                           out,
                           aux.winding,
                           *limit + aux.diode_drop_v,
                           "(" + volts(*limit) + " + " + volts(aux.diode_drop_v) + ")");
    if (r) {
        r->because = "with the feedback or the load open, " + chip.name +
                     " stops when its supply reaches " + volts(*limit) + ", the output then at " +
                     volts(r->volts) + " (" + r->worked + ")";
        r->assumed = r->assumed || is_doubtful(chip, {"thresholds"});
        r->evidence.push_back(evidence_of(chip, "over-voltage limit " + volts(*limit)));
    }
    return r;
}

// The chip's own limit at a sense pin: "detect_over_voltage", "feedback_over_voltage" ...
std::optional<double> sense_limit(const Part& chip) {
    for (const auto& [key, amount] : chip.said.thresholds) {
        if (key != "over_voltage" && key.ends_with("over_voltage")) {
            return amount.value.value;
        }
    }
    return std::nullopt;
}

// The chip watches the auxiliary winding through a divider and has a limit for what it sees there.
std::optional<Reasoned> by_divider(const Knowledge& known, const Output& out) {
    for (std::size_t i = 0; i < known.circuit.parts.size(); ++i) {
        const Part& chip = known.circuit.parts[i];
        const auto limit_v = is_controller(chip) ? sense_limit(chip) : std::nullopt;
        if (!limit_v) {
            continue;
        }
        for (const dossier::Winding& w : known.circuit[out.transformer].said.windings) {
            if (w.pins.size() < 2 || w.name.value == out.winding) {
                continue;
            }
            const Part& transformer = known.circuit[out.transformer];
            const NetId first = transformer.net(w.pins.front().value);
            const NetId last = transformer.net(w.pins.back().value);
            const NetId ground = ground_net(chip);
            const NetId hot = first == ground ? last : first;
            for (std::size_t p = 0; p < chip.pins.size(); ++p) {
                const circuit::PinRef pin{PartId{static_cast<int>(i)}, static_cast<int>(p)};
                const NetId tap = chip.pins[p].net;
                if (!tap.known() || !is_high_impedance(known.circuit, pin) || !hot.known()) {
                    continue;
                }
                const auto d = divider(known.circuit, {hot}, tap, {ground});
                if (!d) {
                    continue;
                }
                const double limit = *limit_v;
                const double aux_v = limit * (1.0 + d->upper_ohm / d->lower_ohm);
                auto r = through_turns(known,
                                       out,
                                       w.name.value,
                                       aux_v,
                                       volts(limit) + " · (1 + " + ohms(d->upper_ohm) + "/" +
                                           ohms(d->lower_ohm) + ")");
                if (r) {
                    r->because = "with the load open, " + chip.name +
                                 " stops by its divider on winding " + w.name.value +
                                 ", the output then at " + volts(r->volts) + " (" + r->worked + ")";
                    r->assumed = r->assumed || is_doubtful(chip, {"thresholds"});
                    r->evidence.push_back(
                        evidence_of(chip, "limit of its sense pin " + volts(limit)));
                    rest_on(*r, known.circuit, d->parts);
                    return r;
                }
            }
        }
    }
    return std::nullopt;
}

}  // namespace

std::vector<Reasoned> normal_outputs(const Knowledge& known,
                                     const Output& out,
                                     const std::vector<Output>& all) {
    std::vector<Reasoned> found;
    for (const auto& r :
         {by_shunt_regulator(known, out), by_zener(known, out), by_led(known, out)}) {
        if (r) {
            found.push_back(*r);
        }
    }
    if (found.empty()) {
        if (const auto r = by_claim(known, all)) {
            found.push_back(*r);
        }
    }
    return found;
}

std::optional<Reasoned> fault_output(const Knowledge& known,
                                     const Output& out,
                                     const std::vector<Output>& all) {
    if (!out.flyback) {
        return std::nullopt;
    }
    const Output* aux = auxiliary(out, all);
    auto by_supply = aux != nullptr ? by_supply_limit(known, out, *aux) : std::nullopt;
    auto by_sense = by_divider(known, out);
    if (by_supply && by_sense) {
        return by_supply->volts <= by_sense->volts ? by_supply : by_sense;
    }
    return by_supply ? by_supply : by_sense;
}

bool regulated(const Knowledge& known, const Output& out) {
    return by_shunt_regulator(known, out) || by_zener(known, out);
}

}  // namespace etchback::blocks::detail
