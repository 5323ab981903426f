#include "board-photographer/camera.h"

#include <cmath>
#include <numbers>

namespace etchback::photographer {
namespace {

cv::Matx33d about_axis(double x, double y, double z, double angle) {
    const double c = std::cos(angle);
    const double s = std::sin(angle);
    const double u = 1.0 - c;
    return {c + x * x * u,
            x * y * u - z * s,
            x * z * u + y * s,
            y * x * u + z * s,
            c + y * y * u,
            y * z * u - x * s,
            z * x * u - y * s,
            z * y * u + x * s,
            c + z * z * u};
}

double radians(double degrees) {
    return degrees * std::numbers::pi / 180.0;
}

}  // namespace

Camera::Camera(const View& view) : view_(view) {
    const double towards = radians(view.tilt_towards_deg);
    // The camera's axes before tilting: x to the right, y down, z into the scene (against the
    // scene's z, which points at the camera).
    const cv::Matx33d down = {1, 0, 0, 0, 1, 0, 0, 0, -1};
    const cv::Matx33d turn = about_axis(0, 0, 1, radians(view.turn_deg));
    const cv::Matx33d tilt =
        about_axis(std::cos(towards), std::sin(towards), 0, radians(view.tilt_deg));
    turn_ = down * tilt * turn;
    // Back along the optical axis from the middle of the board.
    const cv::Vec3d axis = turn_.t() * cv::Vec3d(0, 0, 1);
    eye_ = axis * -view.distance_mm;
    focal_px_ = view.px_per_mm * view.distance_mm;
    middle_ = {(view.size.width - 1) / 2.0 + view.aim_off_px.x,
               (view.size.height - 1) / 2.0 + view.aim_off_px.y};
    half_diagonal_ = std::hypot(view.size.width, view.size.height) / 2.0;
}

cv::Vec3d Camera::scene(Point board, double height_mm) const {
    double x = board.x_mm - view_.centre.x_mm;
    double y = board.y_mm - view_.centre.y_mm;
    if (mirrored()) {
        (view_.turned == Turned::about_vertical ? x : y) *= -1.0;
    }
    return {x, y, height_mm};
}

Point Camera::board_of_scene(double x, double y) const {
    if (mirrored()) {
        (view_.turned == Turned::about_vertical ? x : y) *= -1.0;
    }
    return {x + view_.centre.x_mm, y + view_.centre.y_mm};
}

cv::Point2d Camera::pixel(Point board, double height_mm) const {
    const cv::Vec3d at = turn_ * (scene(board, height_mm) - eye_);
    const cv::Point2d middle{(view_.size.width - 1) / 2.0, (view_.size.height - 1) / 2.0};
    const cv::Point2d straight = middle_ + cv::Point2d(at[0], at[1]) * (focal_px_ / at[2]);
    const cv::Point2d off = straight - middle;
    const double r2 = off.dot(off) / (half_diagonal_ * half_diagonal_);
    return middle + off * (1.0 + view_.k1 * r2 + view_.k2 * r2 * r2);
}

Point Camera::board(cv::Point2d pixel) const {
    const cv::Point2d middle{(view_.size.width - 1) / 2.0, (view_.size.height - 1) / 2.0};
    const cv::Point2d off = (pixel - middle) * (1.0 / half_diagonal_);
    const double bent = std::sqrt(off.dot(off));
    double r = bent;
    for (int i = 0; i < 8; ++i) {  // Newton
        const double r2 = r * r;
        const double value = r * (1.0 + view_.k1 * r2 + view_.k2 * r2 * r2) - bent;
        r -= value / (1.0 + 3.0 * view_.k1 * r2 + 5.0 * view_.k2 * r2 * r2);
    }
    const double factor = bent > 1e-12 ? r / bent : 1.0;
    const cv::Point2d straight = middle + off * (factor * half_diagonal_) - middle_;
    const cv::Vec3d ray =
        turn_.t() * cv::Vec3d(straight.x / focal_px_, straight.y / focal_px_, 1.0);
    const double t = -eye_[2] / ray[2];
    return board_of_scene(eye_[0] + t * ray[0], eye_[1] + t * ray[1]);
}

}  // namespace etchback::photographer
