// From light on the sensor to the file.
#pragma once

#include <cstdint>
#include <opencv2/core/mat.hpp>
#include <vector>

#include "board-photographer/nuisance.h"

namespace etchback::photographer {

// Blurs, darkens the corners, adds noise and tint, sharpens: CV_32FC3 in linear light to CV_8UC3.
cv::Mat develop(cv::Mat light, const Nuisance& nuisance);

std::vector<std::uint8_t> jpeg_of(const cv::Mat& bgr, int quality);

}  // namespace etchback::photographer
