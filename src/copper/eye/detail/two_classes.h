// Two kinds of surface that differ little, told apart below uneven light.
//
// A mixture of two Gaussian clouds of colour and a few strangers, seen through a light that changes
// slowly over the board; clouds and light are estimated in turns (Wells et al., IEEE Trans. Medical
// Imaging 15 (1996) 429-442).
#pragma once

#include <array>
#include <opencv2/core.hpp>
#include <vector>

namespace etchback::copper::eye::detail {

struct Cloud {
    cv::Vec3f mean;
    cv::Matx33f inverse = cv::Matx33f::eye();  // of the covariance
    float log_scale = 0.0F;                    // log of prior over root of determinant
    double share = 0.5;

    float log_density(const cv::Vec3f& v) const {
        const cv::Vec3f d = v - mean;
        return log_scale - 0.5F * d.dot(inverse * d);
    }
};

struct TwoClasses {
    std::array<Cloud, 2> clouds;
    cv::Mat light;            // CV_32FC3, one value for each cell of about a millimetre
    double cell_px = 1.0;     // work pixels
    double likelihood = 0.0;  // mean logarithm, to compare what different starts came to
    double separation = 0.0;  // distance of the clouds in standard deviations
};

// `weight`: CV_32F, how much a pixel counts (0: not at all; more than 1: the person said so).
// `start`: CV_32F, the first guess of the second class's share, below 0 where there is none.
// `fixed`: CV_8S, 0 or 1 where the class is known, else -1; may be empty.
TwoClasses learn_two(const cv::Mat& colour,
                     const cv::Mat& weight,
                     const cv::Mat& start,
                     const cv::Mat& fixed,
                     double px_per_mm);

// The colours as even light would show them, in a part of the picture: CV_32FC3 of the box's size.
cv::Mat under_even_light(const TwoClasses& classes, const cv::Mat& colour, cv::Rect box);

// The same of single pixels, in one row.
cv::Mat under_even_light(const TwoClasses& classes,
                         const cv::Mat& colour,
                         const std::vector<cv::Point>& pixels);

// Per pixel under even light: log odds of the second class against the first (CV_32F), and the
// squared distance to the nearer cloud in standard deviations (CV_32F).
void tell_apart(const TwoClasses& classes, const cv::Mat& even, cv::Mat& odds, cv::Mat& strange);

// Log odds to probabilities, 1 / (1 + exp(-odds)); both may be the same row.
void chances_of_row(const float* odds, float* chances, int count);

}  // namespace etchback::copper::eye::detail
