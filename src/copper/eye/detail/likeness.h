// How alike two photos of a board look when both are laid on it: is it the same side twice?
#pragma once

#include <opencv2/core.hpp>

#include "copper/eye/detail/side_view.h"

namespace etchback::copper::eye::detail {

// Correlation of what both photos show, -1 to 1. `b_mirrored`: b as if it were looked at from the
// other face than it says.
double picture_likeness(
    const SideView& a, int quarter_a, const SideView& b, int quarter_b, bool b_mirrored);

}  // namespace etchback::copper::eye::detail
