// The board's outline on the board, with notches, cut-outs and slots.
#pragma once

#include <opencv2/core.hpp>
#include <optional>
#include <vector>

#include "copper/board_picture.h"
#include "copper/eye/detail/bundle.h"
#include "copper/eye/detail/side_view.h"

namespace etchback::copper::eye::detail {

struct Outline {
    Polygon polygon;
    std::vector<Hole> slots;  // long openings inside, milled; plated is left at 0.5
};

// Board is where either photo shows board: what stands over an edge is cut off at the straight
// side, and an opening must be seen through on every photo. Exact along the straight sides,
// elsewhere to about a pixel of the small pictures that were cut into board and background.
Outline find_outline(const std::vector<SideView>& views, const BundleFit& fit);

}  // namespace etchback::copper::eye::detail
