// What a person, or an earlier drawing, asks of a drawing. Parts are called by their names; a name
// that the circuit does not have is passed over.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dossier/dossier.h"
#include "drawing/symbol.h"

namespace etchback::drawing {

// Where and how a part stands, as in PlacedPart. `at` is in grid steps from `Drawing::origin`: a
// drawing is shifted as a whole until its margins are right, so that only distances between parts
// that say `at` count.
struct Stand {
    std::string part;
    std::optional<Point> at;
    std::optional<Orientation> turned;
    bool operator==(const Stand&) const = default;
};

// What is known of how a part is turned; the rest is free.
struct Turn {
    std::string part;
    std::optional<int> quarter_turns;
    std::optional<bool> mirrored;
    bool operator==(const Turn&) const = default;
};

// A part that stands just so far from another.
struct Tie {
    std::string part;
    std::string to;
    Point by;
    bool operator==(const Tie&) const = default;
};

// A part that stands beside another: `part` to the right of `of`, if `where` is right.
struct Beside {
    std::string part;
    Direction where = Direction::right;
    std::string of;
    bool operator==(const Beside&) const = default;
};

struct Nudges {
    std::vector<Stand> stands;  // kept as asked
    std::vector<Turn> turns;
    std::vector<Tie> ties;
    std::vector<Beside> beside;
    std::vector<std::vector<std::string>> together;  // parts that stay near each other
    std::vector<Stand> before;  // of an earlier drawing: kept where nothing speaks against it

    bool empty() const {
        return stands.empty() && turns.empty() && ties.empty() && beside.empty() &&
               together.empty() && before.empty();
    }
    bool operator==(const Nudges&) const = default;
};

// The wishes of a dossier, in its words ([drawing]).
Nudges nudges_of(const dossier::DrawingWishes& wishes);

}  // namespace etchback::drawing
