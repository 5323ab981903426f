// Takes a photograph of one side of a board.
//
// Light is computed, not painted: each point of the board has a colour, a gloss and a slope, lamps
// shine on it, parts cast shadows and hide what lies behind them, and the lens and the sensor do
// what they do. The same layout and nuisance give the same bytes.
#pragma once

#include <cstdint>
#include <opencv2/core/mat.hpp>
#include <vector>

#include "board-photographer/camera.h"
#include "board-photographer/layout.h"
#include "board-photographer/nuisance.h"

namespace etchback::photographer {

struct Shot {
    std::vector<std::uint8_t> jpeg;  // the file
    cv::Mat bgr;                     // what a reader of the file gets
    Camera camera;                   // where each point of the board really is
    // 255 where a part or a wire covers what lies behind it, in the photo.
    cv::Mat covered;
};

Shot photograph(const Layout& layout, Side side, const Nuisance& nuisance);

// The view that `photograph` uses.
View view_of(const Layout& layout, Side side, const Nuisance& nuisance);

// For each pixel of a board raster, 255 where a part covers it in this photo or it lies outside.
cv::Mat hidden_on(const Shot& shot, const copper::Raster& raster);

}  // namespace etchback::photographer
