// Pixels to islands of copper with their joints; see islands.h.
#pragma once

#include <memory>
#include <vector>

#include "copper/board_picture.h"
#include "copper/eye/surface.h"
#include "copper/islands.h"

namespace etchback::copper::eye {

// What was found before, so that a side whose copper is the same again is not divided again.
struct FoundBefore;

// A side that is not trusted gives none, as if there were no picture of it. Polygons lie within
// `simplify_mm` of the pixels' edges and neither join nor cut anything.
Islands find_islands(const BoardPicture& picture,
                     const std::vector<RasterStroke>& top,
                     const std::vector<RasterStroke>& bottom,
                     const Glow& glow = {},
                     double simplify_mm = 0.05);

// The same into `islands`; `before` is used and replaced. Nothing in it: all is found anew.
void find_islands(const BoardPicture& picture,
                  const std::vector<RasterStroke>& top,
                  const std::vector<RasterStroke>& bottom,
                  const Glow& glow,
                  std::shared_ptr<const FoundBefore>& before,
                  Islands& islands,
                  double simplify_mm = 0.05);

}  // namespace etchback::copper::eye
