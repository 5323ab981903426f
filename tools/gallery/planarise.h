// One try at drawing a graph with few crossings: a largest planar part found by chance, and the
// wires left over put in along the shortest ways through its faces.
#pragma once

#include <cstdint>

#include "gallery/pin_graph.h"

namespace etchback::gallery {

// The crossings of this try; 0 only if the graph is planar. The planarity test is that of Boyer and
// Myrvold (J. Graph Algorithms Appl. 8(3), 2004) as Boost.Graph has it. The same seed gives the
// same number.
int crossings_of_a_try(const PinGraph& graph, std::uint64_t seed);

}  // namespace etchback::gallery
