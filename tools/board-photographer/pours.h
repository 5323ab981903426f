// The areas of copper that a layout program would fill: pours less what they must keep away from.
#pragma once

#include <string>
#include <vector>

#include "board-photographer/layout.h"
#include "copper/plane.h"

namespace etchback::photographer {

struct PouredCopper {
    std::string net;
    Side side = Side::bottom;
    std::vector<copper::Polygon> pieces;
};

// Every pour as polygons in mm. The same for every raster that they are drawn into later.
std::vector<PouredCopper> pour_all(const Layout& layout);

}  // namespace etchback::photographer
