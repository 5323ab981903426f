// Where learning begins when nobody has said anything yet.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/detail/work_picture.h"

namespace etchback::copper::eye::detail {

struct FirstGuess {
    cv::Mat weight;  // CV_32F: pixels that look like the board's surface
    // CV_32F: share of the second class, -1 where there is no guess. Several: which one leads to a
    // better description of the picture is to be tried.
    std::vector<cv::Mat> starts;
    // True: the second class is copper for sure, from its colour; false: it is only the lighter
    // one.
    bool second_is_copper = false;
};

// Share of the board that has the yellow to brown of bare laminate, copper or gold.
double share_without_mask(const WorkPicture& work);

// Whether most of the board is light grey, as tinned copper is.
bool is_tinned(const WorkPicture& work);

// With a solder mask: the most frequent hue is the mask's; what is lighter than its neighbourhood
// is the second class, or what lies on the lighter side of clear edges.
FirstGuess guess_masked(const WorkPicture& work);

// Without: the hue along the board's edge is the laminate's, the most frequent other one copper's.
FirstGuess guess_bare(const WorkPicture& work);

}  // namespace etchback::copper::eye::detail
