// Photographs of both sides onto one board, in mm.
//
// Finds the board, its outline, holes and pads in each photo, matches the two sides (the bottom may
// have been turned about either edge), frees them of lens distortion and perspective, and takes the
// scale from what the person gives: a known length, a pitch of pins, the outline, points.
#pragma once

#include <opencv2/core/mat.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "copper/board_picture.h"
#include "copper/eye/photo.h"
#include "dossier/dossier.h"

namespace etchback::copper::eye {

// A side, straightened onto the common raster.
struct StraightSide {
    cv::Mat bgr;     // CV_8UC3, Raster's size
    cv::Mat inside;  // CV_8U, 255 where the photo covers the raster and the board is
    PhotoFit fit;
};

struct StraightBoard {
    Raster raster;
    std::optional<StraightSide> top;
    std::optional<StraightSide> bottom;
    std::vector<Hole> holes;  // plated is left at 0.5
    std::optional<Polygon> outline;
    Registration registration;
    std::vector<Remark> remarks;
};

// `top` or `bottom` may be missing, not both. Errors: two photos that cannot be of one board, the
// same side twice, no board to be found.
base::Result<StraightBoard> straighten(const std::optional<Photo>& top,
                                       const std::optional<Photo>& bottom,
                                       const dossier::Dossier& dossier);

// From a pixel of the upright photo to board mm, and back.
Point board_point(const PhotoFit& fit, cv::Size photo, cv::Point2d pixel);
cv::Point2d photo_pixel(const PhotoFit& fit, cv::Size photo, Point board);

}  // namespace etchback::copper::eye
