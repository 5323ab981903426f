// What differs between two circuits, such as a board and the circuit of the chip's data sheet.
//
// Parts are matched by structure, kind and value, never by name; a net is nothing but its pins.
// Renaming and reordering change no result beyond the names in it. What counts is the sum of costs:
//
//   a part missing or added           1
//   a value out of tolerance          1 up to a factor of 30, rising to 2 at 1000 (another part)
//   a lower rating, another type      0.4 (nothing beside a changed value)
//   another kind of the same family   1, with another value 1.5 (of another family: one part
//                                     missing and one added)
//   a pin on another net              1; 0 where a missing or added part at these nets explains it
//   a part or winding turned round    1
//   another turns ratio               1 per winding
//   one part as n, or n as one        n - 0.5, if the combined value is within 8 %
//
// The search alternates between the best parts for given nets and the best nets for given parts,
// each an assignment problem solved exactly, from seeds that spread from rare parts, and restarts
// from disturbed results. It is bounded by counted rounds: the same input gives the same result.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::blocks {

enum class DifferenceKind {
    missing,     // in the reference only
    added,       // in the found circuit only
    split,       // one part there, several here
    merged,      // several parts there, one here
    value,       // another value, type or property
    rating,      // rated lower than there
    kind,        // another kind of part
    connection,  // a pin on another net
    reversed,    // a part or a winding the other way round
    turns,       // another turns ratio
};
std::string_view name_of(DifferenceKind kind);  // "missing", "changed value", ...

// One thing that a person would call one difference.
struct Difference {
    DifferenceKind kind = DifferenceKind::missing;
    std::vector<circuit::PartId> reference;  // parts there, natural order of names
    std::vector<circuit::PartId> found;      // parts here
    std::vector<std::string> empty_places;   // places on the board that held them, if told
    std::string words;                       // "C1 is 150 nF; the reference has C1 with 100 nF"
    std::string consequence;                 // empty: not known
    std::string consequence_source;
    double cost = 0.0;
    bool operator==(const Difference&) const = default;
};

// Parts that stand for each other: one and one, or one and several.
struct PartMatch {
    std::vector<circuit::PartId> reference, found;
    bool operator==(const PartMatch&) const = default;
};
struct NetMatch {
    circuit::NetId reference, found;
    bool operator==(const NetMatch&) const = default;
};

struct Comparison {
    std::vector<PartMatch> parts;
    std::vector<NetMatch> nets;
    std::vector<Difference> differences;  // missing ones first; then by the names of their parts
    double cost = 0.0;                    // the sum over the differences
    double at_least = 0.0;  // what any matching costs, from counts of parts and structure
    bool proven() const { return cost <= at_least + 1e-9; }  // no matching costs less
    int rounds = 0;                                          // of the search
    bool operator==(const Comparison&) const = default;
};

// What a difference means, for those who know (patterns, tables). Empty words: not known.
struct Consequence {
    std::string words;
    std::string source;
};
using KnowConsequence = std::function<Consequence(
    const Difference&, const circuit::Circuit& found, const circuit::Circuit& reference)>;

struct CompareOptions {
    int rounds = 240;  // bound of the search; more may find a cheaper matching of odd circuits
    KnowConsequence consequence;
};

Comparison compare(const circuit::Circuit& found,
                   const circuit::Circuit& reference,
                   const CompareOptions& options = {});

// Names in Difference::empty_places the places without a part that fit what is missing: the same
// kind of part, and a title that names the pins or nets where the missing part would stand.
void name_empty_places(Comparison& comparison,
                       const circuit::Circuit& found,
                       const circuit::Circuit& reference,
                       const std::vector<dossier::Part>& parts_of_board,
                       const parts::Catalogue& catalogue);

}  // namespace etchback::blocks
