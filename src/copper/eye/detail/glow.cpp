#include "copper/eye/detail/glow.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {

namespace {

constexpr double least_share = 0.1;       // of the board that must be clear on the other face
constexpr double least_separation = 1.2;  // standard deviations
constexpr double most_odds = 4.0;

cv::Mat fewer(const cv::Mat& picture, cv::Size size, int how) {
    cv::Mat few;
    cv::resize(picture, few, size, 0, 0, how);
    return few;
}

// Colours against their surroundings, of pixels that count.
cv::Mat against_surroundings(const GlowFace& face, const cv::Mat& clear) {
    constexpr double reach_mm = 3.0;
    constexpr int shrink = 4;
    const cv::Mat& colour = face.colour;
    cv::Mat weight;
    clear.convertTo(weight, CV_32F, 1.0 / 255.0);
    cv::Mat masked = cv::Mat::zeros(colour.size(), CV_32FC3);
    colour.copyTo(masked, clear);
    const cv::Size small(std::max(1, colour.cols / shrink), std::max(1, colour.rows / shrink));
    cv::Mat sum;
    cv::Mat count;
    cv::resize(masked, sum, small, 0, 0, cv::INTER_AREA);
    cv::resize(weight, count, small, 0, 0, cv::INTER_AREA);
    const double sigma = reach_mm * face.px_per_mm / shrink;
    cv::GaussianBlur(sum, sum, {}, sigma);
    cv::GaussianBlur(count, count, {}, sigma);
    for (int y = 0; y < sum.rows; ++y) {
        auto* s = sum.ptr<cv::Vec3f>(y);
        const auto* c = count.ptr<float>(y);
        for (int x = 0; x < sum.cols; ++x) {
            s[x] *= 1.0F / (c[x] + 1e-4F);
        }
    }
    return face.fine - fewer(sum, colour.size(), cv::INTER_LINEAR);
}

struct Sums {
    double count = 0.0;
    cv::Vec3d mean;
    cv::Matx33d square = cv::Matx33d::zeros();

    void add(const cv::Vec3f& v) {
        const cv::Vec3d d(v[0], v[1], v[2]);
        count += 1.0;
        mean += d;
        square += d * d.t();
    }
    cv::Matx33d covariance() const {
        const cv::Vec3d m = mean / count;
        return square * (1.0 / count) - m * m.t();
    }
};

}  // namespace

GlowFace glow_face(const WorkPicture& work) {
    constexpr double share = 0.5;
    const cv::Size size(std::max(1, cvRound(work.colour.cols * share)),
                        std::max(1, cvRound(work.colour.rows * share)));
    GlowFace face;
    face.px_per_mm = share * work.px_per_mm;
    face.inside = cv::countNonZero(work.inside);
    face.colour = fewer(work.colour, size, cv::INTER_LINEAR);
    cv::GaussianBlur(face.colour, face.fine, {}, std::max(0.5, 0.08 * face.px_per_mm));
    return face;
}

cv::Mat glow_of(const GlowFace& other,
                const cv::Mat& clear,
                const cv::Mat& copper,
                const cv::Mat& seen) {
    if (cv::countNonZero(clear) < least_share * std::max(1, other.inside)) {
        return {};
    }
    const cv::Size size = other.colour.size();
    const cv::Mat few_clear = fewer(clear, size, cv::INTER_NEAREST);
    const cv::Mat few_copper = fewer(copper, size, cv::INTER_NEAREST);
    const cv::Mat few_seen = fewer(seen, size, cv::INTER_NEAREST);
    const cv::Mat colour = against_surroundings(other, few_clear);
    constexpr int stride = 2;
    Sums sums[2];
    for (int y = 0; y < colour.rows; y += stride) {
        for (int x = 0; x < colour.cols; x += stride) {
            const float p = few_copper.at<float>(y, x);
            if (few_clear.at<std::uint8_t>(y, x) != 0 && few_seen.at<std::uint8_t>(y, x) != 0 &&
                (p > 0.9F || p < 0.1F)) {
                sums[p > 0.5F ? 1 : 0].add(colour.at<cv::Vec3f>(y, x));
            }
        }
    }
    constexpr double enough = 200.0;
    if (sums[0].count < enough || sums[1].count < enough) {
        return {};
    }
    const cv::Vec3d means[2] = {sums[0].mean / sums[0].count, sums[1].mean / sums[1].count};
    cv::Matx33d both = 0.5 * (sums[0].covariance() + sums[1].covariance());
    for (int i = 0; i < 3; ++i) {
        both(i, i) += 1e-5;
    }
    const cv::Vec3d way = both.inv() * (means[1] - means[0]);
    const double separation = std::sqrt(std::max(0.0, way.dot(means[1] - means[0])));
    if (separation < least_separation) {
        return {};
    }
    const cv::Vec3f weights(way);
    const auto level = static_cast<float>(way.dot(0.5 * (means[0] + means[1])));
    cv::Mat odds = cv::Mat::zeros(colour.size(), CV_32F);
    for (int y = 0; y < colour.rows; ++y) {
        const auto* c = colour.ptr<cv::Vec3f>(y);
        const auto* ok = few_clear.ptr<std::uint8_t>(y);
        auto* o = odds.ptr<float>(y);
        for (int x = 0; x < colour.cols; ++x) {
            if (ok[x] != 0) {
                o[x] = std::clamp(weights.dot(c[x]) - level,
                                  static_cast<float>(-most_odds),
                                  static_cast<float>(most_odds));
            }
        }
    }
    return odds;
}

}  // namespace etchback::copper::eye::detail
