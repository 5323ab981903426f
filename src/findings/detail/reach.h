// Which nets current can reach from a terminal, part by part.
#pragma once

#include <functional>
#include <map>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::findings::detail {

// How a net was reached: by which part, from which net.
struct Step {
    circuit::PartId by;
    circuit::NetId from;
};
using Reached = std::map<circuit::NetId, Step>;

// May current go through the part from one of its pins to another?
using Passes = std::function<bool(const circuit::Part&, std::size_t from, std::size_t to)>;

// Breadth first from `start`, so each step back leads the shortest way. Nets of `closed` (sorted)
// are not entered. The starting nets have a step with no part.
Reached reach(const circuit::Circuit& circuit,
              const std::vector<circuit::NetId>& start,
              const Passes& passes,
              const std::vector<circuit::NetId>& closed = {});

// The parts on the way to `net`, from the start on.
std::vector<circuit::PartId> way_to(const Reached& reached, circuit::NetId net);

}  // namespace etchback::findings::detail
