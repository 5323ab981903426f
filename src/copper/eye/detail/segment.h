// Board against background, on a small picture.
#pragma once

#include <opencv2/core.hpp>

namespace etchback::copper::eye::detail {

struct Segments {
    cv::Mat board;       // CV_8U, 255: the board with what stands on it, holes filled
    cv::Mat background;  // CV_8U, 255: looks like the background, also within the board's outline
};

// Background is what lies along the rim of the photo and what looks like it (a mixture of colours),
// cut from the rest where colours change (GrabCut, Rother et al., ACM Trans. Graphics 23 (2004)
// 309-314). `bgr` has at most a few hundred pixels a side. With `shadows`, what has the
// background's hue but less light counts as background, too: right for a coloured board on paper,
// wrong for a black one.
Segments segment(const cv::Mat& bgr, bool shadows);

}  // namespace etchback::copper::eye::detail
