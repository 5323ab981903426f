// A cloud's density at four pixels at once.
#pragma once

#include <opencv2/core/hal/intrin.hpp>

#include "copper/eye/detail/two_classes.h"

namespace etchback::copper::eye::detail {

class CloudOfFour {
public:
    explicit CloudOfFour(const Cloud& cloud) : scale_(cv::v_setall_f32(cloud.log_scale)) {
        for (int i = 0; i < 3; ++i) {
            mean_[i] = cv::v_setall_f32(cloud.mean[i]);
            for (int k = 0; k < 3; ++k) {
                inverse_[i][k] = cv::v_setall_f32(cloud.inverse(i, k));
            }
        }
    }

    // Cloud::log_density of each.
    cv::v_float32x4 log_density(const cv::v_float32x4 (&v)[3]) const {
        const cv::v_float32x4 a = v[0] - mean_[0];
        const cv::v_float32x4 b = v[1] - mean_[1];
        const cv::v_float32x4 c = v[2] - mean_[2];
        const auto row = [&](int i) {
            return inverse_[i][0] * a + inverse_[i][1] * b + inverse_[i][2] * c;
        };
        return scale_ - cv::v_setall_f32(0.5F) * (a * row(0) + b * row(1) + c * row(2));
    }

private:
    cv::v_float32x4 scale_;
    cv::v_float32x4 mean_[3];
    cv::v_float32x4 inverse_[3][3];
};

}  // namespace etchback::copper::eye::detail
