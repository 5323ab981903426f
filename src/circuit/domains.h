// Galvanic domains: which nets are conductively tied to the mains, which are isolated from it, and
// which parts stand between.
#pragma once

#include <string>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::circuit {

struct Domain {
    enum class Nature { mains, isolated, earth, floating };  // floating: no supply found in it
    std::string name;                                        // "mains", "isolated 1" ...
    Nature nature = Nature::floating;
    std::vector<NetId> nets;  // sorted
    NetId reference;          // its return (0 V): declared, or the best guess; may be unknown
    bool operator==(const Domain&) const = default;
};

// A part with pins in two domains or more: the insulation rests on it.
struct Bridge {
    PartId part;
    std::vector<int> domains;  // indices, sorted
    parts::Coupling coupling;
    bool operator==(const Bridge&) const = default;
};

struct Domains {
    std::vector<Domain> domains;  // mains first, then by the least net name
    std::vector<Bridge> bridges;  // sorted by part
    std::vector<int> of_net;      // per net: index of its domain

    int of(NetId net) const { return of_net[static_cast<std::size_t>(net.index)]; }
    bool isolated_from_mains(NetId net) const;
};

// A domain is a set of nets joined by conductive parts. A capacitor does not separate domains
// unless nothing but capacitors (and gaps, windings, light) joins them: then it is a bridge between
// them.
Domains domains(const Circuit& circuit);

}  // namespace etchback::circuit
