// Places of a photo whose position on the board the person gave.
#pragma once

#include <optional>

#include "copper/eye/detail/side_view.h"

namespace etchback::copper::eye::detail {

// The quarter turn of a view by which places that were given in mm lie as they do on the photo; the
// outline may be wrong. Nothing: fewer than two are given.
struct GivenTurn {
    int quarter = 0;
    bool clear = false;  // no other quarter comes near
};
std::optional<GivenTurn> turn_by_places(const SideView& view);

}  // namespace etchback::copper::eye::detail
