// How deep copper is: as OpenCV measures it over the whole board, and no farther than asked.

#include "copper/eye/detail/track_ends.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {
namespace {

constexpr double px_per_mm = 10.0;
constexpr float needed_px = 7.5F;  // 0.75 mm: what ends of tracks ask for

cv::Mat board() {
    cv::Mat labels(200, 300, CV_32S, cv::Scalar(-1));
    cv::rectangle(labels, {10, 10, 200, 60}, cv::Scalar(0), cv::FILLED);
    cv::circle(labels, {150, 130}, 40, cv::Scalar(1), cv::FILLED);
    cv::line(labels, {180, 130}, {290, 190}, cv::Scalar(1), 6);
    return labels;
}

TEST(CopperDepth, IsThatOfTheWholeBoardAtEachPixelAndBeyondWhereItIsFarther) {
    const cv::Mat labels = board();
    cv::Mat whole;
    cv::distanceTransform(labels >= 0, whole, cv::DIST_L2, cv::DIST_MASK_3);
    const CopperDepth depth(needed_px);
    int deep = 0;
    int beyond = 0;
    for (int y = 0; y < labels.rows; ++y) {
        for (int x = 0; x < labels.cols; ++x) {
            const float expected = whole.at<float>(y, x);
            const float found = depth.at({x, y}, labels);
            ASSERT_EQ(found, expected > needed_px ? CopperDepth::beyond : expected)
                << x << ' ' << y;
            deep += expected > 5.0F && found < CopperDepth::beyond ? 1 : 0;
            beyond += found == CopperDepth::beyond ? 1 : 0;
        }
    }
    EXPECT_GT(deep, 100);
    EXPECT_GT(beyond, 100);
}

TEST(CopperDepth, DoesNotEndAtTheEdgeOfThePicture) {
    cv::Mat labels(40, 40, CV_32S, cv::Scalar(0));
    labels.at<int>(5, 3) = -1;
    const CopperDepth depth(needed_px);
    EXPECT_EQ(depth.at({39, 39}, labels), CopperDepth::beyond);
    EXPECT_NEAR(depth.at({0, 5}, labels), 3 * 0.955, 1e-4);
}

}  // namespace
}  // namespace etchback::copper::eye::detail
