// Puts parts on a board at random, none in another's way.
#pragma once

#include "board-photographer/layout.h"
#include "board-photographer/random.h"

namespace etchback::photographer {

// Gives each part a place; the board's outline becomes a rectangle as large as that needs.
// `spacious`: board area over the area of the parts.
void place_parts(Layout& layout, Random& random, double spacious);

}  // namespace etchback::photographer
