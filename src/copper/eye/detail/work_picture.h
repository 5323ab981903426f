// A straightened side as the classes are learned on it: coarser than the raster, in colours that
// light scales but does not bend.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/surface.h"

namespace etchback::copper::eye::detail {

struct WorkPicture {
    double px_per_mm = 0.0;
    double scale = 1.0;  // work pixels per raster pixel
    // CV_32FC3: logarithm of lightness, of red to green, of blue to green.
    cv::Mat colour;
    cv::Mat inside;  // CV_8U
    cv::Mat holes;   // CV_8U, 255 in drilled holes and slots that are seen
    cv::Mat depth;   // CV_32F, mm to the edge of the board
};

WorkPicture work_picture(const StraightSide& side,
                         const Raster& raster,
                         const std::vector<Hole>& holes);

// Draws a shape given in raster pixels into a picture of the work size.
void draw_stroke(const RasterStroke& stroke, double scale, double value, cv::Mat& picture);

}  // namespace etchback::copper::eye::detail
