#include "copper/eye/detail/two_classes.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <utility>

namespace etchback::copper::eye::detail {

namespace {

constexpr double enough_samples = 90000.0;
constexpr float strangers = 12.0F;  // squared distance at which a pixel is as likely a stranger
constexpr double least_sd[3] = {0.02, 0.012, 0.012};

struct Sample {
    cv::Vec3f colour;
    float weight;
    float second;  // share of the second class, then of the estimate
    float first;
    int fixed;
    int cell;
};

struct Sums {
    double weight = 0.0;
    cv::Vec3d mean;
    double square[6] = {};  // above the diagonal and on it, row by row

    void add(const cv::Vec3f& v, double w) {
        weight += w;
        const double d[3] = {v[0], v[1], v[2]};
        for (int i = 0; i < 3; ++i) {
            mean[i] += w * d[i];
        }
        square[0] += w * (d[0] * d[0]);
        square[1] += w * (d[0] * d[1]);
        square[2] += w * (d[0] * d[2]);
        square[3] += w * (d[1] * d[1]);
        square[4] += w * (d[1] * d[2]);
        square[5] += w * (d[2] * d[2]);
    }
    cv::Matx33d squares() const {
        return {square[0],
                square[1],
                square[2],
                square[1],
                square[3],
                square[4],
                square[2],
                square[4],
                square[5]};
    }
};

cv::Matx33d covariance_of(const Sums& sums) {
    const double w = std::max(sums.weight, 1e-6);
    const cv::Vec3d mean = sums.mean / w;
    return sums.squares() * (1.0 / w) - mean * mean.t();
}

std::array<Cloud, 2> clouds_of(const Sums& first, const Sums& second) {
    std::array<Cloud, 2> clouds;
    const double all = std::max(first.weight + second.weight, 1e-6);
    // Grain and noise are the same on both: a small class cannot grow into whatever is left over.
    const cv::Matx33d both =
        (1.0 / all) * (first.weight * covariance_of(first) + second.weight * covariance_of(second));
    for (const auto& [cloud, sums] :
         {std::pair(&clouds[0], &first), std::pair(&clouds[1], &second)}) {
        cv::Matx33d covariance = 0.5 * both + 0.5 * covariance_of(*sums);
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
        for (int y = 0; y < colour.rows; ++y) {
            for (int x = 0; x < colour.cols; ++x) {
                const int known = fixed.empty() ? -1 : fixed.at<std::int8_t>(y, x);
                const float w = weight.at<float>(y, x);
                if (w <= 0.0F || (known < 0 && (x % stride != 0 || y % stride != 0))) {
                    continue;
                }
                const float guess = known >= 0 ? static_cast<float>(known) : start.at<float>(y, x);
                Sample sample{colour.at<cv::Vec3f>(y, x), w, 0.0F, 0.0F, known, 0};
                if (guess >= 0.0F) {
                    sample.second = guess;
                    sample.first = 1.0F - guess;
                }
                sample.cell = std::min(cells_.height - 1, static_cast<int>(y / classes_.cell_px)) *
                                  cells_.width +
                              std::min(cells_.width - 1, static_cast<int>(x / classes_.cell_px));
                samples_.push_back(sample);
            }
        }
    }

    TwoClasses learn() {
        weigh_anchors();
        estimate_clouds();
        // The light is let vary ever faster, as the clouds become known.
        for (const double reach_mm : {1000.0, 1000.0, 12.0, 8.0, 5.0, 3.5, 2.5, 2.0}) {
            share_out();
            estimate_light(reach_mm);
            estimate_clouds();
        }
        const cv::Vec3f d = classes_.clouds[1].mean - classes_.clouds[0].mean;
        const cv::Matx33f both = classes_.clouds[0].inverse + classes_.clouds[1].inverse;
        classes_.separation = std::sqrt(std::max(0.0F, 0.5F * d.dot(both * d)));
        classes_.likelihood = likelihood();
        return classes_;
    }

private:
    // Mean over all samples. A stranger may have any colour.
    double likelihood() const {
        constexpr float anywhere = -4.0F;
        double sum = 0.0;
        double weight = 0.0;
        for (const Sample& s : samples_) {
            const cv::Vec3f v = s.colour - light(s);
            const float a = classes_.clouds[0].log_density(v);
            const float b = classes_.clouds[1].log_density(v);
            const float top = std::max({a, b, anywhere});
            sum +=
                s.weight *
                (top + std::log(std::exp(a - top) + std::exp(b - top) + std::exp(anywhere - top)));
            weight += s.weight;
        }
        return weight > 0.0 ? sum / weight : 0.0;
    }

    const cv::Vec3f& light(const Sample& s) const {
        return *(classes_.light.ptr<cv::Vec3f>() + s.cell);
    }

    // What is said keeps its say among many pixels that are only seen.
    void weigh_anchors() {
        double known = 0.0;
        double all = 0.0;
        for (const Sample& s : samples_) {
            known += s.fixed >= 0 ? s.weight : 0.0;
            all += s.weight;
        }
        const double factor = known > 0.0 ? std::clamp(0.03 * all / known, 0.05, 50.0) : 1.0;
        for (Sample& s : samples_) {
            s.weight *= s.fixed >= 0 ? static_cast<float>(factor) : 1.0F;
        }
    }

    void estimate_clouds() {
        Sums first;
        Sums second;
        for (const Sample& s : samples_) {
            const cv::Vec3f v = s.colour - light(s);
            first.add(v, s.weight * s.first);
            second.add(v, s.weight * s.second);
        }
        classes_.clouds = clouds_of(first, second);
    }

    void share_out() {
        for (Sample& s : samples_) {
            if (s.fixed >= 0) {
                s.second = static_cast<float>(s.fixed);
                s.first = 1.0F - s.second;
                continue;
            }
            const cv::Vec3f v = s.colour - light(s);
            const float a = classes_.clouds[0].log_density(v);
            const float b = classes_.clouds[1].log_density(v);
            const float strange =
                std::max(classes_.clouds[0].log_scale, classes_.clouds[1].log_scale) -
                0.5F * strangers;
            const float top = std::max({a, b, strange});
            const float ea = std::exp(a - top);
            const float eb = std::exp(b - top);
            const float sum = ea + eb + std::exp(strange - top);
            s.first = ea / sum;
            s.second = eb / sum;
        }
    }

    void estimate_light(double reach_cells) {
        cv::Mat sum(cells_, CV_32FC3, cv::Scalar::all(0));
        cv::Mat count(cells_, CV_32F, cv::Scalar(0));
        auto* sums = sum.ptr<cv::Vec3f>();
        auto* counts = count.ptr<float>();
        for (const Sample& s : samples_) {
            sums[s.cell] += s.weight * (s.first * (s.colour - classes_.clouds[0].mean) +
                                        s.second * (s.colour - classes_.clouds[1].mean));
            counts[s.cell] += s.weight * (s.first + s.second);
        }
        if (reach_cells >= 1000.0) {
            fit_plane(sum, count);
            return;
        }
        cv::GaussianBlur(sum, sum, {}, reach_cells, reach_cells, cv::BORDER_CONSTANT);
        cv::GaussianBlur(count, count, {}, reach_cells, reach_cells, cv::BORDER_CONSTANT);
        for (int i = 0; i < cells_.area(); ++i) {
            classes_.light.ptr<cv::Vec3f>()[i] = sums[i] / (counts[i] + 0.02F);
        }
    }

    // Light as a quadratic over the board.
    void fit_plane(const cv::Mat& sum, const cv::Mat& count) {
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
                const double w = count.at<float>(y, x);
                for (int i = 0; i < 6; ++i) {
                    for (int j = 0; j < 6; ++j) {
                        normal.at<double>(i, j) += w * t[i] * t[j];
                    }
                    for (int k = 0; k < 3; ++k) {
                        right.at<double>(i, k) += t[i] * sum.at<cv::Vec3f>(y, x)[k];
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
    std::vector<Sample> samples_;
};

}  // namespace

TwoClasses learn_two(const cv::Mat& colour,
                     const cv::Mat& weight,
                     const cv::Mat& start,
                     const cv::Mat& fixed,
                     double px_per_mm) {
    return Learner(colour, weight, start, fixed, px_per_mm).learn();
}

void tell_apart(const TwoClasses& classes, const cv::Mat& colour, cv::Mat& odds, cv::Mat& strange) {
    tell_apart(classes, colour, odds, strange, cv::Rect({0, 0}, colour.size()));
}

void tell_apart(const TwoClasses& classes,
                const cv::Mat& colour,
                cv::Mat& odds,
                cv::Mat& strange,
                cv::Rect box) {
    odds.create(box.size(), CV_32F);
    strange.create(box.size(), CV_32F);
    cv::Mat light;
    cv::resize(classes.light, light, colour.size(), 0, 0, cv::INTER_LINEAR);
    const Cloud& first = classes.clouds[0];
    const Cloud& second = classes.clouds[1];
    for (int y = 0; y < box.height; ++y) {
        const auto* c = colour.ptr<cv::Vec3f>(box.y + y) + box.x;
        const auto* l = light.ptr<cv::Vec3f>(box.y + y) + box.x;
        auto* o = odds.ptr<float>(y);
        auto* s = strange.ptr<float>(y);
        for (int x = 0; x < box.width; ++x) {
            const cv::Vec3f v = c[x] - l[x];
            const float a = first.log_density(v);
            const float b = second.log_density(v);
            o[x] = b - a;
            s[x] = 2.0F * std::min(first.log_scale - a, second.log_scale - b);
        }
    }
}

}  // namespace etchback::copper::eye::detail
