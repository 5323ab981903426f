// Boards that do not differ from the ground in colour, but by straight edges: brown laminate on
// wood, black on black.
#pragma once

#include <cstddef>
#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/detail/quadrilateral.h"

namespace etchback::copper::eye::detail {

// Quadrilaterals whose four sides are seen as edges, best first: the board is likely among them,
// but so are shadows and the insides of pours. Nothing smaller than a twentieth of the picture.
std::vector<Quadrilateral> boards_by_edges(const cv::Mat& bgr, std::size_t most);

}  // namespace etchback::copper::eye::detail
