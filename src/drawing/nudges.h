// What a person, or an earlier drawing, asks of a drawing. Parts are called by their names; a name
// that the circuit does not have is passed over.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "drawing/symbol.h"

namespace etchback::drawing {

// Where and how a part stands, as in PlacedPart: `at` in grid steps. A drawing is shifted as a
// whole until its margins are right, so that only distances between parts count.
struct Stand {
    std::string part;
    std::optional<Point> at;
    std::optional<Orientation> turned;
    bool operator==(const Stand&) const = default;
};

struct Nudges {
    std::vector<Stand> stands;                       // kept as asked
    std::vector<std::vector<std::string>> together;  // parts that stay near each other
    std::vector<Stand> before;  // of an earlier drawing: kept where nothing speaks against it

    bool empty() const { return stands.empty() && together.empty() && before.empty(); }
    bool operator==(const Nudges&) const = default;
};

}  // namespace etchback::drawing
