// A circuit as a graph in the plane: what is fixed about parts' symbols, and what is free.
//
// A part is a vertex, or a small frame of vertices that keeps the order in which its pins leave its
// symbol (turned and mirrored as one likes). Pins on one side of a box or connector may change
// places, as they may in a drawing. A net is a vertex, with an edge to each of its pins. Wires may
// cross wires, but never a frame.
#pragma once

#include <vector>

#include "circuit/circuit.h"

namespace etchback::gallery {

struct PinGraph {
    struct Edge {
        int a = 0, b = 0;
        int net = -1;  // of a wire; -1: of a frame
    };
    int vertices = 0;
    std::vector<Edge> edges;
};

// Nets that a drawing may show by a sign at each pin: declared returns, earth, and what a DC supply
// or battery feeds.
std::vector<bool> may_be_signs(const circuit::Circuit& circuit);

// `left_out`: nets that signs stand for.
PinGraph pin_graph(const circuit::Circuit& circuit, const std::vector<bool>& left_out);

}  // namespace etchback::gallery
