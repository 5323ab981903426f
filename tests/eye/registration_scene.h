// A plain invented board with holes, photographed by a plain camera: enough to know exactly where
// each pixel should land. (tests/tracing has the cruel photographer.)
#pragma once

#include <cmath>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace etchback::copper::eye {

struct SceneHole {
    cv::Point2d at;
    double diameter = 0.8;
    double pad = 1.6;  // 0: none
};

struct Scene {
    double width = 60.0;
    double height = 40.0;
    std::vector<SceneHole> holes;
    std::vector<cv::Point2d> notch;  // a rectangle cut from the board, as corners; empty: none
    cv::Scalar mask{60, 110, 30};
    cv::Scalar ground{225, 228, 230};
    double texture = 4.0;  // of the ground, levels
    std::uint64_t seed = 1;
};

// Where the camera stands.
struct Camera {
    cv::Size size{1600, 1200};
    double turn_deg = 0.0;  // of the board in the picture, clockwise on the screen
    double tilt_x_deg = 0.0;
    double tilt_y_deg = 0.0;
    double fill = 0.75;  // of the picture's width or height by the board
    double k1 = 0.0;
    double k2 = 0.0;
    bool below = false;        // looks at the bottom
    bool about_short = false;  // the board was turned over about its shorter edge
};

class Shot {
public:
    Shot(const Scene& scene, const Camera& camera) : scene_(scene), camera_(camera) {
        const double diagonal = std::hypot(camera.size.width, camera.size.height);
        focal_ = 0.75 * diagonal;
        const double turn = camera.turn_deg * CV_PI / 180.0;
        const double w =
            std::abs(std::cos(turn)) * scene.width + std::abs(std::sin(turn)) * scene.height;
        const double h =
            std::abs(std::sin(turn)) * scene.width + std::abs(std::cos(turn)) * scene.height;
        const double px_per_mm =
            camera.fill * std::min(camera.size.width / w, camera.size.height / h);
        distance_ = focal_ / px_per_mm;
        const double ax = camera.tilt_x_deg * CV_PI / 180.0;
        const double ay = camera.tilt_y_deg * CV_PI / 180.0;
        const cv::Matx33d z(
            std::cos(turn), -std::sin(turn), 0, std::sin(turn), std::cos(turn), 0, 0, 0, 1);
        const cv::Matx33d x(1, 0, 0, 0, std::cos(ax), -std::sin(ax), 0, std::sin(ax), std::cos(ax));
        const cv::Matx33d y(std::cos(ay), 0, std::sin(ay), 0, 1, 0, -std::sin(ay), 0, std::cos(ay));
        pose_ = x * y * z;
    }

    // Photo pixel (continuous, from the upper left corner) of a place on the board.
    cv::Point2d pixel(cv::Point2d mm) const {
        double x = mm.x - 0.5 * scene_.width;
        double y = mm.y - 0.5 * scene_.height;
        if (camera_.below) {
            const bool flip_x = camera_.about_short == (scene_.width > scene_.height);
            (flip_x ? x : y) *= -1.0;
        }
        const cv::Vec3d p = pose_ * cv::Vec3d(x, y, 0.0) + cv::Vec3d(0, 0, distance_);
        const double half = 0.5 * std::hypot(camera_.size.width, camera_.size.height);
        const cv::Point2d u(focal_ * p[0] / p[2] / half, focal_ * p[1] / p[2] / half);
        const double r2 = u.dot(u);
        return cv::Point2d(0.5 * camera_.size.width, 0.5 * camera_.size.height) +
               u * ((1.0 + camera_.k1 * r2 + camera_.k2 * r2 * r2) * half);
    }

    // The photograph: the painted board carried to the picture along a fine grid.
    cv::Mat photo() const {
        constexpr double scale = 24.0;
        const cv::Mat flat = paint(scale);
        cv::RNG draws(scene_.seed * 77 + (camera_.below ? 1 : 0));
        cv::Mat picture(camera_.size, CV_8UC3, scene_.ground);
        cv::Mat grain(camera_.size, CV_8UC3);
        draws.fill(
            grain, cv::RNG::NORMAL, cv::Scalar::all(40), cv::Scalar::all(scene_.texture * 3));
        cv::GaussianBlur(grain, grain, {0, 0}, 2.0);
        picture += grain - cv::Scalar::all(40);
        const cv::Mat map = board_map(scale);
        cv::Mat board(camera_.size, CV_8UC3);
        cv::remap(flat, board, map, {}, cv::INTER_AREA, cv::BORDER_CONSTANT);
        cv::Mat there(flat.size(), CV_8U, cv::Scalar(255));
        if (!scene_.notch.empty()) {
            there(cv::Rect(scene_.notch[0] * scale, scene_.notch[1] * scale) &
                  cv::Rect({0, 0}, there.size())) = 0;
        }
        cv::Mat inside(camera_.size, CV_8U);
        cv::remap(there, inside, map, {}, cv::INTER_NEAREST, cv::BORDER_CONSTANT, 0);
        board.copyTo(picture, inside);
        cv::GaussianBlur(picture, picture, {0, 0}, 0.8);
        cv::Mat noise(camera_.size, CV_16SC3);
        draws.fill(noise, cv::RNG::NORMAL, 0.0, 2.5);
        cv::add(picture, noise, picture, cv::noArray(), CV_8U);
        return picture;
    }

private:
    cv::Mat paint(double scale) const {
        cv::Mat flat(
            cvRound(scene_.height * scale), cvRound(scene_.width * scale), CV_8UC3, scene_.mask);
        cv::RNG draws(scene_.seed * 13 + (camera_.below ? 5 : 0));
        for (int i = 0; i < 40; ++i) {
            const cv::Point a(draws.uniform(40, flat.cols - 40), draws.uniform(40, flat.rows - 40));
            cv::Point b = a;
            (i % 2 == 0 ? b.x : b.y) += draws.uniform(-300, 300);
            cv::line(flat, a, b, scene_.mask * 1.35, cvRound(scale * 0.6), cv::LINE_AA);
        }
        for (const SceneHole& hole : scene_.holes) {
            const auto disc = [&](double diameter, const cv::Scalar& colour) {
                cv::circle(
                    flat,
                    cv::Point(cvRound(hole.at.x * scale * 16), cvRound(hole.at.y * scale * 16)),
                    cvRound(0.5 * diameter * scale * 16),
                    colour,
                    cv::FILLED,
                    cv::LINE_AA,
                    4);
            };
            if (hole.pad > 0.0) {
                disc(hole.pad, {150, 175, 185});
            }
            disc(hole.diameter, {28, 26, 25});
        }
        return flat;
    }

    // For each pixel of the photo its place in the painted board: `pixel` inverted at every eighth
    // pixel, and between them on straight lines.
    cv::Mat board_map(double scale) const {
        constexpr int step = 8;
        cv::Mat map(camera_.size, CV_32FC2);
        const int columns = map.cols / step + 2;
        const int rows = map.rows / step + 2;
        cv::Mat coarse(rows, columns, CV_64FC2);
        for (int r = 0; r < rows; ++r) {
            for (int c = 0; c < columns; ++c) {
                const cv::Point2d mm = place({c * step + 0.5, r * step + 0.5});
                coarse.at<cv::Vec2d>(r, c) = {mm.x * scale - 0.5, mm.y * scale - 0.5};
            }
        }
        for (int y = 0; y < map.rows; ++y) {
            for (int x = 0; x < map.cols; ++x) {
                const double fx = static_cast<double>(x % step) / step;
                const double fy = static_cast<double>(y % step) / step;
                const auto at = [&](int dr, int dc) {
                    return coarse.at<cv::Vec2d>(y / step + dr, x / step + dc);
                };
                map.at<cv::Vec2f>(y, x) = (at(0, 0) * (1 - fx) + at(0, 1) * fx) * (1 - fy) +
                                          (at(1, 0) * (1 - fx) + at(1, 1) * fx) * fy;
            }
        }
        return map;
    }

    cv::Point2d place(cv::Point2d want) const {
        cv::Point2d mm(0.5 * scene_.width, 0.5 * scene_.height);
        for (int round = 0; round < 30; ++round) {
            const cv::Point2d at = pixel(mm);
            const cv::Point2d dx = (pixel(mm + cv::Point2d(0.01, 0)) - at) * 100.0;
            const cv::Point2d dy = (pixel(mm + cv::Point2d(0, 0.01)) - at) * 100.0;
            const double det = dx.cross(dy);
            const cv::Point2d miss = want - at;
            if (cv::norm(miss) < 1e-3) {
                break;
            }
            const double pace = round < 8 ? 0.6 : 1.0;
            mm += pace * cv::Point2d(miss.cross(dy) / det, dx.cross(miss) / det);
        }
        return mm;
    }

    Scene scene_;
    Camera camera_;
    double focal_ = 0.0;
    double distance_ = 0.0;
    cv::Matx33d pose_;
};

inline Scene scene_of(std::uint64_t seed, int holes) {
    Scene scene;
    scene.seed = seed;
    cv::RNG draws(seed);
    scene.width = draws.uniform(30.0, 90.0);
    scene.height = draws.uniform(25.0, 60.0);
    while (static_cast<int>(scene.holes.size()) < holes) {
        const cv::Point2d at(draws.uniform(3.0, scene.width - 3.0),
                             draws.uniform(3.0, scene.height - 3.0));
        bool free = true;
        for (const SceneHole& other : scene.holes) {
            free = free && cv::norm(other.at - at) > 2.6;
        }
        if (free) {
            const double diameter = draws.uniform(0.5, 1.2);
            scene.holes.push_back({at, diameter, draws.uniform(0, 4) == 0 ? 0.0 : diameter + 0.8});
        }
    }
    return scene;
}

}  // namespace etchback::copper::eye
