// The two classes of a side, learned from its picture and from strokes.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/detail/two_classes.h"
#include "copper/eye/detail/work_picture.h"
#include "copper/eye/surface.h"

namespace etchback::copper::eye::detail {

// How the two classes look.
struct Learned {
    TwoClasses two;
    bool sure = false;  // that the second class is copper
    double coherence = 0.0;
};

// Mean of a picture where a mask is set; `fallback` where it is nowhere.
double mean_in(const cv::Mat& picture, const cv::Mat& mask, double fallback);

// Which share of a mask is set (both CV_8U, 0 or 255); `fallback` where the mask is nearly empty.
double share_in(const cv::Mat& set, const cv::Mat& mask, double fallback);

// 1 copper, 0 laminate, -1 unknown, at each work pixel that shows what a stroke names. `no copper`
// may lie on stains, shadows and bodies, and copper is followed below bodies: neither tells
// colours.
cv::Mat said(const WorkPicture& work, const std::vector<RasterStroke>& strokes);

// Tries every start and keeps what describes the picture best, or what was said about it. `weight`,
// `starts`, `fixed`: see learn_two.
Learned learn(const WorkPicture& work,
              const cv::Mat& weight,
              const std::vector<cv::Mat>& starts,
              const cv::Mat& fixed);

// The second class's share at each pixel of the board's surface, as the picture alone tells
// (CV_32F); -1 where no surface is seen. `seen`: see SideKnown::weight; `odds`: see SideRead.
cv::Mat share_alone(const cv::Mat& seen, const cv::Mat& odds);

// What the picture alone tells.
struct AloneTold {
    const Learned& learned;
    const cv::Mat& weight;  // see SideKnown
    const cv::Mat& share;   // see share_alone
};

// From what the picture alone tells, and from strokes of both kinds. Where the picture alone said
// what the strokes say, nothing is learned anew: strokes must not make worse what was right.
// Strokes on stains, shadows and parts may contradict the others, so that two classes cannot be as
// they all say: then some hold only where they are drawn.
Learned learn_told(const WorkPicture& work,
                   const AloneTold& alone_told,
                   const std::vector<RasterStroke>& strokes,
                   const cv::Mat& fixed);

// Whether a description of both classes says well enough what strokes say (`fixed`, see said).
bool agrees_with(const TwoClasses& two, const WorkPicture& work, const cv::Mat& fixed);

}  // namespace etchback::copper::eye::detail
