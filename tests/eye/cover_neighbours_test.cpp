// Copper beside copper below a narrow cover.
#include "copper/eye/detail/cover_neighbours.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "copper/eye/detail/covered_ends.h"

namespace etchback::copper::eye::detail {
namespace {

// Three squares in a row, 6 pixels apart; what lies between the first two is covered.
struct Row {
    cv::Mat labels{40, 100, CV_32S, cv::Scalar(-1)};
    cv::Mat covers{40, 100, CV_8U, cv::Scalar(seen)};

    Row() {
        for (int i = 0; i < 3; ++i) {
            labels(cv::Rect(5 + 26 * i, 10, 20, 20)).setTo(i);
        }
        covers(cv::Rect(25, 10, 6, 20)).setTo(print);
    }

    std::vector<CoverNeighbours> found(double most, const cv::Mat& walls = {}) const {
        return cover_neighbours(labels, 3, covers, walls, most);
    }
};

TEST(CoverNeighbours, AreFoundOnlyWhereSomethingCoversWhatLiesBetween) {
    const std::vector<CoverNeighbours> pairs = Row().found(10.0);
    ASSERT_EQ(pairs.size(), 1U);
    EXPECT_EQ(pairs[0].a, 0);
    EXPECT_EQ(pairs[0].b, 1);
    EXPECT_EQ(pairs[0].from.x, 24);
    EXPECT_EQ(pairs[0].to.x, 31);
    EXPECT_NEAR(pairs[0].length, 7.0, 0.01);
}

TEST(CoverNeighbours, AreNoFurtherApartThanIsAllowed) {
    EXPECT_TRUE(Row().found(4.0).empty());
}

TEST(CoverNeighbours, AreNotJoinedAcrossAWall) {
    const Row row;
    cv::Mat wall(row.labels.size(), CV_8U, cv::Scalar(0));
    wall(cv::Rect(28, 0, 1, 40)).setTo(255);
    EXPECT_TRUE(row.found(10.0, wall).empty());
}

TEST(CoverNeighbours, WaysAroundACornerAreAsLongAsTheyAre) {
    Row row;
    row.covers.setTo(seen);
    // Out of the first square to the right is open board; the cover leads around below.
    row.covers(cv::Rect(5, 30, 46, 4)).setTo(print);
    const std::vector<CoverNeighbours> pairs = row.found(14.0);
    ASSERT_EQ(pairs.size(), 1U);
    EXPECT_GT(pairs[0].length, 6.9);
    EXPECT_LT(pairs[0].length, 9.5);
}

}  // namespace
}  // namespace etchback::copper::eye::detail
