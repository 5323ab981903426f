#include "copper/eye/detail/aspect.h"

#include <cmath>

#include "copper/eye/detail/lens.h"

namespace etchback::copper::eye::detail {

double aspect_of(const std::array<cv::Point2d, 4>& corners, cv::Size photo) {
    const cv::Point2d middle(photo.width / 2.0, photo.height / 2.0);
    const double diagonal = std::hypot(photo.width, photo.height);
    std::array<cv::Point2d, 4> seen;
    for (int i = 0; i < 4; ++i) {
        seen[i] = (corners[i] - middle) * (1.0 / diagonal);
    }
    const cv::Matx33d h = homography_of(
        {cv::Point2d(0, 0), cv::Point2d(1, 0), cv::Point2d(1, 1), cv::Point2d(0, 1)}, seen);
    const cv::Vec3d across(h(0, 0), h(1, 0), h(2, 0));
    const cv::Vec3d down(h(0, 1), h(1, 1), h(2, 1));
    double focal2 = 0.7 * 0.7;
    if (std::abs(across[2] * down[2]) > 0.01) {
        const double told = -(across[0] * down[0] + across[1] * down[1]) / (across[2] * down[2]);
        if (told > 0.4 * 0.4 && told < 2.5 * 2.5) {
            focal2 = told;
        }
    }
    const auto length = [focal2](const cv::Vec3d& v) {
        return std::sqrt((v[0] * v[0] + v[1] * v[1]) / focal2 + v[2] * v[2]);
    };
    return length(across) / length(down);
}

}  // namespace etchback::copper::eye::detail
