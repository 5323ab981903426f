// What is usually printed on a board: the names of its parts and their outlines.
#pragma once

#include "board-photographer/layout.h"

namespace etchback::photographer {

void add_legends(Layout& layout, double height_mm);

}  // namespace etchback::photographer
