// Source of knowledge: a voltage known between the ends of a resistor chain divides along it.
#include "blocks/chains.h"

#include <algorithm>

#include "base/text.h"
#include "blocks/detail/knowledge.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;

std::string ohms(double r) {
    return base::to_engineering(r, base::Unit::ohm, {.digits = 4});
}

// Links i up to but not with j of the chain see their share of `whole`.
VoltageBetween share(const Knowledge& known,
                     const Chain& chain,
                     std::size_t i,
                     std::size_t j,
                     const VoltageBetween& whole,
                     bool up) {
    double part_ohm = 0.0;
    std::vector<std::string> names;
    for (std::size_t k = i; k < j; ++k) {
        part_ohm += chain.links[k].ohm;
    }
    VoltageBetween v = whole;
    v.figure.parts.clear();
    for (const circuit::PartId id : chain.parts()) {
        const circuit::Part& part = known.circuit[id];
        names.push_back(part.name);
        v.figure.parts.push_back(part.name);
        v.figure.evidence.push_back(
            evidence_of(part, part.said.value ? base::to_text(part.said.value->value) : ""));
        v.figure.assumed = v.figure.assumed || is_doubtful(part, {"value"});
    }
    const double ratio = part_ohm / chain.ohm();
    v.from = up ? chain.links[i].from : chain.links[j - 1].to;
    v.to = up ? chain.links[j - 1].to : chain.links[i].from;
    v.working_v_peak *= ratio;
    v.working_v_rms *= ratio;
    if (v.single_fault_v_peak) {
        *v.single_fault_v_peak *= ratio;
    }
    v.because = base::listed(names) + " share " + volts(whole.working_v_peak) + " between " +
                known.circuit[chain.from()].name + " and " + known.circuit[chain.to()].name + " (" +
                whole.because + ")";
    v.figure.value = v.working_v_peak;
    v.figure.formula = "U = Uends·R/Rchain";
    v.figure.worked = "U = " + volts(whole.working_v_peak) + " · " + ohms(part_ohm) + "/" +
                      ohms(chain.ohm()) + " = " + volts(v.working_v_peak);
    v.figure.source = "voltage divider";
    return v;
}

void divide(Knowledge& known, const Chain& chain, const VoltageBetween& whole) {
    const bool up = whole.from == chain.from();
    const std::size_t n = chain.links.size();
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = i + 1; j <= n; ++j) {
            if (i == 0 && j == n) {
                continue;
            }
            VoltageBetween v = share(known, chain, i, j, whole, up);
            if (!known.has_direct(v.from, v.to)) {
                known.direct.push_back(std::move(v));
            }
        }
    }
}

}  // namespace

void learn_chains(Knowledge& known) {
    std::vector<NetId> keep;
    for (const Frame& frame : known.frames) {
        for (const Level& level : frame.levels) {
            keep.insert(keep.end(), level.nets.begin(), level.nets.end());
        }
    }
    std::sort(keep.begin(), keep.end());
    // Capacitors in the middle take no part in dividing a direct voltage, but they do with AC.
    for (const bool direct_voltage : {true, false}) {
        const ChainOptions options{.pass_inputs = true, .pass_capacitors = direct_voltage};
        for (const Chain& chain : resistor_chains(known.circuit, options, keep)) {
            if (chain.links.size() < 2) {
                continue;
            }
            const auto whole = known.between(chain.from(), chain.to());
            if (whole && whole->alternating != direct_voltage) {
                divide(known, chain, *whole);
            }
        }
    }
}

}  // namespace etchback::blocks::detail
