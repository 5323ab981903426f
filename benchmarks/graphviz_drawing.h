// A circuit laid out by Graphviz (its C library: layout "dot", orthogonal splines), as a drawing
// that the figures of drawing/figures.h can measure.
#pragma once

#include "circuit/circuit.h"
#include "drawing/drawing.h"

namespace etchback::benchmarks {

// What Graphviz gets, so that the two draw the same thing:
// - a box for each part, as large and turned as in `ours`, but without its texts, for which it need
//   not find room;
// - the same pieces of nets, joined by the same signs of the same size;
// - for each end of an edge the side of the box on which the symbol has the pin (a compass port).
//   Its router for orthogonal splines takes that for a hint: it leaves a box where it likes, and
//   wires of several pins at one place. So it is free where we must keep to the pin; where its
//   wires lie on each other or on boxes, the figures count overlaps.
// - a layout from left to right (rankdir).
struct GraphvizManner {
    // A net of more than two pins is a star around a point, or a chain from pin to pin.
    bool star = true;
    // Edges lead from pin to pin as the netlist names them, or away from the source, by our
    // knowledge of circuits: its layout follows the edges, so this hands it the flow.
    bool directed = false;
    // Distances between boxes, 1 being the library's own, and how large a point is. Its router ends
    // the program on some circuits (an assertion in its maze) and not on the same with a little
    // more room; so call this in a process of its own.
    double spread = 1.0;
    double point = 0.4;  // size of a net's point, in steps
};
drawing::Drawing graphviz_drawing(const circuit::Circuit& circuit,
                                  const drawing::Drawing& ours,
                                  const GraphvizManner& manner);

}  // namespace etchback::benchmarks
