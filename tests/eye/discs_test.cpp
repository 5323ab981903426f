// Discs on runs of pixels against OpenCV's own morphology.
#include "copper/eye/detail/discs.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "eye/blots.h"

namespace etchback::copper::eye::detail {
namespace {

cv::Mat by_opencv(int operation, const cv::Mat& mask, int r) {
    const cv::Mat disc = cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * r + 1, 2 * r + 1});
    cv::Mat out;
    cv::morphologyEx(mask, out, operation, disc);
    return out;
}

TEST(Discs, GrowShrinkOpenAndCloseAMaskAsOpenCvDoes) {
    cv::RNG random(3);
    for (int i = 0; i < 300; ++i) {
        const cv::Mat mask = blots(random);
        const int r = random.uniform(1, 8);
        const auto expect = [&](const cv::Mat& found, int operation, const char* what) {
            EXPECT_EQ(cv::countNonZero(found != by_opencv(operation, mask, r)), 0)
                << what << " picture " << i << " by " << r;
        };
        expect(grown(mask, r), cv::MORPH_DILATE, "grown");
        expect(shrunk(mask, r), cv::MORPH_ERODE, "shrunk");
        expect(opened(mask, r), cv::MORPH_OPEN, "opened");
        expect(closed(mask, r), cv::MORPH_CLOSE, "closed");
    }
}

TEST(Discs, AreOneByRoundedRadiusAndOfOnePixelAtLeast) {
    cv::Mat dot = cv::Mat::zeros(21, 21, CV_8U);
    dot.at<std::uint8_t>(10, 10) = 255;
    EXPECT_EQ(cv::countNonZero(grown(dot, 0.0)), 5);
    EXPECT_EQ(cv::countNonZero(grown(dot, 2.4) != by_opencv(cv::MORPH_DILATE, dot, 2)), 0);
    EXPECT_EQ(cv::countNonZero(grown(dot, 2.6) != by_opencv(cv::MORPH_DILATE, dot, 3)), 0);
}

TEST(Discs, LeaveNothingAndAllAsItIs) {
    const cv::Mat nothing = cv::Mat::zeros(30, 40, CV_8U);
    const cv::Mat all(30, 40, CV_8U, cv::Scalar(255));
    for (const auto change : {grown, shrunk, opened, closed}) {
        EXPECT_EQ(cv::countNonZero(change(nothing, 5.0)), 0);
        EXPECT_EQ(cv::countNonZero(change(all, 5.0)), 30 * 40);
    }
}

}  // namespace
}  // namespace etchback::copper::eye::detail
