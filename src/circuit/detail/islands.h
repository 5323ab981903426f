// Islands: nets that conductive parts tie together, before capacitors and gaps are looked at.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "base/disjoint_sets.h"
#include "circuit/circuit.h"

namespace etchback::circuit::detail {

// The nets of a part by galvanic side, each side's nets in the order of its pins.
std::map<std::string, std::vector<NetId>> nets_by_side(const Part& part);

// A plain capacitor or gap: two ends or more, none of them tied inside.
bool is_weak_link(const Part& part);
bool is_mains(const Part& part);
bool is_other_supply(const Part& part);           // a battery, a DC source
bool is_line(const Circuit& circuit, NetId net);  // live or neutral

// Joins net indices that are conductively tied.
base::DisjointSets conductive_islands(const Circuit& circuit);

// Per net: something of its own makes its island a domain. See domains.h.
std::vector<bool> anchored_nets(const Circuit& circuit, base::DisjointSets& islands);

}  // namespace etchback::circuit::detail
