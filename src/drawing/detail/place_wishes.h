// What a person asks of where parts stand, in terms of the model.
#pragma once

#include <vector>

#include "circuit/circuit.h"
#include "drawing/nudges.h"
#include "drawing/symbol.h"

namespace etchback::drawing::detail {

struct Model;
struct Placement;

struct Offset {
    int x = 0;
    int y = 0;
};

// Parts whose distances from each other are given; they move as one.
struct TiedPart {
    int part = -1;
    Offset from_first;
};
using Tied = std::vector<TiedPart>;

// `part` stands beyond `of`, seen the way of `where`.
struct Neighbours {
    int part = -1;
    int of = -1;
    Direction where = Direction::right;
    bool level = true;  // and at its height; in one column with it if `where` is up or down
};

// Ties and neighbours into the model; needs its parts with their fixed places. Parts that are tied
// to a fixed part become fixed. What cannot be granted together is passed over from the later one.
void add_wishes(const circuit::Circuit& circuit, const Nudges& nudges, Model& model);

// By how many steps the bodies of two neighbours stand wrong in the direction that was asked for,
// and aside of each other.
struct Misfit {
    double wrong = 0.0;  // 0: as asked
    double aside = 0.0;  // 0: their bodies are level with each other, or need not be
    double apart = 0.0;  // between the bodies
};
Misfit misfit(const Neighbours& pair, const Box& part, const Box& of);

// Puts all that is tied where its first part is.
void pull_ties(const Model& model, Placement& placement);

// Puts a part whose direction from its neighbour is wrong right beside that.
void pull_neighbours(const Model& model, Placement& placement);

}  // namespace etchback::drawing::detail
