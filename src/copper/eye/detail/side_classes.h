// Copper, laminate and what covers them, on one side.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/detail/covers.h"
#include "copper/eye/detail/first_guess.h"
#include "copper/eye/detail/learn_side.h"
#include "copper/eye/detail/two_classes.h"
#include "copper/eye/detail/work_picture.h"

namespace etchback::copper::eye::detail {

struct SideClasses {
    cv::Mat copper;  // CV_32F, probability at each work pixel
    Covers covers;
    double separation = 0.0;  // of copper and laminate, in standard deviations
    double coherence = 0.0;   // 1: areas with clear edges, 0: grain
    bool sharp = false;       // the edges between them, or a stroke shows copper
    bool empty = false;       // no copper on this side
};

// What is read from a picture before strokes are drawn in.
struct SideRead {
    SideClasses classes;
    cv::Mat odds;  // CV_32F, log odds of the second class
    bool second_is_copper = false;
};

// What a side tells without a stroke: kept, so that a stroke more costs little.
struct SideKnown {
    bool masked = true;
    Learned alone;
    SideRead read;   // as alone
    cv::Mat weight;  // CV_32F: pixels that look like the board's surface
    cv::Mat share;   // see share_alone
};

SideKnown know_side(const WorkPicture& work, bool masked);

// `without_copper`: what is known of the other side says that there is none here, unless a stroke
// shows some. A bare side without sharp edges has none, either.
SideClasses classify_side(const WorkPicture& work,
                          const SideKnown& known,
                          const std::vector<RasterStroke>& strokes,
                          bool without_copper);

}  // namespace etchback::copper::eye::detail
