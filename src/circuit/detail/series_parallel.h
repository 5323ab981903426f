// The series-parallel tree of the two-pin parts of one family.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::circuit::detail {

// A part, or a set of parts that act as one. A set never holds a set of its own sort: what is in
// parallel with a parallel set belongs to that set.
struct Element {
    enum class Sort { part, series, parallel };
    Sort sort = Sort::part;
    PartId part;                    // of a part
    std::vector<Element> elements;  // of a set, in natural order of their first part
    NetId from, to;                 // from < to
    std::vector<PartId> parts;      // all that it holds, sorted
};

// What remains after every series and parallel set has been folded: sets and single parts, sorted
// by their first part.
std::vector<Element> fold(const Circuit& circuit, std::string_view family);

// Of a family that can be folded, with a value above zero, its two pins on two different nets.
bool folds(const Part& part, std::string_view family);

}  // namespace etchback::circuit::detail
