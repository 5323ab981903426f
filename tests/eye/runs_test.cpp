// Pieces as runs against OpenCV's own.
#include "copper/eye/detail/runs.h"

#include <gtest/gtest.h>

#include <opencv2/imgproc.hpp>

#include "eye/blots.h"

namespace etchback::copper::eye::detail {
namespace {

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

}  // namespace
}  // namespace etchback::copper::eye::detail
