// The series-parallel tree of the two-pin parts of one family.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::circuit::detail {

// Parts that can be folded into one: of this family, with a value above zero in this unit (a
// ferrite bead is an inductor in ohms), their two pins on two different nets.
struct Foldable {
    std::string_view family;
    base::Unit unit;
};

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
std::vector<Element> fold(const Circuit& circuit, const Foldable& what);

bool folds(const Part& part, const Foldable& what);

}  // namespace etchback::circuit::detail
