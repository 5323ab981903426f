// How good a drawing is, in numbers. They are taken from the finished drawing's geometry, so that
// any drawing, also one made by other means, is measured in the same way.
#pragma once

#include <string>
#include <vector>

#include "drawing/drawing.h"

namespace etchback::drawing {

struct DrawingFigures {
    int parts = 0;
    int nets = 0;
    int crossings = 0;  // points where wires of two nets cross
    int bends = 0;      // corners of wires; a T is none
    int steps = 0;      // short steps aside: a piece under 3 grid steps between two corners that
                        // turn opposite ways, which a person would draw straight
    double wire_length = 0;  // grid steps
    int overlaps = 0;  // of part-part, part-text, text-text, wire-part, wire-text, wire-wire of
                       // two nets along a line, wire through a foreign pin
    double width = 0, height = 0;  // of the whole drawing, grid steps
    double area = 0;               // width x height
    // Of the length of horizontal wires outside returns, the share that runs from left to right
    // when followed away from the source; 1 where there is none. detail/wire_flow.h has the rule.
    double flow_share = 1;
    // The share of parts that a single straight wire (or pins that touch) joins to another part.
    double straight_share = 1;
    double filled_share = 0;                // of the area, what parts, texts and signs cover
    int signs = 0;                          // returns, rails and name flags in place of wires
    std::vector<std::string> overlap_list;  // "text 'R5' on part C2"
    bool operator==(const DrawingFigures&) const = default;
};
DrawingFigures figures(const Drawing& drawing, const circuit::Circuit& circuit);

// The JSON that `draw --json` prints; docs/json.md describes it.
std::string to_json(const DrawingFigures& figures);

}  // namespace etchback::drawing
