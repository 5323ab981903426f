// Invented boards: their copper is what their nets say.

#include <gtest/gtest.h>

#include <algorithm>

#include <opencv2/imgproc.hpp>

#include "board-photographer/layout_file.h"
#include "board-photographer/make_board.h"
#include "board-photographer/truth.h"
#include "photographer/connectivity.h"

namespace etchback::photographer {
namespace {

TEST(InventedBoard, HasCopperThatJoinsEachNetAndNoTwo) {
    for (std::uint64_t seed = 1; seed <= 16; ++seed) {
        SCOPED_TRACE(seed);
        EXPECT_EQ(faults_of_copper(truth_of(make_board(seed), 40.0)), "");
    }
}

TEST(InventedBoard, IsSeenToBeWrongWhenATrackIsMissing) {
    Layout layout = make_board(2);
    const auto longest = std::max_element(
        layout.tracks.begin(), layout.tracks.end(), [](const Track& a, const Track& b) {
            return a.along.size() < b.along.size();
        });
    layout.tracks.erase(longest);
    layout.pours.clear();
    EXPECT_NE(faults_of_copper(truth_of(layout, 40.0)), "");
}

TEST(InventedBoard, IsTheSameForTheSameSeed) {
    EXPECT_EQ(make_board(5), make_board(5));
    EXPECT_NE(make_board(5), make_board(6));
}

TEST(InventedBoard, ObeysItsKnobs) {
    for (const int sides : {1, 2}) {
        for (const int pads : {20, 60, 150}) {
            BoardKnobs knobs;
            knobs.sides = sides;
            knobs.pads = pads;
            knobs.mask = Mask::red;
            const Layout layout = make_board(17, knobs);
            EXPECT_EQ(layout.board.sides, sides);
            EXPECT_EQ(layout.board.mask, Mask::red);
            EXPECT_NEAR(static_cast<double>(pads_of(layout).size()), pads, 10.0);
        }
    }
}

TEST(InventedBoard, HasNoTopCopperOnOneSide) {
    BoardKnobs knobs;
    knobs.sides = 1;
    const Truth truth = truth_of(make_board(3, knobs));
    EXPECT_EQ(cv::countNonZero(truth.top), 0);
    EXPECT_GT(cv::countNonZero(truth.bottom), 0);
}

TEST(LayoutFile, GivesBackWhatWasWritten) {
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
        Layout layout = make_board(seed);
        layout.gaps = {{"primary", "secondary", 6.0}};
        layout.nets["GND"].domain = "primary";
        layout.board.cut_outs = {{{1, 1}, {2, 1}, {2, 2}}};
        layout.board.slots = {{{{3, 3}, {3, 6}}, 0.8}};
        layout.jumpers = {{"GND", {2, 2}, {5, 2}}};
        layout.blobs = {{"GND", "DET", Side::bottom, {{4, 4}}, 1.1}};
        const auto again = parse_layout(write_layout(layout), "layout.toml");
        ASSERT_TRUE(again) << base::to_string(again.errors().front());
        EXPECT_EQ(*again, layout);
    }
}

}  // namespace
}  // namespace etchback::photographer
