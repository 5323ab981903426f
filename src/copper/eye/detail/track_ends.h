// Vias that the mask covers: a track that ends in nothing goes on on the other side.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/islands.h"

namespace etchback::copper::eye::detail {

// How far each pixel of copper is from where there is none, as far as ends of tracks need it:
// further in, only that it is further.
struct CopperDepth {
    cv::Mat copper;  // CV_8U, 255
    cv::Mat pixels;  // CV_32F
};

// `before`: of the same side with other strokes, or nothing; only what changed is measured anew.
CopperDepth copper_depth(const cv::Mat& labels, double px_per_mm, const CopperDepth* before);

// Where a narrow track below the mask ends with nothing around it, and there is copper on the other
// side, the two are likely joined by a hole that cannot be seen; more so where the other side's
// track ends there, too. Labels: CV_32S, -1 without copper.
void join_track_ends(const BoardPicture& picture,
                     const cv::Mat& top,
                     const cv::Mat& bottom,
                     const CopperDepth& in_top,
                     const CopperDepth& in_bottom,
                     std::vector<Joint>& joints);

}  // namespace etchback::copper::eye::detail
