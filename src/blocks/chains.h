// Chains of resistors: the same current flows through all their links, so a known voltage between
// the ends divides in proportion. Resistors in parallel form one link.
#pragma once

#include <vector>

#include "circuit/circuit.h"

namespace etchback::blocks {

struct Link {
    circuit::NetId from, to;
    double ohm = 0.0;                    // of all its resistors in parallel
    std::vector<circuit::PartId> parts;  // sorted
};

struct Chain {
    std::vector<Link> links;  // in order; `to` of each is `from` of the next
    circuit::NetId from() const { return links.front().from; }
    circuit::NetId to() const { return links.back().to; }
    double ohm() const;
    std::vector<circuit::PartId> parts() const;  // sorted
};

struct ChainOptions {
    // Pins that draw next to no current (a chip's sense input) do not end a chain.
    bool pass_inputs = true;
    // Nor do capacitors: right for direct voltages, wrong on the AC side.
    bool pass_capacitors = true;
};

// All maximal chains, one link or more, sorted by ends. `keep` (sorted) holds nets that end a chain
// even if only two resistors meet there. Resistors without a value end a chain too.
std::vector<Chain> resistor_chains(const circuit::Circuit& circuit,
                                   const ChainOptions& options = {},
                                   const std::vector<circuit::NetId>& keep = {});

// Resistance of all chains between any net of `a` and any of `b` in parallel; 0 if there is none.
// The chains must have been made with these nets in `keep`, or one of them may be inside a chain.
double resistance_between(const std::vector<Chain>& chains,
                          const std::vector<circuit::NetId>& a,
                          const std::vector<circuit::NetId>& b,
                          std::vector<circuit::PartId>* used = nullptr);

}  // namespace etchback::blocks
