// Copper that shines through the laminate: where a side's own surface is hidden, the other face may
// still show what lies there, softly, as a board held against the light does.
#pragma once

#include <opencv2/core.hpp>

#include "copper/eye/detail/work_picture.h"

namespace etchback::copper::eye::detail {

// A face as copper is looked for through it, of half the work picture's size, because what shines
// through is soft. No stroke changes it.
struct GlowFace {
    cv::Mat colour;  // CV_32FC3, see WorkPicture
    cv::Mat fine;    // the same, averaged a little
    double px_per_mm = 0.0;
    int inside = 0;  // work pixels of the board
};

GlowFace glow_face(const WorkPicture& work);

// CV_32F, of half the work picture's size: log odds that the side has copper there, as the other
// face tells; 0 where it tells nothing. Learned where the side itself is seen: `seen` (CV_8U) marks
// its board and `copper` (CV_32F) what was read there. `clear` (CV_8U): where the other face shows
// bare board without copper of its own. Empty: nothing shines through.
cv::Mat glow_of(const GlowFace& other,
                const cv::Mat& clear,
                const cv::Mat& copper,
                const cv::Mat& seen);

}  // namespace etchback::copper::eye::detail
