// Everything in a drawing that lies on something else.
#pragma once

#include <string>
#include <vector>

#include "drawing/drawing.h"

namespace etchback::drawing::detail {

// All wires of one net, pieces merged.
struct NetWire {
    circuit::NetId net;
    std::vector<Segment> segments;
    std::vector<Point> dots;
};
std::vector<NetWire> wires_by_net(const Drawing& drawing);  // by net

// One sentence for each overlap, in a fixed order: "text 'R5' lies on part C2". Touching edges of
// boxes are no overlap. Boxes of labels and signs are computed, not believed.
std::vector<std::string> overlaps(const Drawing& drawing,
                                  const circuit::Circuit& circuit,
                                  const std::vector<NetWire>& wires);

}  // namespace etchback::drawing::detail
