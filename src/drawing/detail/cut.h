// Cutting a drawing that is too large for one sheet.
#pragma once

#include <vector>

#include "drawing/drawing.h"

namespace etchback::drawing::detail {

// Pieces of at most `width` by `height` grid steps where that can be had, in reading order. The
// first keeps its coordinates, as do all others; `width` and `height` of a piece stay those of the
// whole. Every wire that was cut ends in a flag on either side: its text is the net's name, an
// arrow and the number of the sheet on which it goes on, counted from 1.
std::vector<Drawing> cut_up(const Drawing& drawing,
                            const circuit::Circuit& circuit,
                            double width,
                            double height);

// What a drawing covers.
Box extent_of(const Drawing& drawing);

// Everything moved.
void shift(Drawing& drawing, Point by);

}  // namespace etchback::drawing::detail
