// How alike two photos of a board look when both are laid on it: the same side twice, or which way
// round the other side lies when no holes tell.
#pragma once

#include <opencv2/core.hpp>

#include "copper/eye/detail/side_view.h"

namespace etchback::copper::eye::detail {

// Correlation of what both photos show, -1 to 1. `b_mirrored`: b as if it were looked at from the
// other face than it says.
double picture_likeness(
    const SideView& a, int quarter_a, const SideView& b, int quarter_b, bool b_mirrored);

// The same for two different faces: what glows through a board without much mask, and relief.
// Copper may be lighter on one side and darker on the other, so only the strength counts: 0 to 1.
double glow_likeness(const SideView& a, int quarter_a, const SideView& b, int quarter_b);

// How well notches, slots and cut-outs of two views agree: 0 to 1; -1: there are none to compare.
double shape_likeness(const SideView& a, int quarter_a, const SideView& b, int quarter_b);

}  // namespace etchback::copper::eye::detail
