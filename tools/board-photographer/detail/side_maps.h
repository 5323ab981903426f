// One side of a board as rasters: what is where, and how high.
#pragma once

#include <opencv2/core/mat.hpp>

#include "board-photographer/layout.h"
#include "board-photographer/nuisance.h"

namespace etchback::photographer {

// All rasters are CV_8U coverage (0..255) but `height`, CV_32F in mm.
struct SideMaps {
    copper::Raster raster;
    cv::Mat board;  // less every hole that is open
    cv::Mat copper;
    cv::Mat open;  // no mask here
    cv::Mat solder;
    cv::Mat legend;
    cv::Mat opposite;  // copper of the other side, as blurred as the laminate shows it
    cv::Mat flux;      // stains
    cv::Mat dust;      // specks and fibres
    cv::Mat scratch;
    cv::Mat height;
};

SideMaps maps_of(const Layout& layout, Side side, double px_per_mm, const Nuisance& nuisance);

}  // namespace etchback::photographer
