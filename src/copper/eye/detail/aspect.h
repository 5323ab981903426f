// How wide a rectangle is to its height, from one perspective view of it.
#pragma once

#include <array>
#include <opencv2/core.hpp>

namespace etchback::copper::eye::detail {

// `corners`: of the rectangle in the photo (lens distortion removed), in order around it; the ratio
// is that of the side from 0 to 1 to the side from 1 to 2. The middle of the photo is taken for the
// axis of the lens. Where perspective is too weak to tell the focal length, that of a usual
// telephone's camera is taken (common practice: about 0.7 of the picture's diagonal); the weaker
// the perspective, the less that matters. Method: Zhang and He, "Whiteboard scanning and image
// enhancement", Microsoft Research MSR-TR-2003-39, section 3.
double aspect_of(const std::array<cv::Point2d, 4>& corners, cv::Size photo);

}  // namespace etchback::copper::eye::detail
