// Ways of low resistance between nets: what a continuity tester beeps through, and what carries the
// same direct voltage.
#pragma once

#include <vector>

#include "base/disjoint_sets.h"
#include "circuit/circuit.h"

namespace etchback::circuit::detail {

constexpr double beep_ohm = 50.0;  // usual testers stop between 20 and 50 ohm (common practice)

struct LowPath {
    NetId a, b;
    double ohm = 0.0;      // 0: next to nothing
    bool winding = false;  // of a transformer
};

// Through fuses, jumpers, coils, chokes, windings, closed switches and contacts, resistors and
// thermistors below `beep_ohm`. A part that may be any of these (unknown kind, a resistor of
// unknown value) counts where `benefit_of_doubt`.
std::vector<LowPath> low_paths(const Circuit& circuit, bool benefit_of_doubt);

// The least sum of resistances between two nets; infinite if there is no way.
double least_ohm(const std::vector<LowPath>& paths, std::size_t nets, NetId from, NetId to);

// Nets at one direct voltage: joined by low paths that are no windings.
base::DisjointSets same_dc(const Circuit& circuit);

}  // namespace etchback::circuit::detail
