// What lies on the board's surface: solder, print, parts.
#pragma once

#include <opencv2/core.hpp>

#include "copper/eye/detail/two_classes.h"
#include "copper/eye/detail/work_picture.h"

namespace etchback::copper::eye::detail {

struct Covers {
    cv::Mat metal;    // CV_8U, 255: bare metal without mask: solder, tin, gold
    cv::Mat legend;   // thin and of another colour than the board
    cv::Mat body;     // parts and their hard shadows
    cv::Mat board;    // the surface itself can be seen
    cv::Mat shining;  // strange and lighter than the board: print, metal and their blurred edges
};

// `even`, `strange`: see under_even_light and tell_apart. `classes`: of the board's own surface.
Covers find_covers(const WorkPicture& work,
                   const TwoClasses& classes,
                   const cv::Mat& even,
                   const cv::Mat& strange);

}  // namespace etchback::copper::eye::detail
