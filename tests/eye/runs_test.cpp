// Pieces as runs against OpenCV's own.
#include "copper/eye/detail/runs.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

namespace etchback::copper::eye::detail {
namespace {

// Blots of any size, some of them at the edge.
cv::Mat blots(cv::RNG& random) {
    cv::Mat mask(random.uniform(1, 70), random.uniform(1, 70), CV_8U);
    random.fill(mask, cv::RNG::UNIFORM, 0, 256);
    cv::GaussianBlur(mask, mask, {}, random.uniform(0.4, 2.5));
    return mask > random.uniform(110, 145);
}

TEST(Runs, MakeThePiecesThatOpenCvFinds) {
    cv::RNG random(1);
    for (int i = 0; i < 200; ++i) {
        const cv::Mat mask = blots(random);
        const bool over_corners = i % 2 == 0;
        cv::Mat labels;
        const int count =
            cv::connectedComponents(mask, labels, over_corners ? 8 : 4, CV_32S, cv::CCL_WU) - 1;
        const Pieces pieces = pieces_of(mask, over_corners);
        ASSERT_EQ(pieces.count(), count);
        std::vector<int> pixels(pieces.pixels.size(), 0);
        std::vector<int> label_of(pieces.pixels.size(), 0);
        int all = 0;
        for (const auto& run : pieces.runs) {
            const auto piece = static_cast<std::size_t>(run.piece);
            for (int x = run.from; x < run.to; ++x) {
                const int label = labels.at<int>(run.y, x);
                ASSERT_NE(label, 0);
                label_of[piece] = label_of[piece] == 0 ? label : label_of[piece];
                ASSERT_EQ(label, label_of[piece]);
            }
            pixels[piece] += run.length();
            all += run.length();
        }
        EXPECT_EQ(pixels, pieces.pixels);
        EXPECT_EQ(all, cv::countNonZero(mask));
    }
}

TEST(Runs, NumberPiecesAsTheirFirstPixelsCome) {
    cv::RNG random(2);
    for (int i = 0; i < 50; ++i) {
        int next = 0;
        for (const auto& run : pieces_of(blots(random), false).runs) {
            ASSERT_LE(run.piece, next);
            next = std::max(next, run.piece + 1);
        }
    }
}

TEST(Runs, OpenAMaskPieceByPieceAsAWhole) {
    cv::RNG random(3);
    for (int i = 0; i < 200; ++i) {
        const cv::Mat mask = blots(random);
        const int r = random.uniform(1, 6);
        cv::Mat expected;
        cv::morphologyEx(mask,
                         expected,
                         cv::MORPH_OPEN,
                         cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * r + 1, 2 * r + 1}));
        EXPECT_EQ(cv::countNonZero(opened(mask, r) != expected), 0) << "picture " << i;
    }
}

}  // namespace
}  // namespace etchback::copper::eye::detail
