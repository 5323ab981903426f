// Copper, laminate and what covers them, on one side.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/detail/covers.h"
#include "copper/eye/detail/first_guess.h"
#include "copper/eye/detail/work_picture.h"

namespace etchback::copper::eye::detail {

struct SideClasses {
    cv::Mat copper;  // CV_32F, probability at each work pixel
    Covers covers;
    double separation = 0.0;  // of copper and laminate, in standard deviations
};

SideClasses classify_side(const WorkPicture& work,
                          const std::vector<RasterStroke>& strokes,
                          bool masked);

}  // namespace etchback::copper::eye::detail
