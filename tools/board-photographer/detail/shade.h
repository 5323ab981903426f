// Light on the surface of a board.
#pragma once

#include <opencv2/core/mat.hpp>

#include "board-photographer/camera.h"
#include "board-photographer/detail/lamps.h"
#include "board-photographer/detail/side_maps.h"
#include "board-photographer/layout.h"
#include "board-photographer/nuisance.h"

namespace etchback::photographer {

// CV_32FC4 on the raster of `maps`: light towards the camera (blue, green, red) times the coverage
// of the board, and the coverage.
cv::Mat shade(const Layout& layout,
              Side side,
              const SideMaps& maps,
              const Camera& camera,
              const Lighting& lighting,
              const Nuisance& nuisance);

}  // namespace etchback::photographer
