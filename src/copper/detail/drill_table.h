// Drilled holes from a table of comma-separated values: x_mm, y_mm, diameter_mm and, if known,
// plated (1 or 0, yes or no).
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/error.h"
#include "copper/board_picture.h"

namespace etchback::copper::detail {

// Without a word on plating, a hole of a board with two sides is taken for plated: it nearly always
// is. One that has copper on one side only joins nothing, whatever is believed of it.
base::Result<std::vector<Hole>> read_holes(std::string_view text, const std::string& file);

}  // namespace etchback::copper::detail
