#include "board-photographer/detail/texture.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "board-photographer/detail/colours.h"

namespace etchback::photographer {
namespace {

// Multiplies a colour by 1 + sum of noises, pixel by pixel.
cv::Mat tinted(const Colour& colour, const cv::Mat& lightness) {
    cv::Mat picture(lightness.size(), CV_32FC3);
    for (int y = 0; y < picture.rows; ++y) {
        const float* l = lightness.ptr<float>(y);
        auto* row = picture.ptr<Colour>(y);
        for (int x = 0; x < picture.cols; ++x) {
            row[x] = colour * std::max(0.05F, 1.0F + l[x]);
        }
    }
    return picture;
}

cv::Mat wood(cv::Size size, double mm_px, Random& random) {
    cv::Mat grain = smooth_noise(size, mm_px * 18.0, mm_px * 0.5, random) * 0.06 +
                    smooth_noise(size, mm_px * 1.5, mm_px * 0.2, random) * 0.04 +
                    smooth_noise(size, mm_px * 0.3, random) * 0.02 +
                    smooth_noise(size, mm_px * 60.0, mm_px * 8.0, random) * 0.10 +
                    smooth_noise(size, mm_px * 4.0, mm_px * 0.25, random) * 0.05;
    const Colour tone = random.chance(0.5) ? srgb(150, 118, 82) : srgb(176, 142, 98);
    return tinted(tone, grain);
}

cv::Mat cloth(cv::Size size, double mm_px, Random& random) {
    const double pitch = std::max(3.0, mm_px * random.between(0.5, 1.1));
    cv::Mat weave(size, CV_32F);
    const double k = 2.0 * std::numbers::pi / pitch;
    for (int y = 0; y < size.height; ++y) {
        float* row = weave.ptr<float>(y);
        for (int x = 0; x < size.width; ++x) {
            row[x] = static_cast<float>(0.16 * std::sin(k * x) * std::sin(k * y));
        }
    }
    weave +=
        smooth_noise(size, pitch, random) * 0.06 + smooth_noise(size, mm_px * 30, random) * 0.08;
    const double r = random.between(60, 170);
    return tinted(srgb(r, random.between(0.7, 1.0) * r, random.between(0.6, 1.1) * r), weave);
}

}  // namespace

cv::Mat smooth_noise(cv::Size size, double grain_px, Random& random) {
    return smooth_noise(size, grain_px, grain_px, random);
}

cv::Mat smooth_noise(cv::Size size, double grain_x_px, double grain_y_px, Random& random) {
    cv::Mat coarse(std::max(4, static_cast<int>(size.height / std::max(1.0, grain_y_px)) + 3),
                   std::max(4, static_cast<int>(size.width / std::max(1.0, grain_x_px)) + 3),
                   CV_32F);
    cv::RNG rng(random.next());
    rng.fill(coarse, cv::RNG::NORMAL, 0.0, 1.4);
    cv::Mat fine;
    cv::resize(coarse, fine, size, 0, 0, cv::INTER_CUBIC);
    return fine;
}

cv::Mat backdrop(cv::Size size, Background kind, double mm_px, Random& random) {
    switch (kind) {
        case Background::wood:
            return wood(size, mm_px, random);
        case Background::cloth:
            return cloth(size, mm_px, random);
        case Background::grey:
            return tinted(srgb(150, 150, 152),
                          smooth_noise(size, mm_px * 40, random) * 0.04 +
                              smooth_noise(size, mm_px * 0.3, random) * 0.02);
        case Background::dark:
            return tinted(srgb(48, 50, 54),
                          smooth_noise(size, mm_px * 0.6, random) * 0.08 +
                              smooth_noise(size, mm_px * 30, random) * 0.08);
        case Background::paper:
            break;
    }
    const double white = random.between(205, 232);
    return tinted(srgb(white, white - 2.0, white - 8.0),
                  smooth_noise(size, mm_px * 0.25, random) * 0.012 +
                      smooth_noise(size, mm_px * 60, random) * 0.03);
}

}  // namespace etchback::photographer
