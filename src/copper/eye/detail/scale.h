// What the person says about lengths and places on the board.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "copper/eye/detail/side_view.h"

namespace etchback::copper::eye::detail {

struct Scale {
    bool known = false;
    std::string from;  // "board.width", "a length on photos/top.jpg" ...
    BoardSize size;    // at least a guess
};

// `aspect`: width to height of the board as seen from the top. `views`: laid by their corners.
Scale find_scale(const dossier::Board& board, double aspect, const std::vector<SideView>& views);

// The points of the dossier that tie photos to the board or to each other, and lengths.
void add_points(const std::vector<SideView>& views, const dossier::Board& board, Bundle& bundle);

// Points of a view whose place on the board is given.
std::vector<KnownSpot> known_spots(const SideView& view, int index);

// Millimetres of a length in the dossier, which is written in metres.
double mm_of(const dossier::Amount& amount);

}  // namespace etchback::copper::eye::detail
