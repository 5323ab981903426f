// A derived number that shows how it came about: formula, the formula with numbers put in, result,
// and the evidence that it rests on. Every module that computes prints its results this way.
#pragma once

#include <string>
#include <vector>

#include "base/quantity.h"

namespace etchback::base {

// What a statement rests on: a thing in the dossier, by the name a person knows it by.
struct Evidence {
    enum class Kind {
        part,
        net,
        reading,
        claim,
        supply,
        continuity,
        reference,
        figure,
        assumption
    };
    Kind kind = Kind::part;
    std::string name;    // "R3", "HV+", the reading's quantity, the figure's id
    std::string detail;  // "marking 104", "1206: usually 200 V"; may be empty
    Place place;         // where the dossier says so; empty for derived things

    bool operator==(const Evidence&) const = default;
};
std::string_view name_of(Evidence::Kind kind);

struct Figure {
    std::string id;      // unique within a dossier and stable: "bleed_time.C1"
    std::string title;   // "Time for C1 to fall to 60 V"
    std::string symbol;  // "t"; plain text, may hold Greek letters and subscript digits
    double value = 0.0;
    Unit unit = Unit::none;
    std::optional<double> uncertainty;  // one standard uncertainty, in `unit`
    std::string formula;                // "t = R·C·ln(U0/60 V)"
    std::string worked;                 // "t = 1 MΩ · 100 nF · ln(373 V/60 V)"
    std::string source;    // the formula's source: a handbook, a standard, "definition"
    bool assumed = false;  // some number in it is assumed, not evidence; `evidence` says which
    std::vector<std::string> parts;  // the parts and nets that it speaks of
    std::vector<std::string> nets;
    std::vector<Evidence> evidence;

    bool operator==(const Figure&) const = default;
};

}  // namespace etchback::base
