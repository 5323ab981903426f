// Letters as lines, for what is printed on boards and parts. Capital letters, digits and a few
// signs; others leave a gap.
#pragma once

#include <string_view>
#include <vector>

#include "board-photographer/layout.h"

namespace etchback::photographer {

// `mirrored`: to be read from the other side.
std::vector<Polyline> strokes_of(
    std::string_view text, Point middle, double height_mm, double turn_deg, bool mirrored);

double text_width(std::string_view text, double height_mm);

}  // namespace etchback::photographer
