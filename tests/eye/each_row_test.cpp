// Rows worked on side by side, against OpenCV's blur at one go.
#include "copper/eye/detail/each_row.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>
#include <vector>

namespace etchback::copper::eye::detail {
namespace {

TEST(EachRow, IsWorkedOnOnce) {
    std::vector<int> times(1000, 0);
    for_each_row(static_cast<int>(times.size()),
                 [&](int y) { ++times[static_cast<std::size_t>(y)]; });
    EXPECT_EQ(times, std::vector<int>(1000, 1));
    for_each_row(0, [](int) { FAIL(); });
}

// Whatever the machine has.
void expect_the_same_blur(const cv::Mat& values, double sigma_px) {
    cv::Mat whole;
    cv::GaussianBlur(values, whole, {}, sigma_px);
    const int own = cv::getNumThreads();
    for (const int threads : {1, 2, 7}) {
        cv::setNumThreads(threads);
        const cv::Mat found = blurred(values, sigma_px);
        ASSERT_EQ(found.size(), values.size());
        ASSERT_EQ(found.type(), values.type());
        EXPECT_EQ(cv::norm(found, whole, cv::NORM_INF), 0.0)
            << values.cols << " x " << values.rows << ", sigma " << sigma_px << ", " << threads
            << " threads";
    }
    cv::setNumThreads(own);
}

TEST(EachRow, IsBlurredAsAtOneGo) {
    cv::RNG random(7);
    for (const cv::Size size : {cv::Size(1, 1),
                                cv::Size(5, 3),
                                cv::Size(37, 127),
                                cv::Size(64, 128),
                                cv::Size(331, 257),
                                cv::Size(90, 1000)}) {
        for (const int type : {CV_32FC1, CV_32FC3}) {
            cv::Mat values(size, type);
            random.fill(values, cv::RNG::UNIFORM, -3.0, 3.0);
            for (const double sigma_px : {0.6, 1.76, 5.0}) {
                expect_the_same_blur(values, sigma_px);
            }
        }
    }
}

TEST(EachRow, IsBlurredAsAtOneGoInAPartOfAPicture) {
    cv::RNG random(8);
    cv::Mat values(400, 300, CV_32F);
    random.fill(values, cv::RNG::UNIFORM, 0.0, 1.0);
    expect_the_same_blur(values(cv::Rect(20, 30, 200, 300)), 1.5);
}

}  // namespace
}  // namespace etchback::copper::eye::detail
