// Islands of copper to nets, and doubts to the shortest list of continuity checks.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "copper/islands.h"

namespace etchback::copper {

// A pin of a part on the board.
struct Pad {
    std::string part;  // empty: a point of the board without a part, such as a via
    std::string pin;
    Point at;
    std::optional<Side> side;     // not there: through the board, on both sides
    bool placed_by_body = false;  // true: worked out from the body, not given
};

// "beeps" or "does not beep" between two pads, as ground truth.
struct Check {
    std::size_t a = 0;  // index into the pads
    std::size_t b = 0;
    bool beeps = true;
    std::string words;  // "R1.2 to C1.1", for messages
};

struct Net {
    std::string name;          // "N1" by size, or the dossier's where its pins carry one
    std::vector<int> islands;  // sorted
    std::vector<std::size_t> pads;
};

// A doubt that may change the nets, with what it would change.
struct Doubt {
    int joint = -1;           // index into Islands::joints; -1: a pad that may lie wrongly
    std::vector<int> joints;  // all that would have to be other than they look, sorted
    double wrong = 0.0;       // probability that the nets are wrong here
    std::string words;        // "between R1.2 and C1.1 ...: a neck of 0.1 mm"
    // One on each side of the doubt, where there are any; where a side was not read, all.
    std::vector<std::size_t> pads;
    int pairs = 0;  // how many pairs of pins it would join or part
};

struct Question {
    std::size_t a = 0;  // pads to probe
    std::size_t b = 0;
    bool expected = true;      // what the nets say now: beeps
    double chance = 0.0;       // probability of the expected answer
    std::vector<int> settles;  // indices into Nets::doubts
    std::string words;         // "R1.2 to C1.1: should beep"
};

struct Contradiction {
    std::string words;  // "R1.2 to C1.1 does not beep, but clear copper joins them at ..."
};

struct Nets {
    std::vector<Net> nets;
    std::vector<int> net_of_island;
    std::vector<int> net_of_pad;  // -1: on no copper
    std::vector<Doubt> doubts;    // what would change most first
    std::vector<Question> questions;
    std::vector<Contradiction> contradictions;
};

// Joins islands whose joints are likelier than not, so that all checks hold where joints can be
// found that allow it: among those, the likeliest set. Checks that no joint can explain are told
// as contradictions.
Nets find_nets(const Islands& islands,
               const std::vector<Pad>& pads,
               const std::vector<Check>& checks);

}  // namespace etchback::copper
