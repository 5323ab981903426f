// What is made of a straightened side before it is classified, against OpenCV's own.
#include "copper/eye/detail/work_picture.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "copper/eye/detail/two_classes.h"

namespace etchback::copper::eye::detail {
namespace {

// A board with round corners, a bite and an opening, on 10 px a mm.
StraightSide side_of_a_board(cv::Size size) {
    StraightSide side;
    side.bgr = cv::Mat(size, CV_8UC3, cv::Scalar(40, 90, 30));
    side.inside = cv::Mat(size, CV_8U, cv::Scalar(255));
    cv::circle(side.inside, {0, 0}, 40, cv::Scalar(0), cv::FILLED);
    cv::circle(side.inside, {size.width / 2, size.height}, 25, cv::Scalar(0), cv::FILLED);
    cv::rectangle(side.inside, cv::Rect(size.width / 3, 64, 30, 20), cv::Scalar(0), cv::FILLED);
    side.inside.at<std::uint8_t>(size.height - 70, size.width - 90) = 0;
    return side;
}

TEST(WorkPicture, MeasuresTheDistanceToTheEdgeAsFarAsHalfAMillimetre) {
    constexpr float far_mm = 0.5F;
    const StraightSide side = side_of_a_board({331, 257});
    Raster raster;
    raster.width = side.inside.cols;
    raster.height = side.inside.rows;
    raster.px_per_mm = 10.0;
    const WorkPicture work = work_picture(side, raster, {});
    ASSERT_EQ(work.depth.size(), side.inside.size());
    cv::Mat framed;
    cv::copyMakeBorder(side.inside, framed, 1, 1, 1, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
    cv::Mat whole;
    cv::distanceTransform(framed, whole, cv::DIST_L2, cv::DIST_MASK_3);
    int near = 0;
    for (int y = 0; y < work.depth.rows; ++y) {
        for (int x = 0; x < work.depth.cols; ++x) {
            const float expected = whole.at<float>(y + 1, x + 1) / 10.0F;
            const float found = work.depth.at<float>(y, x);
            near += expected <= far_mm ? 1 : 0;
            ASSERT_NEAR(std::min(found, far_mm), std::min(expected, far_mm), 1e-5) << x << " " << y;
        }
    }
    EXPECT_GT(near, 5000);
    EXPECT_LT(near, 40000);
}

TEST(Chances, AreTheLogisticFunctionAlsoInPlaceAndFarOut) {
    std::vector<float> odds;
    for (float x = -90.0F; x <= 90.0F; x += 0.37F) {
        odds.push_back(x);
    }
    std::vector<float> chances = odds;
    chances_of_row(chances.data(), chances.data(), static_cast<int>(chances.size()));
    for (std::size_t i = 0; i < odds.size(); ++i) {
        EXPECT_NEAR(chances[i], 1.0 / (1.0 + std::exp(-static_cast<double>(odds[i]))), 1e-6)
            << odds[i];
    }
}

}  // namespace
}  // namespace etchback::copper::eye::detail
