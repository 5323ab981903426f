// Drilled holes from the spots of both sides.
#pragma once

#include <vector>

#include "copper/board_picture.h"
#include "copper/eye/detail/bundle.h"
#include "copper/eye/detail/side_view.h"

namespace etchback::copper::eye::detail {

// Spots that lie at one place on both sides are holes almost surely; a deep spot that one side
// alone shows may be one: a part or solder may cover the other end. Sorted by place: top to bottom,
// then left to right. `matched`: the two sides fit each other, so that a place means the same on
// both.
std::vector<Hole> find_holes(const std::vector<SideView>& views,
                             const BundleFit& fit,
                             bool matched);

}  // namespace etchback::copper::eye::detail
