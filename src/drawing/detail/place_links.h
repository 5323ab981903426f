// What belongs in one line and what belongs on either side of an axis, found by structure: the
// shapes that a reader knows at a glance are made of these two.
#pragma once

#include <vector>

#include "circuit/circuit.h"

namespace etchback::drawing::detail {

struct Model;

// Two pins of one net that want to face each other on a straight wire: the load over its
// transistor, the two resistors of a divider, the coil behind its switch.
struct Link {
    int a = -1, pin_a = -1;  // the upper or the left one; pins are indices into Variant::pins
    int b = -1, pin_b = -1;
    bool upright = false;  // b stands below a; otherwise b lies to the right of a
};

// Two parts that mirror each other, left and right.
struct Twins {
    int left = -1, right = -1;
};
// Twins of one axis; the first are the transistors that it was found by.
using Symmetry = std::vector<Twins>;

// A part that joins the two halves of a symmetry: the load between two half-bridges.
struct Joining {
    int part = -1;
    int symmetry = -1;  // index into Model::symmetries
};

// A cell (left) and its copy (right), part by part; the first pair are those that it was found by.
using Repeat = std::vector<Twins>;

// One link per net and direction at most. Needs the parts' variants, the most natural one first.
std::vector<Link> links_of(const circuit::Circuit& circuit, const Model& model);

// Halves that are equal but for the values: pairs of transistors of one kind, and what hangs on
// them pin by pin. A part belongs to one symmetry at most.
std::vector<Symmetry> symmetries_of(const circuit::Circuit& circuit, const Model& model);

// Cells of three parts and more around a chip or a transistor that follow pin by pin from another
// of its kind. A part is a copy once at most, and no part of a symmetry is one.
std::vector<Repeat> repeats_of(const circuit::Circuit& circuit, const Model& model);

// Parts with two pins, of no symmetry themselves, between a net of a transistor and the same net
// of its twin.
std::vector<Joining> joinings_of(const circuit::Circuit& circuit, const Model& model);

}  // namespace etchback::drawing::detail
