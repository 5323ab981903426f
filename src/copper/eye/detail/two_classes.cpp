#include "copper/eye/detail/two_classes.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <opencv2/imgproc.hpp>
#include <utility>
#include <vector>

#include "copper/eye/detail/class_samples.h"

namespace etchback::copper::eye::detail {

namespace {

constexpr double enough_samples = 90000.0;
constexpr int few = 2;  // what is learned first is learned on each second of each second row
constexpr float strangers = 12.0F;  // squared distance at which a pixel is as likely a stranger
constexpr double least_sd[3] = {0.02, 0.012, 0.012};

std::array<Cloud, 2> clouds_of(const ColourSums& first, const ColourSums& second) {
    std::array<Cloud, 2> clouds;
    const double all = std::max(first.weight + second.weight, 1e-6);
    // Grain and noise are the same on both: a small class cannot grow into whatever is left over.
    const cv::Matx33d both =
        (1.0 / all) * (first.weight * first.covariance() + second.weight * second.covariance());
    for (const auto& [cloud, sums] :
         {std::pair(&clouds[0], &first), std::pair(&clouds[1], &second)}) {
        cv::Matx33d covariance = 0.5 * both + 0.5 * sums->covariance();
        for (int i = 0; i < 3; ++i) {
            covariance(i, i) += least_sd[i] * least_sd[i];
        }
        cloud->mean = cv::Vec3f(sums->mean / std::max(sums->weight, 1e-6));
        cloud->inverse = cv::Matx33f(covariance.inv());
        cloud->share = std::clamp(sums->weight / all, 0.05, 0.95);
        cloud->log_scale = static_cast<float>(std::log(cloud->share) -
                                              0.5 * std::log(cv::determinant(covariance)));
    }
    return clouds;
}

class Learner {
public:
    Learner(const cv::Mat& colour,
            const cv::Mat& weight,
            const cv::Mat& start,
            const cv::Mat& fixed,
            double px_per_mm) {
        classes_.cell_px = std::max(2.0, px_per_mm);
        cells_ = cv::Size(cvCeil(colour.cols / classes_.cell_px),
                          cvCeil(colour.rows / classes_.cell_px));
        classes_.light = cv::Mat(cells_, CV_32FC3, cv::Scalar::all(0));
        const int stride =
            std::max(1, cvRound(std::sqrt(static_cast<double>(colour.total()) / enough_samples)));
        middle_ = middle_of(colour, stride);
        const std::vector<std::int8_t> nothing(static_cast<std::size_t>(colour.cols), -1);
        samples_.reserve(static_cast<std::size_t>(colour.cols / stride + 1) *
                         static_cast<std::size_t>(colour.rows / stride + 1));
        // The few that are learned on first come first.
        for (const bool first : {true, false}) {
            for (int y = 0; y < colour.rows; ++y) {
                const auto* said = fixed.empty() ? nullptr : fixed.ptr<std::int8_t>(y);
                if (said != nullptr && std::memcmp(said, nothing.data(), nothing.size()) == 0) {
                    said = nullptr;
                }
                if (said == nullptr && y % stride != 0) {
                    continue;
                }
                const int step = said == nullptr ? stride : 1;
                for (int x = 0; x < colour.cols; x += step) {
                    const int known = said == nullptr ? -1 : said[x];
                    // Of what is said the same share, so that it counts as much as ever.
                    const bool is_first = known >= 0
                                              ? (x + y) % (few * few) == 0
                                              : x % (few * stride) == 0 && y % (few * stride) == 0;
                    if (is_first != first || (known < 0 && (x % stride != 0 || y % stride != 0))) {
                        continue;
                    }
                    if (const float w = weight.at<float>(y, x); w > 0.0F) {
                        const float guess =
                            known >= 0 ? static_cast<float>(known) : start.at<float>(y, x);
                        samples_.add(
                            colour.at<cv::Vec3f>(y, x) - middle_, w, guess, known, cell(x, y));
                    }
                }
            }
            few_ = first ? samples_.size() : few_;
        }
        samples_.complete();
    }

    TwoClasses learn() {
        weigh_anchors();
        estimate_clouds(samples_.size());
        // The light is let vary ever faster, as the clouds become known; first on few samples.
        for (const double reach_mm : {1000.0, 1000.0, 12.0, 8.0, 5.0}) {
            turn(reach_mm, few_);
        }
        for (const double reach_mm : {3.5, 2.5, 2.0}) {
            turn(reach_mm, samples_.size());
        }
        const cv::Vec3f d = classes_.clouds[1].mean - classes_.clouds[0].mean;
        const cv::Matx33f both = classes_.clouds[0].inverse + classes_.clouds[1].inverse;
        classes_.separation = std::sqrt(std::max(0.0F, 0.5F * d.dot(both * d)));
        classes_.likelihood = samples_.likelihood(classes_.clouds);
        for (Cloud& cloud : classes_.clouds) {
            cloud.mean += middle_;
        }
        return classes_;
    }

private:
    // Colours are counted from their middle: sums of squares stay small.
    static cv::Vec3f middle_of(const cv::Mat& colour, int stride) {
        cv::Vec3d sum(0.0, 0.0, 0.0);
        int count = 0;
        for (int y = 0; y < colour.rows; y += stride) {
            for (int x = 0; x < colour.cols; x += stride) {
                sum += cv::Vec3d(colour.at<cv::Vec3f>(y, x));
                ++count;
            }
        }
        return cv::Vec3f(sum / std::max(1, count));
    }

    int cell(int x, int y) const {
        return std::min(cells_.height - 1, static_cast<int>(y / classes_.cell_px)) * cells_.width +
               std::min(cells_.width - 1, static_cast<int>(x / classes_.cell_px));
    }

    // What is said keeps its say among many pixels that are only seen.
    void weigh_anchors() {
        double known = 0.0;
        double all = 0.0;
        for (std::size_t i = 0; i < samples_.size(); ++i) {
            known += samples_.fixed[i] >= 0 ? samples_.weight[i] : 0.0;
            all += samples_.weight[i];
        }
        const double factor = known > 0.0 ? std::clamp(0.03 * all / known, 0.05, 50.0) : 1.0;
        for (std::size_t i = 0; i < samples_.size(); ++i) {
            samples_.weight[i] *= samples_.fixed[i] >= 0 ? static_cast<float>(factor) : 1.0F;
        }
    }

    void turn(double reach_mm, std::size_t count) {
        samples_.share_out(classes_.clouds, strangers, count);
        estimate_light(reach_mm, count);
        samples_.light_evenly(classes_.light);
        estimate_clouds(count);
    }

    void estimate_clouds(std::size_t count) {
        classes_.clouds = clouds_of(samples_.sums_of_first(count), samples_.sums_of_second(count));
    }

    void estimate_light(double reach_cells, std::size_t samples) {
        std::vector<cv::Vec4f> left = samples_.left_in_cells(
            classes_.clouds, samples, static_cast<std::size_t>(cells_.area()));
        if (reach_cells >= 1000.0) {
            fit_plane(left);
            return;
        }
        cv::Mat cells(cells_, CV_32FC4, left.data());
        cv::GaussianBlur(cells, cells, {}, reach_cells, reach_cells, cv::BORDER_CONSTANT);
        auto* light = classes_.light.ptr<cv::Vec3f>();
        for (const cv::Vec4f& of : left) {
            *light++ = cv::Vec3f(of[0], of[1], of[2]) / (of[3] + 0.02F);
        }
    }

    // Light as a quadratic over the board.
    void fit_plane(const std::vector<cv::Vec4f>& left) {
        const auto terms = [&](int x, int y) {
            const double u = 2.0 * (x + 0.5) / cells_.width - 1.0;
            const double v = 2.0 * (y + 0.5) / cells_.height - 1.0;
            return cv::Vec6d(1.0, u, v, u * u, u * v, v * v);
        };
        cv::Mat normal(6, 6, CV_64F, cv::Scalar(0));
        cv::Mat right(6, 3, CV_64F, cv::Scalar(0));
        for (int y = 0; y < cells_.height; ++y) {
            for (int x = 0; x < cells_.width; ++x) {
                const cv::Vec6d t = terms(x, y);
                const cv::Vec4f& of = left[static_cast<std::size_t>(y * cells_.width + x)];
                const double w = of[3];
                for (int i = 0; i < 6; ++i) {
                    for (int j = 0; j < 6; ++j) {
                        normal.at<double>(i, j) += w * t[i] * t[j];
                    }
                    for (int k = 0; k < 3; ++k) {
                        right.at<double>(i, k) += t[i] * of[k];
                    }
                }
            }
        }
        normal += cv::Mat::eye(6, 6, CV_64F) * 1e-3;
        cv::Mat solution;
        cv::solve(normal, right, solution, cv::DECOMP_CHOLESKY);
        for (int y = 0; y < cells_.height; ++y) {
            for (int x = 0; x < cells_.width; ++x) {
                const cv::Vec6d t = terms(x, y);
                cv::Vec3f& out = classes_.light.at<cv::Vec3f>(y, x);
                for (int k = 0; k < 3; ++k) {
                    double value = 0.0;
                    for (int i = 0; i < 6; ++i) {
                        value += t[i] * solution.at<double>(i, k);
                    }
                    out[k] = static_cast<float>(value);
                }
            }
        }
    }

    TwoClasses classes_;
    cv::Size cells_;
    cv::Vec3f middle_;
    ClassSamples samples_;
    std::size_t few_ = 0;
};

}  // namespace

TwoClasses learn_two(const cv::Mat& colour,
                     const cv::Mat& weight,
                     const cv::Mat& start,
                     const cv::Mat& fixed,
                     double px_per_mm) {
    return Learner(colour, weight, start, fixed, px_per_mm).learn();
}

}  // namespace etchback::copper::eye::detail
