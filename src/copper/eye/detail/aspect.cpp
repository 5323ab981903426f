#include "copper/eye/detail/aspect.h"

#include <algorithm>
#include <cmath>

namespace etchback::copper::eye::detail {
namespace {

constexpr double usual_focal = 0.7;   // of the photo's diagonal
constexpr double focal_spread = 0.5;  // of its logarithm
constexpr double noise = 0.003;       // of the conditions below, from how well sides are seen

// The images of a step to the right and of a step down, in units of the photo's diagonal.
struct Steps {
    cv::Vec3d right;
    cv::Vec3d down;
};

Steps steps_of(const FlatView& view, double width, double height) {
    const cv::Matx33d to_photo = view.to_board.inv();
    const double diagonal = std::hypot(view.photo.width, view.photo.height);
    const cv::Matx33d centred(1.0 / diagonal,
                              0,
                              -0.5 * view.photo.width / diagonal,
                              0,
                              1.0 / diagonal,
                              -0.5 * view.photo.height / diagonal,
                              0,
                              0,
                              1);
    cv::Matx33d h = centred * to_photo * cv::Matx33d::diag({width, height, 1.0});
    const cv::Vec3d middle = h * cv::Vec3d(0.5, 0.5, 1.0);
    h *= 1.0 / middle[2];
    return {{h(0, 0), h(1, 0), h(2, 0)}, {h(0, 1), h(1, 1), h(2, 1)}};
}

double dot(const cv::Vec3d& a, const cv::Vec3d& b, double focal) {
    return (a[0] * b[0] + a[1] * b[1]) / (focal * focal) + a[2] * b[2];
}

// The ratio of the step down to the step right, with its doubt, over all focal lengths that may be.
struct Told {
    double log_ratio = 0.0;
    double variance = 0.0;
};

Told told_by(const Steps& view) {
    double weights = 0.0;
    double sum = 0.0;
    double squares = 0.0;
    for (double log_focal = std::log(0.4); log_focal < std::log(4.0); log_focal += 0.01) {
        const double focal = std::exp(log_focal);
        const double right = std::sqrt(dot(view.right, view.right, focal));
        const double down = std::sqrt(dot(view.down, view.down, focal));
        const double skew = dot(view.right, view.down, focal) / (right * down) / noise;
        const double unusual = std::log(focal / usual_focal) / focal_spread;
        const double weight = std::exp(-0.5 * (skew * skew + unusual * unusual));
        const double log_ratio = std::log(down / right);
        weights += weight;
        sum += weight * log_ratio;
        squares += weight * log_ratio * log_ratio;
    }
    if (weights < 1e-300) {
        return {std::log(dot(view.down, view.down, usual_focal) /
                         dot(view.right, view.right, usual_focal)) /
                    2.0,
                0.01};
    }
    const double mean = sum / weights;
    return {mean, std::max(0.0, squares / weights - mean * mean) + noise * noise};
}

}  // namespace

double height_factor(const std::vector<FlatView>& views, double width, double height) {
    double weights = 0.0;
    double log_ratio = 0.0;  // of height to width, as seen
    for (const FlatView& view : views) {
        const Told told = told_by(steps_of(view, width, height));
        weights += 1.0 / told.variance;
        log_ratio += told.log_ratio / told.variance;
    }
    log_ratio /= weights;
    return std::exp(log_ratio) * width / height;
}

}  // namespace etchback::copper::eye::detail
