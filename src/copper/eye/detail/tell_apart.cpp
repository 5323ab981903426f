// What each pixel is, where one knows how both classes look.
#include <algorithm>
#include <functional>
#include <opencv2/core/hal/hal.hpp>
#include <opencv2/core/hal/intrin.hpp>

#include "copper/eye/detail/cloud_of_four.h"
#include "copper/eye/detail/each_row.h"
#include "copper/eye/detail/two_classes.h"

namespace etchback::copper::eye::detail {

namespace {

// Between which two cells a pixel lies, and how far it is from the first to the second.
struct Between {
    int first;
    int second;
    float part;
};

Between cells_about(int pixel, int pixels, int cells) {
    const float at = (static_cast<float>(pixel) + 0.5F) * static_cast<float>(cells) /
                         static_cast<float>(pixels) -
                     0.5F;
    const int first = std::clamp(cvFloor(at), 0, cells - 1);
    return {first,
            std::min(first + 1, cells - 1),
            std::clamp(at - static_cast<float>(first), 0.0F, 1.0F)};
}

}  // namespace

cv::Mat under_even_light(const TwoClasses& classes, const cv::Mat& colour, cv::Rect box) {
    const cv::Mat& light = classes.light;
    std::vector<Between> across;
    for (int x = box.x; x < box.br().x; ++x) {
        across.push_back(cells_about(x, colour.cols, light.cols));
    }
    cv::Mat even(box.size(), CV_32FC3);
    for_each_row(box.height, [&](int y) {
        std::vector<cv::Vec3f> row(static_cast<std::size_t>(light.cols));
        const Between down = cells_about(box.y + y, colour.rows, light.rows);
        const auto* above = light.ptr<cv::Vec3f>(down.first);
        const auto* below = light.ptr<cv::Vec3f>(down.second);
        for (std::size_t i = 0; i < row.size(); ++i) {
            row[i] = above[i] + down.part * (below[i] - above[i]);
        }
        const auto* from = colour.ptr<cv::Vec3f>(box.y + y) + box.x;
        auto* to = even.ptr<cv::Vec3f>(y);
        for (std::size_t x = 0; x < across.size(); ++x) {
            const cv::Vec3f& left = row[static_cast<std::size_t>(across[x].first)];
            const cv::Vec3f& right = row[static_cast<std::size_t>(across[x].second)];
            for (int k = 0; k < 3; ++k) {
                to[x][k] = from[x][k] - (left[k] + across[x].part * (right[k] - left[k]));
            }
        }
    });
    return even;
}

cv::Mat under_even_light(const TwoClasses& classes,
                         const cv::Mat& colour,
                         const std::vector<cv::Point>& pixels) {
    const cv::Mat& light = classes.light;
    cv::Mat even(1, static_cast<int>(pixels.size()), CV_32FC3);
    auto* to = even.ptr<cv::Vec3f>();
    for (const cv::Point& pixel : pixels) {
        const Between across = cells_about(pixel.x, colour.cols, light.cols);
        const Between down = cells_about(pixel.y, colour.rows, light.rows);
        const auto* above = light.ptr<cv::Vec3f>(down.first);
        const auto* below = light.ptr<cv::Vec3f>(down.second);
        const auto at_column = [&](int x) {
            return cv::Vec3f(above[x] + down.part * (below[x] - above[x]));
        };
        const cv::Vec3f left = at_column(across.first);
        const cv::Vec3f right = at_column(across.second);
        *to++ = colour.at<cv::Vec3f>(pixel) - (left + across.part * (right - left));
    }
    return even;
}

void tell_apart(const TwoClasses& classes, const cv::Mat& even, cv::Mat& odds, cv::Mat& strange) {
    odds.create(even.size(), CV_32F);
    strange.create(even.size(), CV_32F);
    const Cloud& first = classes.clouds[0];
    const Cloud& second = classes.clouds[1];
    const CloudOfFour four_of_first(first);
    const CloudOfFour four_of_second(second);
    const cv::v_float32x4 first_scale = cv::v_setall_f32(first.log_scale);
    const cv::v_float32x4 second_scale = cv::v_setall_f32(second.log_scale);
    for_each_row(even.rows, [&](int y) {
        const auto* c = even.ptr<cv::Vec3f>(y);
        auto* o = odds.ptr<float>(y);
        auto* s = strange.ptr<float>(y);
        int x = 0;
        for (; x + 4 <= even.cols; x += 4) {
            cv::v_float32x4 v[3];
            cv::v_load_deinterleave(c[x].val, v[0], v[1], v[2]);
            const cv::v_float32x4 a = four_of_first.log_density(v);
            const cv::v_float32x4 b = four_of_second.log_density(v);
            cv::v_store(o + x, b - a);
            cv::v_store(s + x,
                        cv::v_setall_f32(2.0F) * cv::v_min(first_scale - a, second_scale - b));
        }
        for (; x < even.cols; ++x) {
            const float a = first.log_density(c[x]);
            const float b = second.log_density(c[x]);
            o[x] = b - a;
            s[x] = 2.0F * std::min(first.log_scale - a, second.log_scale - b);
        }
    });
}

void chances_of_row(const float* odds, float* chances, int count) {
    const cv::v_float32x4 one = cv::v_setall_f32(1.0F);
    std::transform(odds, odds + count, chances, std::negate{});
    cv::hal::exp32f(chances, chances, count);
    int x = 0;
    for (; x + 4 <= count; x += 4) {
        cv::v_store(chances + x, one / (one + cv::v_load(chances + x)));
    }
    for (; x < count; ++x) {
        chances[x] = 1.0F / (1.0F + chances[x]);
    }
}

}  // namespace etchback::copper::eye::detail
