// What stops an output when its feedback or its load opens.
#include <algorithm>

#include "blocks/detail/ac_source.h"
#include "blocks/detail/dividers.h"
#include "blocks/detail/output_limits.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;
using circuit::Part;
using circuit::PartId;

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
        r->assumed = r->assumed || thresholds_doubtful(chip);
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

// A divider from a winding to one of the chip's sense pins.
struct SenseDivider {
    Divider divider;
    std::string winding;
};

std::optional<SenseDivider> sense_divider(const Knowledge& known, const Output& out, PartId id) {
    const Part& chip = known.circuit[id];
    const NetId ground = ground_net(chip);
    for (const WindingEnds& w : windings_of(known.circuit, out.transformer)) {
        if (w.name == out.winding || !ground.known()) {
            continue;
        }
        const NetId hot = w.dot == ground ? w.end : w.dot;
        for (std::size_t p = 0; p < chip.pins.size(); ++p) {
            const NetId tap = chip.pins[p].net;
            if (!tap.known() || !is_high_impedance(known.circuit, {id, static_cast<int>(p)})) {
                continue;
            }
            if (auto d = divider(known.circuit, {hot}, tap, {ground})) {
                return SenseDivider{std::move(*d), w.name};
            }
        }
    }
    return std::nullopt;
}

// The chip watches the auxiliary winding through a divider and has a limit for what it sees there.
std::optional<Reasoned> by_chip_divider(const Knowledge& known, const Output& out, PartId id) {
    const Part& chip = known.circuit[id];
    const auto limit = is_controller(chip) ? sense_limit(chip) : std::nullopt;
    const auto sense = limit ? sense_divider(known, out, id) : std::nullopt;
    if (!sense) {
        return std::nullopt;
    }
    const Divider& d = sense->divider;
    auto r = through_turns(
        known,
        out,
        sense->winding,
        *limit * (1.0 + d.upper_ohm / d.lower_ohm),
        volts(*limit) + " · (1 + " + ohms(d.upper_ohm) + "/" + ohms(d.lower_ohm) + ")");
    if (!r) {
        return std::nullopt;
    }
    r->because = "with the load open, " + chip.name + " stops by its divider on winding " +
                 sense->winding + ", the output then at " + volts(r->volts) + " (" + r->worked +
                 ")";
    r->assumed = r->assumed || thresholds_doubtful(chip);
    r->evidence.push_back(evidence_of(chip, "limit of its sense pin " + volts(*limit)));
    rest_on(*r, known.circuit, d.parts);
    return r;
}

std::optional<Reasoned> by_divider(const Knowledge& known, const Output& out) {
    for (std::size_t i = 0; i < known.circuit.parts.size(); ++i) {
        if (auto r = by_chip_divider(known, out, PartId{static_cast<int>(i)})) {
            return r;
        }
    }
    return std::nullopt;
}

}  // namespace

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

}  // namespace etchback::blocks::detail
