// Frames round blocks of a finished drawing.
#pragma once

#include <vector>

#include "drawing/sheet.h"

namespace etchback::drawing::detail {

// A frame for each heap of two parts or more of each block, with the block's name. Frames keep off
// each other, off parts and texts that are not theirs, and their lines run through no text, sign or
// symbol and along no wire. What cannot be framed so, or whose name finds no room, is left out.
std::vector<BlockFrame> frames_of(const Drawing& drawing, const std::vector<Frame>& asked);

}  // namespace etchback::drawing::detail
