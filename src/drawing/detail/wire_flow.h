// Which way wires run: from what feeds a circuit to what it feeds, or back. Taken from the circuit
// and the finished drawing alone, not from what placement aimed at, so that drawings made by others
// are measured with the same rule.
#pragma once

#include <vector>

#include "circuit/circuit.h"
#include "drawing/detail/overlaps.h"

namespace etchback::drawing::detail {

// Per part: how many nets lie between it and the nearest source (0: a source; -1: nothing leads to
// it). Sources are mains, DC supplies, batteries and connectors whose title says "input"; without
// any of these, the first connector. Returns do not count as ways.
std::vector<int> steps_from_source(const circuit::Circuit& circuit);

// Whether a net carries current back: declared return, neutral or earth, or, where none is
// declared, the minus of a source.
std::vector<bool> carries_back(const circuit::Circuit& circuit);

// Lengths of the horizontal wires of all nets that do not carry back. A wire runs away from the
// pin nearest to the source (of several, the leftmost; of a piece that signs join to the rest, its
// own nearest pin) and is with the flow if it runs from left to right.
struct FlowLength {
    double with = 0.0;
    double against = 0.0;
};
FlowLength flow_length(const Drawing& drawing,
                       const circuit::Circuit& circuit,
                       const std::vector<NetWire>& wires);

}  // namespace etchback::drawing::detail
