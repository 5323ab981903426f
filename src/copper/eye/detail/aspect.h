// How wide a rectangle is to its height, from perspective views of it.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

namespace etchback::copper::eye::detail {

// A view of the board: pixels freed of lens distortion to the board, whatever its units are.
struct FlatView {
    cv::Matx33d to_board;
    cv::Size photo;
};

// The factor by which heights on the board are to be multiplied, widths being right, so that all
// views are those of a camera: axis of the lens in the middle of the photo, square pixels. Where
// perspective is too weak to tell the focal length, that of a usual camera holds (common practice:
// telephones 0.6 to 0.7 of the picture's diagonal, more where they magnify); the weaker the
// perspective, the less that matters. Conditions: Zhang, IEEE Trans. PAMI 22 (2000) 1330-1334,
// equations 3 and 4.
double height_factor(const std::vector<FlatView>& views, double width, double height);

}  // namespace etchback::copper::eye::detail
