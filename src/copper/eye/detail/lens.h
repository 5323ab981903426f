// From pixels of a photo to the board and back.
//
// Photo coordinates are continuous, in pixels from the upper left corner: the centre of the first
// pixel is (0.5, 0.5). Lens distortion is radial about the middle of the photo (Brown's model, two
// terms): with u the undistorted offset from the middle in units of half the diagonal, the camera
// sees it at u * (1 + k1 |u|^2 + k2 |u|^4).
#pragma once

#include <array>
#include <opencv2/core.hpp>

#include "copper/board_picture.h"

namespace etchback::copper::eye::detail {

class Lens {
public:
    Lens() = default;
    Lens(cv::Size photo, double k1, double k2)
        : middle_(photo.width / 2.0, photo.height / 2.0),
          half_(cv::norm(middle_)),
          k1_(k1),
          k2_(k2) {}

    // Where the camera sees the undistorted point, in pixels. Beyond the radius at which the model
    // would turn back (only for strong barrel distortion, outside the photo) it goes on straight.
    cv::Point2d distort(cv::Point2d undistorted_px) const {  // here: asked for each pixel
        const cv::Point2d u = (undistorted_px - middle_) * (1.0 / half_);
        const double r2 = u.ddot(u);
        const double slope = 1.0 + 3.0 * k1_ * r2 + 5.0 * k2_ * r2 * r2;
        const double factor = slope > 0.1 || r2 < 0.25 ? 1.0 + k1_ * r2 + k2_ * r2 * r2 : 1.0;
        return middle_ + u * (factor * half_);
    }
    cv::Point2d undistort(cv::Point2d px) const;
    double half_diagonal() const { return half_; }

private:
    cv::Point2d middle_;
    double half_ = 1.0;
    double k1_ = 0.0;
    double k2_ = 0.0;
};

inline cv::Point2d through(const cv::Matx33d& h, cv::Point2d p) {
    const double w = h(2, 0) * p.x + h(2, 1) * p.y + h(2, 2);
    return {(h(0, 0) * p.x + h(0, 1) * p.y + h(0, 2)) / w,
            (h(1, 0) * p.x + h(1, 1) * p.y + h(1, 2)) / w};
}

// Of four points each, in the same order.
cv::Matx33d homography_of(const std::array<cv::Point2d, 4>& from,
                          const std::array<cv::Point2d, 4>& to);

}  // namespace etchback::copper::eye::detail
