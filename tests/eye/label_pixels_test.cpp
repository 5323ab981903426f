// What is worked on by several pixels at once comes to the same as pixel by pixel.

#include "copper/eye/detail/label_pixels.h"

#include <gtest/gtest.h>

#include <random>

namespace etchback::copper::eye::detail {
namespace {

constexpr int count = 5;

// As wide as no number of pixels that are worked on at once.
cv::Mat labels() {
    std::mt19937 random(3);
    cv::Mat out(9, 53, CV_32S);
    for (int& label : cv::Mat_<int>(out)) {
        label = static_cast<int>(random() % (count + 3)) - 1;
    }
    return out;
}

TEST(LabelPixels, AreNumberedHigherButWhereThereIsNone) {
    const cv::Mat before = labels();
    cv::Mat after;
    renumber(before, 1000, after);
    for (int y = 0; y < before.rows; ++y) {
        for (int x = 0; x < before.cols; ++x) {
            const int label = before.at<int>(y, x);
            EXPECT_EQ(after.at<int>(y, x), label < 0 ? -1 : label + 1000);
        }
    }
}

TEST(LabelPixels, AreToldToBeNumberedHigherOnlyWhereEachOneIs) {
    const cv::Mat before = labels();
    cv::Mat after;
    renumber(before, 7, after);
    EXPECT_TRUE(is_renumbered(before, 7, after));
    EXPECT_FALSE(is_renumbered(before, 6, after));
    EXPECT_FALSE(is_renumbered(before, 7, after.rowRange(0, after.rows - 1)));
    for (int x = 0; x < before.cols; ++x) {
        int& label = after.at<int>(4, x);
        ++label;
        EXPECT_FALSE(is_renumbered(before, 7, after));
        --label;
    }
}

TEST(LabelPixels, BelowACountAreThoseOfThePiecesCounted) {
    const cv::Mat all = labels();
    const cv::Mat mask = pieces_below(all, count);
    const cv::Mat first = first_pieces(all, count);
    for (int y = 0; y < all.rows; ++y) {
        for (int x = 0; x < all.cols; ++x) {
            const int label = all.at<int>(y, x);
            EXPECT_EQ(mask.at<std::uint8_t>(y, x), label >= 0 && label < count ? 255 : 0);
            EXPECT_EQ(first.at<int>(y, x), label < count ? label : -1);
        }
    }
}

TEST(LabelPixels, AreCountedForEachPiece) {
    const cv::Mat all = labels();
    std::vector<int> expected(count, 0);
    for (const int label : cv::Mat_<int>(all)) {
        if (label >= 0 && label < count) {
            ++expected[static_cast<std::size_t>(label)];
        }
    }
    EXPECT_EQ(pixels_of_each(all, count), expected);
    EXPECT_GT(expected.back(), 0);
}

TEST(LabelPixels, StayWhereALevelIsHighEnough) {
    const cv::Mat before = labels();
    cv::Mat level(before.size(), CV_8U);
    cv::randu(level, 0, 256);
    cv::Mat after = before.clone();
    keep_where(level, 128, after);
    for (int y = 0; y < before.rows; ++y) {
        for (int x = 0; x < before.cols; ++x) {
            const bool stays = level.at<std::uint8_t>(y, x) >= 128;
            EXPECT_EQ(after.at<int>(y, x), stays ? before.at<int>(y, x) : -1);
        }
    }
}

TEST(LabelPixels, TellTheLowestAndTheHighestNumberOfAPiece) {
    cv::Mat few(3, 7, CV_32S, cv::Scalar(-1));
    EXPECT_GT(first_and_last(few).first, first_and_last(few).second);
    few.at<int>(1, 6) = 4;
    EXPECT_EQ(first_and_last(few), std::pair(4, 4));
    few.at<int>(2, 1) = 9;
    EXPECT_EQ(first_and_last(few), std::pair(4, 9));
}

}  // namespace
}  // namespace etchback::copper::eye::detail
