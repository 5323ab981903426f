// Galvanic domains: which nets are conductively tied to the mains, which are isolated from it, and
// which parts stand between.
//
// Conductive parts tie their nets together, side by side: each winding of a transformer, each end
// of an optocoupler, the coil and the contacts of a relay by themselves. The mains ties live and
// neutral, wherever they enter; protective earth is a domain of its own.
//
// What is left are islands. An island is *anchored* if something of its own makes it a domain: the
// mains, earth, a supply, a declared role, being touchable, or a part whose other side lies
// elsewhere (a winding, an optocoupler, a relay). An island that only capacitors and gaps
// (varistors, spark gaps) reach
// - belongs to the one anchored domain that they lead to: the node between two X capacitors, or a
//   bridge rectifier fed through a capacitor in each mains lead (this is no isolation);
// - is a domain "between A and B" if they lead to several: the node between two Y capacitors in
//   series, or of varistors and a spark gap in star. Those parts together are the bridge from A to
//   B, so each is listed as a bridge of A and B, and the node does not count as isolated from
//   mains;
// - if they lead to no anchored domain (nothing in it is fed as far as the dossier tells), islands
// of
//   two nets or more serve as anchors.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::circuit {

struct Domain {
    enum class Nature { mains, isolated, earth, floating };  // floating: no supply found in it
    std::string name;                                        // "mains", "isolated 1", ...
    // "side 1", ... instead of "isolated 1" where no mains is written down
    Nature nature = Nature::floating;
    std::vector<NetId> nets;  // sorted
    // Its return (0 V): declared, else the minus of its bridge rectifier, else that of the battery
    // or supply which feeds it, else the net with the most ground and negative pins, else one
    // called GND or the like, else neutral or earth; not known if there is none of these.
    NetId reference;
    std::vector<int> between;  // of a node of capacitors in series: what it hangs between
    bool operator==(const Domain&) const = default;
};
std::string_view name_of(Domain::Nature nature);  // "mains", "isolated", "earth", "floating"

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
