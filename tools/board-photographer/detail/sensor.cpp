#include "board-photographer/detail/sensor.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <string_view>

#include "board-photographer/detail/colours.h"
#include "board-photographer/random.h"

namespace etchback::photographer {
namespace {

void blur(cv::Mat& light, const Nuisance& nuisance) {
    if (nuisance.defocus_px > 0.2) {
        cv::GaussianBlur(light, light, {}, nuisance.defocus_px);
    }
    if (nuisance.motion_px < 1.0) {
        return;
    }
    const int half = static_cast<int>(std::ceil(nuisance.motion_px / 2.0)) + 1;
    cv::Mat kernel = cv::Mat::zeros(2 * half + 1, 2 * half + 1, CV_8U);
    const double angle = nuisance.motion_towards_deg * CV_PI / 180.0;
    const cv::Point2d step(std::cos(angle) * nuisance.motion_px / 2.0,
                           std::sin(angle) * nuisance.motion_px / 2.0);
    const auto fixed = [&](double sign) {
        return cv::Point(static_cast<int>(std::lround((half + sign * step.x) * 16)),
                         static_cast<int>(std::lround((half + sign * step.y) * 16)));
    };
    cv::line(kernel, fixed(-1.0), fixed(1.0), 255, 1, cv::LINE_AA, 4);
    cv::Mat weights;
    kernel.convertTo(weights, CV_32F);
    weights /= cv::sum(weights)[0];
    cv::filter2D(light, light, -1, weights);
}

// Noise of the sensor after the colour filter was undone: fine in lightness, coarse in colour.
cv::Mat grain(cv::Size size, Random& random) {
    cv::RNG rng(random.next());
    cv::Mat fine(size, CV_32F);
    rng.fill(fine, cv::RNG::NORMAL, 0.0, 0.85);
    cv::Mat coarse((size.height + 1) / 2, (size.width + 1) / 2, CV_32FC3);
    rng.fill(coarse, cv::RNG::NORMAL, 0.0, 0.8);
    cv::resize(coarse, coarse, size, 0, 0, cv::INTER_LINEAR);
    for (int y = 0; y < size.height; ++y) {
        const float* f = fine.ptr<float>(y);
        auto* c = coarse.ptr<Colour>(y);
        for (int x = 0; x < size.width; ++x) {
            c[x] += Colour::all(f[x]);
        }
    }
    return coarse;
}

// Light to steps of 256: sRGB with a shoulder, so that lamps do not clip at once.
std::array<uchar, 4096> tone_curve() {
    std::array<uchar, 4096> curve{};
    for (std::size_t i = 0; i < curve.size(); ++i) {
        const double v = static_cast<double>(i) / 2048.0;  // up to twice white
        const double soft = v < 0.7 ? v : 0.7 + 0.3 * (1.0 - std::exp(-(v - 0.7) / 0.3));
        const double s =
            soft <= 0.0031308 ? 12.92 * soft : 1.055 * std::pow(soft, 1.0 / 2.4) - 0.055;
        curve[i] = cv::saturate_cast<uchar>(255.0 * s);
    }
    return curve;
}

}  // namespace

cv::Mat develop(cv::Mat light, const Nuisance& nuisance) {
    Random random(nuisance.seed * 13 + 7);
    blur(light, nuisance);
    const cv::Mat noise = grain(light.size(), random);
    const float gain = static_cast<float>(std::pow(2.0, nuisance.exposure_ev));
    const float warm = static_cast<float>(nuisance.warmth);
    const Colour balance(1.0F - 0.22F * warm, 1.0F, 1.0F + 0.16F * warm);
    const float sigma = static_cast<float>(nuisance.noise / 255.0 / 1.1);
    const std::array<uchar, 4096> curve = tone_curve();
    cv::Mat bgr(light.size(), CV_8UC3);
    const float cx = static_cast<float>(light.cols) / 2.0F;
    const float cy = static_cast<float>(light.rows) / 2.0F;
    const float scale = 1.0F / (cx * cx + cy * cy);
    for (int y = 0; y < light.rows; ++y) {
        const auto* in = light.ptr<Colour>(y);
        const auto* n = noise.ptr<Colour>(y);
        auto* out = bgr.ptr<cv::Vec3b>(y);
        const float dy = static_cast<float>(y) - cy;
        for (int x = 0; x < light.cols; ++x) {
            const float dx = static_cast<float>(x) - cx;
            const float r2 = (dx * dx + dy * dy) * scale;
            const float lens =
                gain * (1.0F - static_cast<float>(nuisance.vignetting) * r2 * (0.6F + 0.4F * r2));
            for (int c = 0; c < 3; ++c) {
                const float v = std::min(in[x][c], 4.0F) * lens * balance[c];
                const float spread = sigma * std::sqrt(0.2F + 3.8F * std::max(v, 0.0F));
                const float seen = v + spread * n[x][c];
                out[x][c] =
                    curve[static_cast<std::size_t>(std::clamp(seen * 2048.0F, 0.0F, 4095.0F))];
            }
        }
    }
    if (nuisance.sharpening > 0.0) {
        cv::Mat smooth;
        cv::GaussianBlur(bgr, smooth, {}, 1.3);
        cv::addWeighted(bgr, 1.0 + nuisance.sharpening, smooth, -nuisance.sharpening, 0.0, bgr);
    }
    return bgr;
}

std::vector<std::uint8_t> jpeg_of(const cv::Mat& bgr, int quality) {
    std::vector<std::uint8_t> bytes;
    cv::imencode(".jpg", bgr, bytes, {cv::IMWRITE_JPEG_QUALITY, quality});
    // Marked as what it is, in a comment behind the first segment (JFIF's), which follows FF D8.
    constexpr std::string_view note = "Rendered by board-photographer from an invented layout";
    std::vector<std::uint8_t> segment = {0xFF, 0xFE, 0, static_cast<std::uint8_t>(note.size() + 2)};
    segment.insert(segment.end(), note.begin(), note.end());
    const int first = bytes[4] * 256 + bytes[5];
    bytes.insert(bytes.begin() + 4 + first, segment.begin(), segment.end());
    return bytes;
}

}  // namespace etchback::photographer
