// How deep copper is: measured anew only where it changed, and as if it were measured whole.

#include "copper/eye/detail/track_ends.h"

#include <gtest/gtest.h>

#include <algorithm>
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

void expect_as_whole(const cv::Mat& before, const cv::Mat& now) {
    const CopperDepth first = copper_depth(before, px_per_mm, nullptr);
    const CopperDepth anew = copper_depth(now, px_per_mm, &first);
    const CopperDepth whole = copper_depth(now, px_per_mm, nullptr);
    EXPECT_EQ(cv::norm(anew.copper, whole.copper, cv::NORM_INF), 0.0);
    int deep = 0;
    for (int y = 0; y < now.rows; ++y) {
        for (int x = 0; x < now.cols; ++x) {
            const float a = anew.pixels.at<float>(y, x);
            const float b = whole.pixels.at<float>(y, x);
            ASSERT_TRUE(a == b || std::min(a, b) > needed_px) << x << ' ' << y;
            deep += b > needed_px ? 1 : 0;
        }
    }
    EXPECT_GT(deep, 100);
}

TEST(CopperDepth, IsAsMeasuredWholeWhereAStrokeTookCopperAway) {
    cv::Mat now = board();
    cv::line(now, {60, 20}, {60, 60}, cv::Scalar(-1), 3);
    expect_as_whole(board(), now);
}

TEST(CopperDepth, IsAsMeasuredWholeWhereAStrokeAddedCopperAtTheBoardsEdge) {
    cv::Mat now = board();
    cv::rectangle(now, {230, 0, 70, 40}, cv::Scalar(2), cv::FILLED);
    expect_as_whole(board(), now);
}

TEST(CopperDepth, IsKeptWhereNothingChangedButNames) {
    cv::Mat now = board();
    now.setTo(7, now == 1);
    expect_as_whole(board(), now);
}

}  // namespace
}  // namespace etchback::copper::eye::detail
