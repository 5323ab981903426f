#include "copper/eye/detail/face_agreement.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/flat_view.h"

namespace etchback::copper::eye::detail {
namespace {

constexpr double pixels = 300.0 * 300.0;
constexpr int near_px = 6;  // the corners of two photos lie within 2 % of each other
constexpr int rim_px = 9;   // outlines agree whichever way round a face lies

cv::Mat between(const cv::Mat& picture, double fine, double coarse) {
    cv::Mat a;
    cv::Mat b;
    cv::GaussianBlur(picture, a, {0, 0}, fine);
    cv::GaussianBlur(picture, b, {0, 0}, coarse);
    return a - b;
}

// Cut at its middle strength: what is strong is known to be a part or a joint, but not its use.
cv::Mat faint(const cv::Mat& structure) {
    cv::Mat strength = cv::abs(structure);
    auto* const first = strength.ptr<float>();
    auto* const middle = first + strength.total() / 2;
    std::nth_element(first, middle, first + strength.total());
    const double step = std::max(1e-3F, *middle);
    cv::Mat out;
    cv::max(cv::min(structure, step), -step, out);
    out /= step;
    return out - cv::mean(out);
}

// What is brighter (or, `sign` -1, darker) than its surroundings.
cv::Mat spots(const cv::Mat& light, double sign) {
    cv::Mat out = sign * between(light, 1.5, 8.0);
    constexpr double enough = 20.0;
    cv::max(cv::min(out, enough), 0.0, out);
    return out - cv::mean(out);
}

// 1 in the middle, falling to 0 at the rim.
cv::Mat inner(cv::Size size) {
    cv::Mat out(size, CV_32F);
    for (int y = 0; y < size.height; ++y) {
        for (int x = 0; x < size.width; ++x) {
            const int in = std::min({x, y, size.width - 1 - x, size.height - 1 - y});
            out.at<float>(y, x) = std::clamp(static_cast<float>(in - rim_px) / 12.0F, 0.0F, 1.0F);
        }
    }
    return out;
}

// Spectrum, divided by the root of its own strength: wide areas would agree at every shift.
cv::Mat spectrum(const cv::Mat& feature) {
    cv::Mat out = cv::Mat::zeros(cv::getOptimalDFTSize(feature.rows * 3 / 2),
                                 cv::getOptimalDFTSize(feature.cols * 3 / 2),
                                 CV_32F);
    feature.copyTo(out(cv::Rect({0, 0}, feature.size())));
    cv::dft(out, out, cv::DFT_COMPLEX_OUTPUT);
    std::vector<cv::Mat> parts;
    cv::split(out, parts);
    cv::Mat strength;
    cv::magnitude(parts[0], parts[1], strength);
    cv::GaussianBlur(strength, strength, {0, 0}, 1.5);
    double most = 0.0;
    cv::minMaxLoc(strength, nullptr, &most);
    strength += 0.01 * most + 1e-6;
    cv::sqrt(strength, strength);
    parts[0] /= strength;
    parts[1] /= strength;
    cv::merge(parts, out);
    return out;
}

constexpr int colours = 3;

// Three of light and colour, then bright and dark spots.
std::vector<cv::Mat> spectra_of(const cv::Mat& bgr) {
    cv::Mat lab;
    bgr.convertTo(lab, CV_32F, 1.0 / 255.0);
    cv::cvtColor(lab, lab, cv::COLOR_BGR2Lab);
    std::vector<cv::Mat> channels;
    cv::split(lab, channels);
    const cv::Mat window = inner(bgr.size());
    std::vector<cv::Mat> out;
    for (const cv::Mat& channel : channels) {
        out.push_back(spectrum(faint(between(channel, 1.0, 6.0)).mul(window)));
    }
    for (const double sign : {1.0, -1.0}) {
        out.push_back(spectrum(spots(channels[0], sign).mul(window)));
    }
    return out;
}

cv::Mat correlation(const cv::Mat& a, const cv::Mat& b) {
    cv::Mat product;
    cv::mulSpectrums(a, b, product, 0, true);
    cv::dft(product, product, cv::DFT_INVERSE | cv::DFT_SCALE | cv::DFT_REAL_OUTPUT);
    return product;
}

float at_shift(const cv::Mat& all, int dx, int dy) {
    return all.at<float>((dy + all.rows) % all.rows, (dx + all.cols) % all.cols);
}

// Root of the mean square at shifts that are further away than twice `near` and no further than
// `far`.
double scatter_of(const cv::Mat& all, int near, int far) {
    double squares = 0.0;
    int count = 0;
    for (int dy = -far; dy <= far; ++dy) {
        for (int dx = -far; dx <= far; ++dx) {
            if (std::max(std::abs(dx), std::abs(dy)) > 2 * near) {
                const double v = at_shift(all, dx, dy);
                squares += v * v;
                ++count;
            }
        }
    }
    return count > 0 ? std::sqrt(squares / count) : 0.0;
}

// How far the strongest agreement near no shift stands out over that at other shifts.
double peak(const cv::Mat& a, const cv::Mat& b, cv::Size size) {
    const cv::Mat all = correlation(a, b);
    double most = 0.0;
    for (int dy = -near_px; dy <= near_px; ++dy) {
        for (int dx = -near_px; dx <= near_px; ++dx) {
            most = std::max<double>(most, std::abs(at_shift(all, dx, dy)));
        }
    }
    const double scatter = scatter_of(all, near_px, std::min(size.width, size.height) / 3);
    return scatter > 0.0 ? most / scatter : 0.0;
}

}  // namespace

Face face_of_flat(const cv::Mat& bgr) {
    return {bgr.size(), spectra_of(bgr)};
}

Face face_of(const SideView& view, int quarter, double aspect) {
    const double wide = std::clamp(aspect, 0.1, 10.0);
    const cv::Size size(cvRound(std::sqrt(pixels * wide)), cvRound(std::sqrt(pixels / wide)));
    return face_of_flat(flat_view(view.small.bgr, view.small.shrink, view, quarter, size));
}

double agreement(const Face& a, const Face& b) {
    double sum = 0.0;
    for (int i = 0; i < static_cast<int>(a.spectra.size()); ++i) {
        for (int j = 0; j < static_cast<int>(b.spectra.size()); ++j) {
            if ((i < colours) == (j < colours)) {
                const double z = peak(a.spectra[i], b.spectra[j], a.size);
                sum += std::pow(std::max(0.0, z - 3.0), 2.0);
            }
        }
    }
    return std::sqrt(sum);
}

FaceShift shift_between(const Face& a, const Face& b, int reach) {
    cv::Mat sum = cv::Mat::zeros(2 * reach + 1, 2 * reach + 1, CV_64F);
    for (int i = 0; i < static_cast<int>(a.spectra.size()); ++i) {
        for (int j = 0; j < static_cast<int>(b.spectra.size()); ++j) {
            if ((i < colours) != (j < colours)) {
                continue;
            }
            const cv::Mat all = correlation(a.spectra[i], b.spectra[j]);
            const double scatter = scatter_of(all, reach, 3 * reach);
            for (int dy = -reach; dy <= reach && scatter > 0.0; ++dy) {
                for (int dx = -reach; dx <= reach; ++dx) {
                    const double z = std::abs(at_shift(all, dx, dy)) / scatter;
                    sum.at<double>(dy + reach, dx + reach) += std::pow(std::max(0.0, z - 2.0), 2.0);
                }
            }
        }
    }
    FaceShift out;
    cv::Point best;
    double most = 0.0;
    cv::minMaxLoc(sum, nullptr, &most, nullptr, &best);
    out.strength = std::sqrt(most);
    if (best.x < 1 || best.y < 1 || best.x >= sum.cols - 1 || best.y >= sum.rows - 1) {
        out.strength = 0.0;  // the peak lies further away
        return out;
    }
    const auto top_of = [](double before, double here, double after) {
        const double bend = before - 2.0 * here + after;
        return bend < 0.0 ? std::clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0.0;
    };
    const auto at = [&](int x, int y) { return sum.at<double>(y, x); };
    out.shift = {best.x - reach + top_of(at(best.x - 1, best.y), most, at(best.x + 1, best.y)),
                 best.y - reach + top_of(at(best.x, best.y - 1), most, at(best.x, best.y + 1))};
    return out;
}

}  // namespace etchback::copper::eye::detail
