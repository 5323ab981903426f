// Pixels to islands of copper with their joints; see islands.h.
#pragma once

#include <vector>

#include "copper/board_picture.h"
#include "copper/eye/surface.h"
#include "copper/islands.h"

namespace etchback::copper::eye {

// A side that is not trusted gives none, as if there were no picture of it. Polygons lie within
// `simplify_mm` of the pixels' edges and neither join nor cut anything.
Islands find_islands(const BoardPicture& picture,
                     const std::vector<RasterStroke>& top,
                     const std::vector<RasterStroke>& bottom,
                     double simplify_mm = 0.05);

}  // namespace etchback::copper::eye
