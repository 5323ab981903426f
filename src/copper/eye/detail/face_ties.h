// Places that two faces show alike, piece by piece of the board.
#pragma once

#include <vector>

#include "copper/eye/detail/bundle.h"
#include "copper/eye/detail/side_view.h"

namespace etchback::copper::eye::detail {

// Where few holes are seen on both sides, the outlines alone lay them onto each other, and an
// outline may be some tenths of a millimetre off on one photo. What glows through, joints and leads
// tell better. `views` are two, as `fit` lays them; each tie is the middle of a piece.
std::vector<SameSpot> face_ties(const std::vector<SideView>& views, const BundleFit& fit);

}  // namespace etchback::copper::eye::detail
