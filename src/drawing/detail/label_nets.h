// Names of nets beside a straight piece of their wire, where there is room.
#pragma once

#include "drawing/drawing.h"

namespace etchback::drawing::detail {

// Adds labels for the nets that carry a name given by a person and show it nowhere else. Never
// overlaps anything that is already in the drawing.
void add_net_names(const circuit::Circuit& circuit, Drawing& drawing);

}  // namespace etchback::drawing::detail
