// The fewest crossings that a circuit needs, by long search.
//
// What is found is a number of crossings that can be drawn with the symbols as they are (see
// pin_graph.h), so an upper bound of the least; 0 is exact. Room, labels, the reading order and the
// edge of the sheet are left out: a drawing that has as few is as good as any in this respect.
#pragma once

#include "circuit/circuit.h"

namespace etchback::gallery {

struct Fewest {
    int with_signs = 0;  // returns and supplies shown by signs
    int all_wired = 0;   // every net wired
    bool operator==(const Fewest&) const = default;
};

// `tries` random starts for each of the two; stops early at 0. Deterministic.
Fewest fewest_crossings(const circuit::Circuit& circuit, int tries);

}  // namespace etchback::gallery
