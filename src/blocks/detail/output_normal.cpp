// What holds an output in normal use.
#include <algorithm>

#include "base/text.h"
#include "blocks/chains.h"
#include "blocks/detail/dividers.h"
#include "blocks/detail/output_limits.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;
using circuit::Part;
using circuit::PartId;

constexpr double opto_led_v = 1.2;  // forward voltage of an optocoupler's LED, common practice

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
    const auto chains = resistor_chains(known.circuit, {}, united(out.plus, out.minus));
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

// The one output that a label can speak of: no chip's supply, and where several are left, the only
// one that is isolated from the mains (a rail of the mains side serves the converter itself).
const Output* output_of_label(const Knowledge& known, const std::vector<Output>& all) {
    std::vector<const Output*> candidates;
    for (const Output& out : all) {
        if (!out.controller) {
            candidates.push_back(&out);
        }
    }
    if (candidates.size() > 1) {
        std::erase_if(candidates, [&](const Output* out) {
            return !known.domains.isolated_from_mains(out->plus.front());
        });
    }
    return candidates.size() == 1 ? candidates.front() : nullptr;
}

std::optional<Reasoned> by_claim(const Knowledge& known,
                                 const Output& out,
                                 const std::vector<Output>& all) {
    const Output* meant = output_of_label(known, all);
    if (meant == nullptr || meant->transformer != out.transformer ||
        meant->winding != out.winding) {
        return std::nullopt;
    }
    for (const dossier::Claim& claim : known.dossier.claims) {
        if (base::lowered(claim.quantity.value) != "output voltage" ||
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
        if (const auto r = by_claim(known, out, all)) {
            found.push_back(*r);
        }
    }
    return found;
}

bool regulated(const Knowledge& known, const Output& out) {
    return by_shunt_regulator(known, out) || by_zener(known, out);
}

}  // namespace etchback::blocks::detail
