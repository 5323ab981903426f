#include "copper/eye/detail/first_guess.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

#include "copper/eye/detail/discs.h"

namespace etchback::copper::eye::detail {

namespace {

// A histogram of hues: log of red to green across, of blue to green down.
class Hues {
public:
    void add(const cv::Vec3f& c, float weight = 1.0F) {
        counts_.at<float>(bin(c[2]), bin(c[1])) += weight;
    }
    void blur() { cv::GaussianBlur(counts_, counts_, {}, 1.5); }

    // The most frequent hue at least `apart` from `other`.
    cv::Vec2f peak(const cv::Vec2f& other, float apart) const {
        float best = -1.0F;
        cv::Vec2f at(0, 0);
        for (int y = 0; y < bins; ++y) {
            for (int x = 0; x < bins; ++x) {
                const cv::Vec2f hue(value(x), value(y));
                if (counts_.at<float>(y, x) > best && cv::norm(hue - other) >= apart) {
                    best = counts_.at<float>(y, x);
                    at = hue;
                }
            }
        }
        return at;
    }

private:
    static constexpr int bins = 140;
    static constexpr float width = 0.03F;
    static int bin(float v) { return std::clamp(cvFloor(v / width) + bins / 2, 0, bins - 1); }
    static float value(int i) { return (static_cast<float>(i - bins / 2) + 0.5F) * width; }

    cv::Mat counts_ = cv::Mat(bins, bins, CV_32F, cv::Scalar(0));
};

cv::Vec2f hue_of(const cv::Vec3f& c) {
    return {c[1], c[2]};
}

template <typename Take>
void for_board(const WorkPicture& work, Take take) {
    for (int y = 0; y < work.colour.rows; ++y) {
        const auto* colour = work.colour.ptr<cv::Vec3f>(y);
        const auto* inside = work.inside.ptr<std::uint8_t>(y);
        const auto* hole = work.holes.ptr<std::uint8_t>(y);
        for (int x = 0; x < work.colour.cols; ++x) {
            if (inside[x] != 0 && hole[x] == 0) {
                take(y, x, colour[x]);
            }
        }
    }
}

float squared(const cv::Vec2f& v) {
    return v.dot(v);
}

// Lightness at which half of the pixels with this hue are darker.
float median_lightness(const WorkPicture& work, const cv::Vec2f& hue, float within) {
    std::vector<float> values;
    for_board(work, [&](int y, int x, const cv::Vec3f& c) {
        if ((x + y) % 4 == 0 && squared(hue_of(c) - hue) < within * within) {
            values.push_back(c[0]);
        }
    });
    if (values.empty()) {
        return 0.0F;
    }
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

// The pixel at a point, or nothing where the board's surface is not seen.
std::optional<cv::Point> seen_at(const cv::Mat& clear, cv::Point2f p) {
    const cv::Point at(cvRound(p.x), cvRound(p.y));
    const bool seen = at.x >= 0 && at.y >= 0 && at.x < clear.cols && at.y < clear.rows &&
                      clear.at<std::uint8_t>(at) != 0;
    return seen ? std::optional(at) : std::nullopt;
}

// Both sides of sharp steps of lightness with a plateau on each: edges of copper below the mask,
// not of shadows, which are soft, nor of scratches, which are narrow. 1 on the lighter side, 0 on
// the darker, -1 elsewhere.
cv::Mat starts_at_edges(const WorkPicture& work, const cv::Mat& weight) {
    cv::Mat light;
    cv::extractChannel(work.colour, light, 0);
    cv::GaussianBlur(light, light, {}, 1.0);
    cv::Mat dx;
    cv::Mat dy;
    cv::Sobel(light, dx, CV_32F, 1, 0, 3, 1.0 / 8);
    cv::Sobel(light, dy, CV_32F, 0, 1, 3, 1.0 / 8);
    // Things that stand on the board throw light and blur around them.
    const cv::Mat clear = shrunk(weight > 0.0F, 0.15 * work.px_per_mm);
    struct Edge {
        float step;
        cv::Point dark, bright, darker, brighter;
    };
    std::vector<Edge> edges;
    const auto near = static_cast<float>(std::max(2.0, 0.13 * work.px_per_mm));
    const auto far = static_cast<float>(std::max(3.0, 0.22 * work.px_per_mm));
    constexpr float least_steep = 0.008F;
    constexpr float least_step = 0.02F;
    for (int y = 1; y + 1 < light.rows; ++y) {
        const auto* is_clear = clear.ptr<std::uint8_t>(y);
        const auto* across = dx.ptr<float>(y);
        const auto* down = dy.ptr<float>(y);
        for (int x = 1; x + 1 < light.cols; ++x) {
            const cv::Point2f slope(across[x], down[x]);
            if (is_clear[x] == 0 || slope.dot(slope) < least_steep * least_steep) {
                continue;
            }
            const cv::Point2f n = slope / std::sqrt(slope.dot(slope));
            const cv::Point2f at(static_cast<float>(x), static_cast<float>(y));
            const auto dark = seen_at(clear, at - near * n);
            const auto bright = seen_at(clear, at + near * n);
            if (!dark || !bright) {
                continue;
            }
            const float step = light.at<float>(*bright) - light.at<float>(*dark);
            if (step <= least_step) {
                continue;
            }
            const auto darker = seen_at(clear, at - far * n);
            const auto brighter = seen_at(clear, at + far * n);
            if (!darker || !brighter) {
                continue;
            }
            const float beyond =
                std::max(std::abs(light.at<float>(*brighter) - light.at<float>(*bright)),
                         std::abs(light.at<float>(*darker) - light.at<float>(*dark)));
            if (beyond < 0.3F * step) {
                edges.push_back({step, *dark, *bright, *darker, *brighter});
            }
        }
    }
    cv::Mat start(light.size(), CV_32F, cv::Scalar(-1));
    if (edges.empty()) {
        return start;
    }
    // The clearest third: weaker ones are grain of the board.
    const auto from = edges.begin() + static_cast<std::ptrdiff_t>(edges.size() * 2 / 3);
    std::nth_element(edges.begin(), from, edges.end(), [](const Edge& a, const Edge& b) {
        return a.step < b.step;
    });
    const float least = from->step;
    for (const Edge& edge : edges) {
        if (edge.step >= least) {
            for (const cv::Point& p : {edge.dark, edge.darker}) {
                start.at<float>(p) = 0.0F;
            }
            for (const cv::Point& p : {edge.bright, edge.brighter}) {
                start.at<float>(p) = 1.0F;
            }
        }
    }
    return start;
}

// A mean over a neighbourhood of `reach_mm`, of pixels that count.
cv::Mat mean_around(const cv::Mat& values, const cv::Mat& weight, double reach_px) {
    cv::Mat sum = values.mul(weight);
    cv::Mat count;
    const cv::Size size(std::max(1, values.cols / 4), std::max(1, values.rows / 4));
    cv::resize(sum, sum, size, 0, 0, cv::INTER_AREA);
    cv::resize(weight, count, size, 0, 0, cv::INTER_AREA);
    cv::GaussianBlur(sum, sum, {}, reach_px / 4);
    cv::GaussianBlur(count, count, {}, reach_px / 4);
    cv::Mat mean;
    cv::resize(cv::Mat(sum / (count + 1e-6F)), mean, values.size());
    return mean;
}

// Half of the counted values are nearer to zero.
float middle_size(const cv::Mat& values, const cv::Mat& weight) {
    std::vector<float> sizes;
    for (int y = 0; y < values.rows; ++y) {
        const auto* value = values.ptr<float>(y);
        const auto* counts = weight.ptr<float>(y);
        for (int x = 0; x < values.cols; ++x) {
            if (counts[x] > 0) {
                sizes.push_back(std::abs(value[x]));
            }
        }
    }
    if (sizes.empty()) {
        return 0.0F;
    }
    const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2);
    std::nth_element(sizes.begin(), middle, sizes.end());
    return *middle;
}

// One kind covers most of the board; the other is the most frequent lightness, in pieces of some
// width, that differs from it.
cv::Mat starts_from_most(const WorkPicture& work, const cv::Mat& weight) {
    cv::Mat light;
    cv::extractChannel(work.colour, light, 0);
    cv::GaussianBlur(light, light, {}, 0.8);
    // What most is like is seen well enough on a few pixels.
    constexpr double share = 0.25;
    cv::Mat few_light;
    cv::Mat few_weight;
    cv::resize(light, few_light, {}, share, share, cv::INTER_NEAREST);
    cv::resize(weight, few_weight, few_light.size(), 0, 0, cv::INTER_NEAREST);
    cv::Mat few_most = few_weight.clone();
    cv::Mat mean;
    float scatter = 0.0F;
    for (int turn = 0; turn < 5; ++turn) {
        mean = mean_around(few_light, few_most, 3.0 * share * work.px_per_mm);
        const cv::Mat few_over = few_light - mean;
        scatter = std::max(0.006F, 1.48F * middle_size(few_over, few_weight));
        few_most = few_weight.clone();
        few_most.setTo(0.0F, cv::abs(few_over) > 2.5F * scatter);
    }
    cv::resize(mean, mean, light.size());
    const cv::Mat over = light - mean;
    cv::Mat most = weight.clone();
    most.setTo(0.0F, cv::abs(over) > 2.5F * scatter);
    constexpr float width = 0.02F;
    constexpr int bins = 80;
    std::vector<double> counts(bins, 0.0);
    for (const bool lighter : {true, false}) {
        cv::Mat other = lighter ? (over > 3.5F * scatter) : (over < -3.5F * scatter);
        other &= weight > 0;
        cv::morphologyEx(
            other, other, cv::MORPH_OPEN, cv::getStructuringElement(cv::MORPH_ELLIPSE, {3, 3}));
        for (int y = 0; y < over.rows; ++y) {
            const auto* is_other = other.ptr<std::uint8_t>(y);
            const auto* by = over.ptr<float>(y);
            for (int x = 0; x < over.cols; ++x) {
                if (is_other[x] != 0) {
                    const int bin = cvFloor(by[x] / width) + bins / 2;
                    counts[static_cast<std::size_t>(std::clamp(bin, 0, bins - 1))] += 1.0;
                }
            }
        }
    }
    std::vector<double> smooth(bins, 0.0);
    for (int i = 1; i + 1 < bins; ++i) {
        const auto k = static_cast<std::size_t>(i);
        smooth[k] = counts[k - 1] + 2 * counts[k] + counts[k + 1];
    }
    const auto peak = std::ranges::max_element(smooth) - smooth.begin();
    const float level = (static_cast<float>(peak - bins / 2) + 0.5F) * width;
    const float reach = std::max(2.0F * scatter, 0.3F * std::abs(level));
    cv::Mat start(light.size(), CV_32F, cv::Scalar(-1));
    start.setTo(level > 0 ? 0.0F : 1.0F, most > 0);
    start.setTo(level > 0 ? 1.0F : 0.0F, (cv::abs(over - level) < reach) & (weight > 0));
    return start;
}

// Lighter or darker than the mean of what lies around.
cv::Mat starts_by_neighbourhood(const WorkPicture& work, const cv::Mat& weight) {
    cv::Mat light;
    cv::extractChannel(work.colour, light, 0);
    const cv::Mat around = mean_around(light, weight, 1.6 * work.px_per_mm);
    cv::Mat start;
    cv::exp((around - light) / 0.04F, start);
    start = 1.0F / (1.0F + start);
    start.setTo(-1.0F, weight <= 0.0F);
    return start;
}

// Where parts and their joints are known to be: no place to learn from.
cv::Mat near_parts(const WorkPicture& work) {
    constexpr double joint_mm = 0.8;
    constexpr double beside_mm = 0.3;
    cv::Mat near = cv::Mat::zeros(work.colour.size(), CV_8U);
    if (!work.bodies.empty()) {
        near = grown(work.bodies, beside_mm * work.px_per_mm);
    }
    for (const KnownPad& pad : work.pads) {
        cv::circle(near, pad.at, cvRound(joint_mm * work.px_per_mm), cv::Scalar(255), cv::FILLED);
    }
    return near;
}

// Light grey, or grey with a little of the lamp's colour.
bool is_tin(const cv::Vec3f& c) {
    return c[0] > 4.4F && std::hypot(c[1], c[2]) < 0.2F;
}

}  // namespace

double share_without_mask(const WorkPicture& work) {
    int all = 0;
    int bare = 0;
    for_board(work, [&](int, int, const cv::Vec3f& c) {
        ++all;
        const bool yellow_to_brown = c[1] > -0.2F && c[1] < 0.8F && c[2] < -0.22F && c[2] > -1.6F;
        bare += yellow_to_brown ? 1 : 0;
    });
    return all > 0 ? static_cast<double>(bare) / all : 0.0;
}

bool is_tinned(const WorkPicture& work) {
    int all = 0;
    int tin = 0;
    for_board(work, [&](int, int, const cv::Vec3f& c) {
        ++all;
        tin += is_tin(c) ? 1 : 0;
    });
    return all > 0 && tin > 0.4 * all;
}

FirstGuess guess_masked(const WorkPicture& work) {
    Hues hues;
    for_board(work, [&](int, int, const cv::Vec3f& c) { hues.add(c); });
    hues.blur();
    const cv::Vec2f mask = hues.peak({9, 9}, 0.0F);
    // Solder, print and grey parts have no hue: a coloured mask is told from them by its own.
    // Copper below a mask has more of its hue than laminate has.
    const float hue_reach = std::clamp(0.55F * static_cast<float>(cv::norm(mask)), 0.09F, 0.32F);
    const float middle = median_lightness(work, mask, hue_reach);
    const cv::Mat parts = near_parts(work);

    FirstGuess guess;
    guess.weight = cv::Mat(work.colour.size(), CV_32F, cv::Scalar(0));
    for_board(work, [&](int y, int x, const cv::Vec3f& c) {
        const cv::Vec2f hue = hue_of(c);
        const bool greyer = squared(hue) < squared(mask);
        const float reach = greyer ? hue_reach : std::max(hue_reach, 0.25F);
        if (squared(hue - mask) < reach * reach && std::abs(c[0] - middle) < 0.75F &&
            parts.at<std::uint8_t>(y, x) == 0) {
            guess.weight.at<float>(y, x) = 1.0F;
        }
    });
    guess.starts = {starts_by_neighbourhood(work, guess.weight),
                    starts_at_edges(work, guess.weight),
                    starts_from_most(work, guess.weight)};
    return guess;
}

FirstGuess guess_bare(const WorkPicture& work) {
    Hues edge;
    Hues all;
    int tin = 0;
    int counted = 0;
    for_board(work, [&](int y, int x, const cv::Vec3f& c) {
        const float depth = work.depth.at<float>(y, x);
        ++counted;
        tin += is_tin(c) ? 1 : 0;
        if (depth > 0.12F && depth < 0.4F) {
            edge.add(c);
        }
        if (depth > 0.4F && c[0] > 3.2F) {
            all.add(c);
        }
    });
    edge.blur();
    all.blur();
    const cv::Vec2f laminate = edge.peak({9, 9}, 0.0F);
    // Tinned copper has no hue, and laminate over copper of the other side is of another hue than
    // laminate at the edge, which is lit from below.
    const bool tinned = tin > 0.06 * counted && cv::norm(laminate) > 0.25;
    const cv::Vec2f copper = tinned ? cv::Vec2f(0, 0) : all.peak(laminate, 0.14F);
    const float darkest = median_lightness(work, laminate, 0.3F) - 0.3F;
    FirstGuess guess;
    guess.second_is_copper = true;
    guess.weight = cv::Mat(work.colour.size(), CV_32F, cv::Scalar(0));
    cv::Mat start(work.colour.size(), CV_32F, cv::Scalar(-1));
    for_board(work, [&](int y, int x, const cv::Vec3f& c) {
        // Grey much darker than the laminate is of parts, not tin.
        const bool dark_grey = tinned && c[0] <= darkest && std::hypot(c[1], c[2]) < 0.22F;
        guess.weight.at<float>(y, x) = dark_grey ? 0.0F : 1.0F;
        const double to_laminate = cv::norm(hue_of(c) - laminate);
        const double to_copper = cv::norm(hue_of(c) - copper);
        if (tinned) {
            const bool tin_here = is_tin(c) && c[0] > darkest;
            if (tin_here || (c[2] < -0.22F && c[0] > 3.2F)) {
                start.at<float>(y, x) = tin_here ? 1.0F : 0.0F;
            }
        } else if (std::min(to_laminate, to_copper) < 0.35 && c[0] > 3.2F) {
            start.at<float>(y, x) = to_copper < to_laminate ? 1.0F : 0.0F;
        }
    });
    guess.starts = {start};
    return guess;
}

}  // namespace etchback::copper::eye::detail
