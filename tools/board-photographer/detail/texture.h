// Noise with a grain size, and what boards are laid on.
#pragma once

#include <opencv2/core/mat.hpp>

#include "board-photographer/nuisance.h"
#include "board-photographer/random.h"

namespace etchback::photographer {

// CV_32F, mean 0, standard deviation about 1, with lumps of about `grain_px`.
cv::Mat smooth_noise(cv::Size size, double grain_px, Random& random);
cv::Mat smooth_noise(cv::Size size, double grain_x_px, double grain_y_px, Random& random);

// CV_32FC3 in linear light. `mm_px`: pixels of one mm.
cv::Mat backdrop(cv::Size size, Background kind, double mm_px, Random& random);

}  // namespace etchback::photographer
