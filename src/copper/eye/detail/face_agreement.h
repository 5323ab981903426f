// Do two faces of a board agree as they lie?
//
// Whatever is seen on both sides tells which way round the other lies: copper that glows through,
// joints where the other side has leads and holes, the tracks of one side between the pads of the
// other, screws. Nobody need know which of these it is.
#pragma once

#include "copper/eye/detail/side_view.h"

namespace etchback::copper::eye::detail {

struct Face {
    cv::Size size;
    std::vector<cv::Mat> spectra;  // of its features
};

// `aspect`: width to height of the board as seen from the top; the same for both faces.
Face face_of(const SideView& view, int quarter, double aspect);

// Each face by its four corners as one picture of fixed size, its fine structure in light and
// colour kept and everything strong cut, so that parts do not outweigh all else. Their correlation,
// its spectrum half evened out, has a peak where they fit. Returned is how far that peak, for a
// shift of next to nothing, stands out over what other shifts give: all pairs of features together,
// in standard deviations beyond three. By chance 0 to 3; boards that fit give 5 to 40 (measured on
// invented boards, tests/tracing).
double agreement(const Face& a, const Face& b);

// Of a piece of a straightened picture.
Face face_of_flat(const cv::Mat& bgr);

// Where they agree best: what `b` shows at a place, `a` shows at that place plus `shift`, pixels.
struct FaceShift {
    cv::Point2d shift;
    double strength = 0.0;  // 0: nowhere within reach; sure from 8 on
};
FaceShift shift_between(const Face& a, const Face& b, int reach);

}  // namespace etchback::copper::eye::detail
