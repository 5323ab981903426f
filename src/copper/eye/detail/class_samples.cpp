#include "copper/eye/detail/class_samples.h"

#include <algorithm>
#include <cmath>
#include <opencv2/core/hal/hal.hpp>
#include <opencv2/core/hal/intrin.hpp>

#include "copper/eye/detail/cloud_of_four.h"

namespace etchback::copper::eye::detail {

namespace {

constexpr std::size_t four = 4;
constexpr std::size_t block = 256;  // whole fours

// Exponentials of three logarithms at each of some samples, the largest taken for 1.
struct Exponentials {
    std::array<float, block> a;
    std::array<float, block> b;
    std::array<float, block> other;
    std::array<float, block> top;

    void find(const std::array<ClassSamples::Row, 3>& even,
              std::size_t from,
              std::size_t count,
              const CloudOfFour& first,
              const CloudOfFour& second,
              float log_other) {
        const cv::v_float32x4 others = cv::v_setall_f32(log_other);
        for (std::size_t i = 0; i < count; i += four) {
            const cv::v_float32x4 v[3] = {cv::v_load(even[0].data() + from + i),
                                          cv::v_load(even[1].data() + from + i),
                                          cv::v_load(even[2].data() + from + i)};
            const cv::v_float32x4 p = first.log_density(v);
            const cv::v_float32x4 q = second.log_density(v);
            const cv::v_float32x4 most = cv::v_max(cv::v_max(p, q), others);
            cv::v_store(a.data() + i, p - most);
            cv::v_store(b.data() + i, q - most);
            cv::v_store(other.data() + i, others - most);
            cv::v_store(top.data() + i, most);
        }
        for (auto* row : {&a, &b, &other}) {
            cv::hal::exp32f(row->data(), row->data(), static_cast<int>(count));
        }
    }
};

std::size_t whole_fours(std::size_t count) {
    return (count + four - 1) / four * four;
}

double sum_of(const cv::v_float32x4& v) {
    std::array<float, four> lanes;
    cv::v_store(lanes.data(), v);
    return static_cast<double>(lanes[0]) + lanes[1] + lanes[2] + lanes[3];
}

}  // namespace

cv::Matx33d ColourSums::covariance() const {
    const double w = std::max(weight, 1e-6);
    const cv::Vec3d middle = mean / w;
    const cv::Matx33d squares(square[0],
                              square[1],
                              square[2],
                              square[1],
                              square[3],
                              square[4],
                              square[2],
                              square[4],
                              square[5]);
    return squares * (1.0 / w) - middle * middle.t();
}

void ClassSamples::add(
    const cv::Vec3f& of, float counts, float of_second, int is_fixed, int in_cell) {
    for (std::size_t k = 0; k < 3; ++k) {
        colour[k].push_back(of[static_cast<int>(k)]);
    }
    weight.push_back(counts);
    first.push_back(of_second >= 0.0F ? 1.0F - of_second : 0.0F);
    second.push_back(of_second >= 0.0F ? of_second : 0.0F);
    fixed.push_back(is_fixed);
    cell.push_back(in_cell);
}

void ClassSamples::complete() {
    const std::size_t all = whole_fours(size());
    for (Row* row : {&colour[0], &colour[1], &colour[2], &weight, &first, &second}) {
        row->resize(all, 0.0F);
    }
    even = colour;
}

void ClassSamples::reserve(std::size_t count) {
    const std::size_t all = whole_fours(count);
    for (Row* row : {&colour[0], &colour[1], &colour[2], &weight, &first, &second}) {
        row->reserve(all);
    }
    fixed.reserve(count);
    cell.reserve(count);
}

void ClassSamples::light_evenly(const cv::Mat& light) {
    const auto* cells = light.ptr<cv::Vec3f>();
    for (std::size_t i = 0; i < size(); ++i) {
        const cv::Vec3f& own = cells[cell[i]];
        even[0][i] = colour[0][i] - own[0];
        even[1][i] = colour[1][i] - own[1];
        even[2][i] = colour[2][i] - own[2];
    }
}

void ClassSamples::share_out(const std::array<Cloud, 2>& clouds,
                             float strangers,
                             std::size_t count) {
    const CloudOfFour p(clouds[0]);
    const CloudOfFour q(clouds[1]);
    const float strange = std::max(clouds[0].log_scale, clouds[1].log_scale) - 0.5F * strangers;
    Exponentials e;
    const std::size_t all = whole_fours(count);
    for (std::size_t from = 0; from < all; from += block) {
        const std::size_t here = std::min(block, all - from);
        e.find(even, from, here, p, q, strange);
        for (std::size_t i = 0; i < here; i += four) {
            const cv::v_float32x4 a = cv::v_load(e.a.data() + i);
            const cv::v_float32x4 b = cv::v_load(e.b.data() + i);
            const cv::v_float32x4 sum = a + b + cv::v_load(e.other.data() + i);
            cv::v_store(first.data() + from + i, a / sum);
            cv::v_store(second.data() + from + i, b / sum);
        }
    }
    for (std::size_t i = 0; i < std::min(all, size()); ++i) {
        if (fixed[i] >= 0) {
            second[i] = static_cast<float>(fixed[i]);
            first[i] = 1.0F - second[i];
        }
    }
}

ColourSums ClassSamples::sums(const Row& share, std::size_t count) const {
    ColourSums sums;
    for (std::size_t from = 0; from < count; from += block) {
        cv::v_float32x4 weights = cv::v_setzero_f32();
        cv::v_float32x4 mean[3] = {weights, weights, weights};
        cv::v_float32x4 square[6] = {weights, weights, weights, weights, weights, weights};
        for (std::size_t i = from; i < std::min(from + block, whole_fours(count)); i += four) {
            const cv::v_float32x4 w = cv::v_load(weight.data() + i) * cv::v_load(share.data() + i);
            const cv::v_float32x4 v0 = cv::v_load(even[0].data() + i);
            const cv::v_float32x4 v1 = cv::v_load(even[1].data() + i);
            const cv::v_float32x4 v2 = cv::v_load(even[2].data() + i);
            const cv::v_float32x4 w0 = w * v0;
            const cv::v_float32x4 w1 = w * v1;
            const cv::v_float32x4 w2 = w * v2;
            weights += w;
            mean[0] += w0;
            mean[1] += w1;
            mean[2] += w2;
            square[0] += w0 * v0;
            square[1] += w0 * v1;
            square[2] += w0 * v2;
            square[3] += w1 * v1;
            square[4] += w1 * v2;
            square[5] += w2 * v2;
        }
        sums.weight += sum_of(weights);
        for (int k = 0; k < 3; ++k) {
            sums.mean[k] += sum_of(mean[k]);
        }
        for (std::size_t k = 0; k < 6; ++k) {
            sums.square[k] += sum_of(square[k]);
        }
    }
    return sums;
}

std::vector<cv::Vec4f> ClassSamples::left_in_cells(const std::array<Cloud, 2>& clouds,
                                                   std::size_t count,
                                                   std::size_t cells) const {
    cv::v_float32x4 a[3];
    cv::v_float32x4 b[3];
    for (std::size_t k = 0; k < 3; ++k) {
        a[k] = cv::v_setall_f32(clouds[0].mean[static_cast<int>(k)]);
        b[k] = cv::v_setall_f32(clouds[1].mean[static_cast<int>(k)]);
    }
    std::vector<cv::Vec4f> left(cells, cv::Vec4f::all(0.0F));
    for (std::size_t i = 0; i < count; i += four) {
        const cv::v_float32x4 w = cv::v_load(weight.data() + i);
        const cv::v_float32x4 f = w * cv::v_load(first.data() + i);
        const cv::v_float32x4 s = w * cv::v_load(second.data() + i);
        const cv::v_float32x4 both = f + s;
        cv::v_float32x4 of[3];
        for (std::size_t k = 0; k < 3; ++k) {
            of[k] = both * cv::v_load(colour[k].data() + i) - f * a[k] - s * b[k];
        }
        cv::v_float32x4 each[four];
        cv::v_transpose4x4(of[0], of[1], of[2], both, each[0], each[1], each[2], each[3]);
        for (std::size_t j = 0; j < std::min(four, count - i); ++j) {
            float* own = left[static_cast<std::size_t>(cell[i + j])].val;
            cv::v_store(own, cv::v_load(own) + each[j]);
        }
    }
    return left;
}

double ClassSamples::likelihood(const std::array<Cloud, 2>& clouds) const {
    constexpr float anywhere = -4.0F;
    const CloudOfFour p(clouds[0]);
    const CloudOfFour q(clouds[1]);
    Exponentials e;
    double sum = 0.0;
    double weights = 0.0;
    for (std::size_t from = 0; from < weight.size(); from += block) {
        const std::size_t here = std::min(block, weight.size() - from);
        e.find(even, from, here, p, q, anywhere);
        for (std::size_t i = 0; i < here; ++i) {
            e.a[i] += e.b[i] + e.other[i];
        }
        cv::hal::log32f(e.a.data(), e.a.data(), static_cast<int>(here));
        for (std::size_t i = 0; i < here; ++i) {
            sum += static_cast<double>(weight[from + i]) * (e.top[i] + e.a[i]);
            weights += weight[from + i];
        }
    }
    return weights > 0.0 ? sum / weights : 0.0;
}

}  // namespace etchback::copper::eye::detail
