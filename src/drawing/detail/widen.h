// Room for a text in a drawing that stands: what is in its way moves on, to the right or down, and
// pushes on only what it would touch. Parts stay where they were to each other, wires keep their
// bends, nothing changes sides.
//
// Parts that hang on each other by wires across the direction of moving are rigid groups, with
// those wires; wires along it stretch. Each two things that see each other across keep their order
// and a least distance, or the one they have if that is less. The shifts are the least ones that
// satisfy this and the text: longest paths in a graph of differences.
#pragma once

#include <optional>
#include <vector>

#include "drawing/drawing.h"

namespace etchback::drawing::detail {

enum class Axis { x, y };

// A text of a part that is to be written in place of its present ones.
struct PartText {
    int part = -1;
    std::vector<Box> boxes;
};

struct Widened {
    Drawing drawing;
    double moved = 0.0;  // sum of the shifts of all parts
};

// Without the part's own texts, which the caller writes; names of nets must not be in the drawing,
// since they go along with no wire. Nothing if no shift makes room.
std::optional<Widened> widened(const Drawing& drawing, const PartText& text, Axis axis);

}  // namespace etchback::drawing::detail
