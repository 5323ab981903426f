#include "copper/eye/detail/lens.h"

#include <array>
#include <cmath>

#include "copper/eye/registration.h"

namespace etchback::copper::eye {
namespace detail {

cv::Point2d Lens::undistort(cv::Point2d px) const {
    const cv::Point2d d = (px - middle_) * (1.0 / half_);
    const double rd = cv::norm(d);
    if (rd < 1e-9) {
        return px;
    }
    double r = rd;  // Newton on r (1 + k1 r^2 + k2 r^4) = rd
    for (int i = 0; i < 6; ++i) {
        const double r2 = r * r;
        const double slope = 1.0 + 3.0 * k1_ * r2 + 5.0 * k2_ * r2 * r2;
        r -= (r * (1.0 + k1_ * r2 + k2_ * r2 * r2) - rd) / std::max(slope, 0.1);
    }
    return middle_ + d * (half_ * r / rd);
}

cv::Matx33d homography_of(const std::array<cv::Point2d, 4>& from,
                          const std::array<cv::Point2d, 4>& to) {
    cv::Matx<double, 8, 8> a = cv::Matx<double, 8, 8>::zeros();
    cv::Matx<double, 8, 1> b;
    for (int i = 0; i < 4; ++i) {
        const cv::Point2d p = from[i];
        const cv::Point2d q = to[i];
        const double x_row[8] = {p.x, p.y, 1, 0, 0, 0, -q.x * p.x, -q.x * p.y};
        const double y_row[8] = {0, 0, 0, p.x, p.y, 1, -q.y * p.x, -q.y * p.y};
        for (int k = 0; k < 8; ++k) {
            a(2 * i, k) = x_row[k];
            a(2 * i + 1, k) = y_row[k];
        }
        b(2 * i) = q.x;
        b(2 * i + 1) = q.y;
    }
    cv::Matx<double, 8, 1> h;
    cv::solve(a, b, h, cv::DECOMP_LU);
    return {h(0), h(1), h(2), h(3), h(4), h(5), h(6), h(7), 1.0};
}

}  // namespace detail

Point board_point(const PhotoFit& fit, cv::Size photo, cv::Point2d pixel) {
    const detail::Lens lens(photo, fit.k1, fit.k2);
    const cv::Point2d p = detail::through(cv::Matx33d(fit.to_board), lens.undistort(pixel));
    return {p.x, p.y};
}

cv::Point2d photo_pixel(const PhotoFit& fit, cv::Size photo, Point board) {
    const detail::Lens lens(photo, fit.k1, fit.k2);
    return lens.distort(detail::through(cv::Matx33d(fit.to_board).inv(), {board.x_mm, board.y_mm}));
}

}  // namespace etchback::copper::eye
