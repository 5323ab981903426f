// The connected pieces of a drawing's nets: what wires join, up to the signs at their ends.
#pragma once

#include <vector>

#include "circuit/circuit.h"
#include "drawing/drawing.h"

namespace etchback::benchmarks {

struct NetPiece {
    circuit::NetId net;
    std::vector<circuit::PinRef> pins;
    std::vector<int> signs;  // indices into Drawing::signs
};

// In a fixed order: by net, then by first pin. Pieces of one end alone are left out.
std::vector<NetPiece> net_pieces(const circuit::Circuit& circuit, const drawing::Drawing& drawing);

}  // namespace etchback::benchmarks
