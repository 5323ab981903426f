// How good a drawing is, in numbers.
#pragma once

#include <string>
#include <vector>

#include "drawing/drawing.h"

namespace etchback::drawing {

struct DrawingFigures {
    int parts = 0;
    int nets = 0;
    int crossings = 0;  // points where wires of two nets cross
    int bends = 0;
    double wire_length = 0;  // grid steps
    int overlaps = 0;  // of part-part, part-text, text-text, wire-part, wire-text, wire-wire of
                       // two nets along a line, wire through a foreign pin
    double width = 0, height = 0;
    std::vector<std::string> overlap_list;  // "text 'R5' on part C2"
};
DrawingFigures figures(const Drawing& drawing, const circuit::Circuit& circuit);

// The JSON that `draw --json` prints; docs/json.md describes it.
std::string to_json(const DrawingFigures& figures);

}  // namespace etchback::drawing
