// The camera: where a point of the board, or above it, falls in the photo.
#pragma once

#include <opencv2/core.hpp>

#include "board-photographer/layout.h"

namespace etchback::photographer {

// How the board was turned over for the photo of its bottom: which edge it was turned about.
enum class Turned { about_vertical, about_horizontal };

struct View {
    Side side = Side::top;
    Turned turned = Turned::about_vertical;  // of a bottom photo
    Point centre;                            // of the board; the camera aims near it
    double distance_mm = 220.0;
    double px_per_mm = 30.0;  // in the middle of the picture
    double tilt_deg = 0.0;    // between the camera's axis and the board's normal
    double tilt_towards_deg = 0.0;
    double turn_deg = 0.0;  // of the board in the picture
    cv::Point2d aim_off_px;
    double k1 = 0.0;  // radial distortion: r' = r (1 + k1 r^2 + k2 r^4), r in half diagonals
    double k2 = 0.0;
    cv::Size size = {4000, 3000};
};

class Camera {
public:
    explicit Camera(const View& view);

    const View& view() const { return view_; }
    // From the board (mm, seen from the top; height above the photographed side) to the photo.
    // Pixels as OpenCV counts them: the middle of the first one is (0, 0).
    cv::Point2d pixel(Point board, double height_mm = 0.0) const;
    // From the photo to the surface of the photographed side.
    Point board(cv::Point2d pixel) const;
    // To the scene: x, y as the side lies before the camera, z towards the camera; and back.
    cv::Vec3d scene(Point board, double height_mm = 0.0) const;
    Point board_of_scene(double x, double y) const;
    cv::Vec3d eye() const { return eye_; }  // the lens, in the scene
    // Whether the side is seen mirrored against the frame of the board.
    bool mirrored() const { return view_.side == Side::bottom; }

private:
    View view_;
    cv::Matx33d turn_;  // scene to camera
    cv::Vec3d eye_;
    double focal_px_ = 1.0;
    cv::Point2d middle_;
    double half_diagonal_ = 1.0;
};

}  // namespace etchback::photographer
