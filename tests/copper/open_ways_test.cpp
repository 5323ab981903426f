// Gaps and hidden ways, weighed by what would hang on nothing without them.
#include "copper/detail/open_ways.h"

#include <gtest/gtest.h>

#include "copper/squares.h"

namespace etchback::copper::detail {
namespace {

using Kind = Joint::Kind;

BoardPicture photographed(const Squares& board) {
    BoardPicture picture;
    picture.raster = board.islands.raster;
    picture.registration.photos.resize(1);
    return picture;
}

// A hidden way from one square to the next.
int way(Squares& board, int a, int b, double joined, bool below_part) {
    const int joint = board.join(a, b, joined, Kind::hidden);
    Joint& made = board.islands.joints[static_cast<std::size_t>(joint)];
    made.path = {board.middle(a), board.middle(b)};
    made.below_part = below_part;
    return joint;
}

double weighed(Squares& board, int joint) {
    weigh_open_ways(board.islands, board.pads, photographed(board));
    return board.islands.joints[static_cast<std::size_t>(joint)].joined;
}

TEST(OpenWays, APinThatWouldHangOnNothingIsJoinedToTheTrackThatEndsBesideIt) {
    Squares alone(2);
    alone.pad(0);
    const int only = way(alone, 0, 1, 0.4, false);
    Squares busy(6);
    for (int i = 0; i < 6; ++i) {
        busy.pad(i);
    }
    busy.join(0, 1, 1.0);
    busy.join(1, 2, 1.0);
    busy.join(3, 4, 1.0);
    busy.join(4, 5, 1.0);
    const int between = way(busy, 2, 3, 0.4, false);
    const double of_alone = weighed(alone, only);
    EXPECT_GT(of_alone, 0.5) << "it has no other way";
    EXPECT_LT(weighed(busy, between), of_alone) << "both ends have what they need";
}

TEST(OpenWays, WhatLiesBelowAPartIsProposedAndNeverAssumed) {
    Squares board(2);
    board.pad(0);
    const int joint = way(board, 0, 1, 0.97, true);
    const double chance = weighed(board, joint);
    EXPECT_LT(chance, 0.5);
    EXPECT_GT(chance, 0.3);
}

TEST(OpenWays, WhatWouldJoinManyPinsWithManyIsAsked) {
    Squares board(8);
    for (int i = 0; i < 8; ++i) {
        board.pad(i);
    }
    for (const int i : {0, 1, 2, 4, 5, 6}) {
        board.join(i, i + 1, 1.0);
    }
    const int joint = way(board, 3, 4, 0.97, false);
    EXPECT_LT(weighed(board, joint), 0.5);
}

TEST(OpenWays, WhatAStrokeJoinsElsewhereMakesNoWayAQuestion) {
    // A pin beside the end of a net of eight; a stroke joins three more pins to the net.
    Squares board(13);
    board.pad(0);
    for (int i = 2; i < 13; ++i) {
        board.pad(i);
    }
    for (const int i : {1, 2, 3, 4, 5, 6, 7, 8, 10, 11}) {
        board.join(i, i + 1, 1.0);
    }
    const int joint = way(board, 0, 1, 0.97, false);
    Squares told = board;
    told.join(9, 10, 1.0, Kind::bridge);
    Squares read = board;
    read.join(9, 10, 1.0);
    EXPECT_GT(weighed(board, joint), 0.5);
    EXPECT_GT(weighed(told, joint), 0.5);
    EXPECT_LT(weighed(read, joint), 0.5) << "it would join eleven pairs that nobody looked at";
}

TEST(OpenWays, WhatIsTakenForJoinedStaysSoWhateverAStrokeJoinsToItsEnds) {
    // A pin that would hang on nothing is taken for joined to the track beside it. Then a stroke
    // joins it to two other pins, so that it needs no other way.
    Squares board(5);
    for (const int i : {0, 2, 3, 4}) {
        board.pad(i);
    }
    board.join(1, 2, 1.0);
    board.join(3, 4, 1.0);
    const int joint = way(board, 0, 1, 0.6, false);
    Squares told = board;
    told.join(0, 3, 1.0, Kind::bridge);
    Squares read = board;
    read.join(0, 3, 1.0);
    const double alone = weighed(board, joint);
    EXPECT_GT(alone, 0.5);
    EXPECT_DOUBLE_EQ(weighed(told, joint), alone);
    EXPECT_LT(weighed(read, joint), alone);
}

TEST(OpenWays, AWayThatAStrokeConfirmsTakesTheNeedFromItsRivals) {
    // A pin between two tracks that end beside it; a stroke decides for one.
    Squares board(6);
    for (const int i : {0, 3, 4, 5}) {
        board.pad(i);
    }
    board.join(1, 3, 1.0);
    board.join(2, 4, 1.0);
    board.join(4, 5, 1.0);
    const int likelier = way(board, 0, 1, 0.9, false);
    const int rival = way(board, 0, 2, 0.6, false);
    Squares told = board;
    Joint& decided = told.islands.joints[static_cast<std::size_t>(likelier)];
    decided.kind = Kind::bridge;
    decided.joined = 1.0;
    decided.was_way = true;
    const double beside_one_in_doubt = weighed(board, rival);
    EXPECT_LE(weighed(told, rival), beside_one_in_doubt);
}

TEST(OpenWays, TheBestOfTwoWaysToOnePieceStandsForBoth) {
    Squares board(2);
    board.pad(0);
    const int better = way(board, 0, 1, 0.4, false);
    const int worse = board.join(0, 1, 0.2, Kind::gap);
    EXPECT_GT(weighed(board, better), 0.5);
    EXPECT_LT(board.islands.joints[static_cast<std::size_t>(worse)].joined, 0.05);
}

TEST(OpenWays, TwoWaysOutShareTheLikelihood) {
    Squares one(3);
    one.pad(0);
    const int single = way(one, 0, 1, 0.1, false);
    Squares two(3);
    two.pad(0);
    const int first = way(two, 0, 1, 0.1, false);
    way(two, 0, 2, 0.1, false);
    EXPECT_GT(weighed(one, single), weighed(two, first));
}

}  // namespace
}  // namespace etchback::copper::detail
