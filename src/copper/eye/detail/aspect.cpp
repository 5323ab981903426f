#include "copper/eye/detail/aspect.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace etchback::copper::eye::detail {
namespace {

constexpr double usual_focal = 0.7;   // of the photo's diagonal
constexpr double focal_spread = 0.3;  // of its logarithm
constexpr double noise = 0.004;       // of the conditions below, from how well sides are seen

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

struct Told {
    double misfit = std::numeric_limits<double>::max();
    double log_ratio = 0.0;  // of the step down to the step right
};

// With one focal length for all: how ill it fits, and what ratio it gives.
Told with_focal(const std::vector<Steps>& views, double focal) {
    double sum = 0.0;
    std::vector<double> ratios;
    Told told;
    const double unusual = std::log(focal / usual_focal) / focal_spread;
    told.misfit = unusual * unusual;
    for (const Steps& v : views) {
        const double right = std::sqrt(dot(v.right, v.right, focal));
        const double down = std::sqrt(dot(v.down, v.down, focal));
        const double skew = dot(v.right, v.down, focal) / (right * down) / noise;
        told.misfit += skew * skew;
        ratios.push_back(std::log(down / right));
        sum += ratios.back();
    }
    told.log_ratio = sum / static_cast<double>(ratios.size());
    for (const double ratio : ratios) {
        const double apart = (ratio - told.log_ratio) / noise;
        told.misfit += apart * apart;
    }
    return told;
}

Told best_of(const std::vector<Steps>& views) {
    Told best;
    for (double log_focal = std::log(0.4); log_focal < std::log(3.0); log_focal += 0.01) {
        const Told told = with_focal(views, std::exp(log_focal));
        if (told.misfit < best.misfit) {
            best = told;
        }
    }
    return best;
}

}  // namespace

double height_factor(const std::vector<FlatView>& views, double width, double height) {
    std::vector<Steps> steps;
    bool one_size = true;
    for (const FlatView& view : views) {
        steps.push_back(steps_of(view, width, height));
        one_size = one_size && std::max(view.photo.width, view.photo.height) ==
                                   std::max(views[0].photo.width, views[0].photo.height);
    }
    double log_ratio = 0.0;  // of height to width, as seen
    if (one_size) {
        log_ratio = best_of(steps).log_ratio;
    } else {
        for (const Steps& step : steps) {
            log_ratio += best_of({step}).log_ratio / static_cast<double>(steps.size());
        }
    }
    return std::exp(log_ratio) * width / height;
}

}  // namespace etchback::copper::eye::detail
