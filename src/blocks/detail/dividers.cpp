#include "blocks/detail/dividers.h"

#include <algorithm>

#include "blocks/chains.h"

namespace etchback::blocks::detail {

using circuit::NetId;
using circuit::Part;
using circuit::PartId;

namespace {

constexpr double default_tolerance = 0.05;  // of a resistor that states none: common practice

double worst_tolerance(const circuit::Circuit& circuit, const std::vector<PartId>& parts) {
    double worst = 0.0;
    for (const PartId id : parts) {
        worst = std::max(worst, tolerance_of(circuit[id]));
    }
    return worst;
}

}  // namespace

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

void rest_on(Reasoned& r, const circuit::Circuit& circuit, const std::vector<PartId>& parts) {
    for (const PartId id : parts) {
        const Part& part = circuit[id];
        r.parts.push_back(part.name);
        r.evidence.push_back(
            evidence_of(part, part.said.value ? base::to_text(part.said.value->value) : ""));
        r.assumed = r.assumed || is_doubtful(part, {"value"});
    }
}

std::optional<Divider> divider(const circuit::Circuit& circuit,
                               const std::vector<NetId>& top,
                               NetId tap,
                               const std::vector<NetId>& bottom) {
    const auto chains = resistor_chains(circuit, {}, united(united(top, {tap}), bottom));
    Divider d;
    d.upper_ohm = resistance_between(chains, top, {tap}, &d.parts);
    d.lower_ohm = resistance_between(chains, {tap}, bottom, &d.parts);
    d.tolerance = worst_tolerance(circuit, d.parts);
    if (d.upper_ohm <= 0.0 || d.lower_ohm <= 0.0) {
        return std::nullopt;
    }
    return d;
}

}  // namespace etchback::blocks::detail
