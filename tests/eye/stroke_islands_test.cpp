// What strokes say of islands, on pictures drawn by hand.
#include <gtest/gtest.h>

#include "copper/eye/find_islands.h"
#include "eye/drawn_copper.h"

namespace etchback::copper::eye {
namespace {

using Kind = Joint::Kind;
using Says = RasterStroke::Says;

std::size_t first_island(const Islands& islands, Side side) {
    return static_cast<std::size_t>(std::ranges::find(islands.islands, side, &Island::side) -
                                    islands.islands.begin());
}

TEST(StrokeIslands, WhereALineSaysThatCopperGoesOnDoubtfulPlacesAreJoined) {
    const RasterStroke over{Says::goes_on, {{83, 10}, {83, 90}}, 3.0F};
    const RasterStroke past{Says::goes_on, {{140, 10}, {140, 90}}, 3.0F};
    const Islands joined = find_islands(print_between(), {over}, {});
    ASSERT_EQ(count(joined, Kind::bridge), 1);
    EXPECT_DOUBLE_EQ(joined.joints.front().joined, 1.0);
    EXPECT_EQ(count(find_islands(print_between(), {past}, {}), Kind::bridge), 0);
}

TEST(StrokeIslands, ALineOfCopperThatPassesTheMiddleOfAHoleLeadsThroughIt) {
    Photo top = blank();
    copper(top, {10, 50, 30, 16});
    Photo bottom = blank();
    copper(bottom, {90, 50, 60, 16});
    Hole hole;
    hole.at = {5.0, 2.9};
    hole.diameter_mm = 0.5;
    hole.plated = 0.6;
    const RasterStroke line{Says::copper, {{20, 58}, {100, 57}}, 3.0F};
    const Islands none = find_islands(read(top, bottom, {hole}), {}, {});
    EXPECT_EQ(count(none, Kind::bridge), 0);
    const Islands islands = find_islands(read(top, bottom, {hole}), {line}, {});
    const std::size_t bottom_island = first_island(islands, Side::bottom);
    ASSERT_LT(bottom_island, islands.islands.size());
    EXPECT_TRUE(are_one(islands, island_at(islands, 20, 58), bottom_island));
}

TEST(StrokeIslands, CutAndBridge) {
    Photo photo = blank();
    copper(photo, {10, 10, 150, 30});
    copper(photo, {10, 80, 150, 30});
    RasterStroke cut{Says::cut, {{80, 5}, {80, 50}}, 3.0F};
    RasterStroke bridge{Says::bridge, {{20, 25}, {20, 95}}, 3.0F};
    const Islands islands = find_islands(read(photo), {cut, bridge}, {});
    ASSERT_EQ(islands.islands.size(), 3U);
    ASSERT_EQ(count(islands, Kind::bridge), 2);
    for (const Joint& joint : islands.joints) {
        const bool is_cut = joint.a == 0 && joint.b == 1;
        EXPECT_DOUBLE_EQ(joint.joined, is_cut ? 0.0 : 1.0);
    }
}

TEST(StrokeIslands, ALineOfCopperIsOnePieceAndJoinsNoNeighbourThatItBrushes) {
    Photo photo = blank();
    copper(photo, {10, 20, 50, 10});   // a track
    copper(photo, {110, 20, 50, 10});  // that goes on here
    copper(photo, {64, 27, 40, 12});   // and a neighbour
    // A hand that is off by 0.1 mm comes upon the neighbour's edge.
    const RasterStroke line{
        Says::copper, {{20, 25}, {70, 25}, {80, 27}, {90, 25}, {150, 25}}, 3.0F};
    const Islands islands = find_islands(read(photo), {line}, {});
    const std::size_t left = island_at(islands, 20, 25);
    const std::size_t right = island_at(islands, 150, 25);
    const std::size_t below = island_at(islands, 80, 34);
    EXPECT_TRUE(are_one(islands, left, right));
    EXPECT_FALSE(are_one(islands, left, below));
    // What it says is copper lies on the map, and all of it is islands with an area.
    EXPECT_GE(islands.map(Side::top)[25 * 200 + 62], 0);
    for (const Island& island : islands.islands) {
        EXPECT_GT(island.area_mm2, 0.0);
        EXPECT_GE(island.shape.outer.size(), 4U);
    }
}

TEST(StrokeIslands, ALineOfCopperHoldsOnASideThatIsNotTrusted) {
    Photo photo = blank();
    BoardPicture picture = read(photo);
    picture.top->trusted = false;
    const RasterStroke line{Says::copper, {{20, 25}, {150, 25}}, 3.0F};
    const Islands islands = find_islands(picture, {line}, {});
    ASSERT_EQ(islands.islands.size(), 1U);
    EXPECT_GE(islands.map(Side::top)[25 * 200 + 100], 0);
}

TEST(StrokeIslands, ACutThatEndsAHandsErrorBeforeTheEdgeStillParts) {
    Photo photo = blank();
    copper(photo, {10, 10, 150, 30});
    const RasterStroke cut{Says::cut, {{80, 13}, {80, 36}}, 2.0F};
    const Islands islands = find_islands(read(photo), {cut}, {});
    ASSERT_EQ(islands.islands.size(), 2U);
    EXPECT_FALSE(are_one(islands, island_at(islands, 30, 25), island_at(islands, 130, 25)));
    // One that ends far inside was not meant to part.
    const RasterStroke slit{Says::cut, {{80, 13}, {80, 28}}, 2.0F};
    const Islands whole = find_islands(read(photo), {slit}, {});
    EXPECT_TRUE(are_one(whole, island_at(whole, 30, 25), island_at(whole, 130, 25)));
}

TEST(StrokeIslands, LaminatePartsAsACutDoes) {
    Photo photo = blank();
    copper(photo, {10, 10, 150, 30});
    const RasterStroke board{Says::laminate, {{80, 5}, {80, 45}}, 2.0F};
    const Islands islands = find_islands(read(photo), {board}, {});
    EXPECT_EQ(islands.islands.size(), 2U);
    EXPECT_FALSE(are_one(islands, island_at(islands, 30, 25), island_at(islands, 130, 25)));
}

TEST(StrokeIslands, ABridgeJoinsItsEndsAndNotWhatItCrosses) {
    Photo photo = blank();
    copper(photo, {10, 10, 30, 20});
    copper(photo, {80, 10, 30, 20});
    copper(photo, {150, 10, 30, 20});
    const RasterStroke bridge{Says::bridge, {{25, 20}, {165, 20}}, 2.0F};
    const Islands islands = find_islands(read(photo), {bridge}, {});
    const std::size_t middle = island_at(islands, 95, 20);
    EXPECT_TRUE(are_one(islands, island_at(islands, 25, 20), island_at(islands, 165, 20)));
    EXPECT_FALSE(are_one(islands, island_at(islands, 25, 20), middle));
}

TEST(StrokeIslands, WhereALineSaysThatCopperStopsNecksAreParted) {
    Photo photo = blank();
    copper(photo, {10, 10, 60, 30});
    copper(photo, {100, 10, 60, 30});
    copper(photo, {70, 20, 30, 1});
    const RasterStroke over{Says::stops, {{85, 5}, {85, 50}}, 3.0F};
    const Islands parted = find_islands(read(photo), {over}, {});
    ASSERT_EQ(parted.islands.size(), 2U);
    EXPECT_FALSE(are_one(parted, 0, 1));
    // It decides doubtful places alone: across clear copper it may lie.
    const RasterStroke across{Says::stops, {{40, 5}, {40, 50}}, 3.0F};
    const Islands whole = find_islands(read(photo), {across}, {});
    ASSERT_EQ(whole.islands.size(), 2U);
    EXPECT_TRUE(are_one(whole, 0, 1));
}

TEST(StrokeIslands, OfLinesThatDecideOnePlaceTheLastCounts) {
    const RasterStroke goes_on{Says::goes_on, {{83, 10}, {83, 90}}, 3.0F};
    const RasterStroke stops{Says::stops, {{83, 10}, {83, 90}}, 3.0F};
    const Islands parted = find_islands(print_between(), {goes_on, stops}, {});
    EXPECT_FALSE(are_one(parted, 0, 1));
    const Islands joined = find_islands(print_between(), {stops, goes_on}, {});
    EXPECT_TRUE(are_one(joined, 0, 1));
}

// Two tracks that end at a body, one on each side of it.
BoardPicture body_between() {
    Photo photo = blank();
    copper(photo, {10, 50, 70, 16});
    copper(photo, {120, 50, 70, 16});
    return masked_below(photo, {80, 10, 40, 100}, Surface::body);
}

TEST(StrokeIslands, ACopperLineTakesAwayAWayThatItCrossesButNotOneThatGoesOn) {
    const RasterStroke line{Says::copper, {{100, 20}, {100, 100}}, 3.0F};
    const RasterStroke goes_on{Says::goes_on, {{100, 40}, {100, 70}}, 3.0F};
    EXPECT_EQ(count(find_islands(body_between(), {}, {}), Kind::hidden), 1);
    EXPECT_EQ(count(find_islands(body_between(), {line}, {}), Kind::hidden), 0);
    const Islands islands = find_islands(body_between(), {goes_on, line}, {});
    EXPECT_TRUE(are_one(islands, island_at(islands, 20, 58), island_at(islands, 180, 58)));
}

TEST(StrokeIslands, ALineOfHiddenCopperJoinsWhatItLeadsBetweenBelowACover) {
    const RasterStroke along{Says::hidden_copper, {{40, 58}, {160, 58}}, 3.0F};
    const Islands one = find_islands(body_between(), {along}, {});
    EXPECT_TRUE(are_one(one, island_at(one, 20, 58), island_at(one, 180, 58)));
    EXPECT_EQ(one.islands.size(), 2U) << "it makes no copper of its own";
    // Out of the copper onto bare board, and only then below the body: it was not followed there.
    const RasterStroke past{
        Says::hidden_copper, {{40, 58}, {50, 30}, {70, 30}, {112, 30}, {112, 58}, {160, 58}}, 3.0F};
    const Islands two = find_islands(body_between(), {past}, {});
    EXPECT_FALSE(are_one(two, island_at(two, 20, 58), island_at(two, 180, 58)));
    // In the open it says nothing.
    Photo photo = blank();
    copper(photo, {10, 50, 70, 16});
    copper(photo, {120, 50, 70, 16});
    const Islands open = find_islands(read(photo), {along}, {});
    EXPECT_FALSE(are_one(open, island_at(open, 20, 58), island_at(open, 180, 58)));
}

TEST(StrokeIslands, ALineOfHiddenCopperFollowsItAcrossAGapInDoubtButNotBesideIt) {
    Photo photo = blank();
    copper(photo, {10, 55, 70, 6});
    copper(photo, {82, 55, 70, 6});
    ASSERT_EQ(count(find_islands(read(photo), {}, {}), Kind::gap), 1);
    const RasterStroke across{Says::hidden_copper, {{40, 58}, {120, 58}}, 3.0F};
    const Islands one = find_islands(read(photo), {across}, {});
    EXPECT_TRUE(are_one(one, island_at(one, 20, 58), island_at(one, 140, 58)));
    // From one to the other over bare board, on the way to somewhere else.
    const RasterStroke around{
        Says::hidden_copper, {{40, 58}, {40, 30}, {120, 30}, {120, 58}}, 3.0F};
    const Islands two = find_islands(read(photo), {around}, {});
    EXPECT_FALSE(are_one(two, island_at(two, 20, 58), island_at(two, 140, 58)));
}

TEST(StrokeIslands, ALineOfHiddenCopperLeadsThroughAHoleInDoubt) {
    Photo top = blank();
    copper(top, {10, 50, 60, 16});
    Photo bottom = blank();
    copper(bottom, {30, 50, 120, 16});
    Hole hole;
    hole.at = {2.5, 2.9};
    hole.diameter_mm = 0.5;
    hole.plated = 0.4;
    const BoardPicture board = read(top, bottom, {hole});
    const auto joined = [&](const RasterStroke& line) {
        const Islands islands = find_islands(board, {line}, {});
        return are_one(islands, island_at(islands, 20, 58), first_island(islands, Side::bottom));
    };
    EXPECT_FALSE(joined({Says::hidden_copper, {{20, 58}, {34, 58}}, 3.0F}));
    EXPECT_TRUE(joined({Says::hidden_copper, {{20, 58}, {65, 58}}, 3.0F}));
}

TEST(StrokeIslands, AtEachPointOfAPlatedHoleTheCopperOfBothSidesIsOne) {
    Photo top = blank();
    copper(top, {10, 20, 60, 16});
    copper(top, {110, 20, 60, 16});
    Photo bottom = blank();
    copper(bottom, {10, 10, 160, 90});
    const RasterStroke holes{Says::plated_hole, {{40, 28}, {140, 28}}, 3.0F};
    const Islands islands = find_islands(read(top, bottom), {holes}, {});
    EXPECT_EQ(count(islands, Kind::bridge), 2);
    EXPECT_TRUE(are_one(islands, island_at(islands, 20, 28), island_at(islands, 160, 28)));
    EXPECT_TRUE(are_one(islands, island_at(islands, 20, 28), first_island(islands, Side::bottom)));
    // A stroke on the other side's photo says the same.
    const Islands other = find_islands(read(top, bottom), {}, {holes});
    EXPECT_TRUE(are_one(other, island_at(other, 20, 28), island_at(other, 160, 28)));
}

TEST(StrokeIslands, APlatedHoleThatWasNotFoundIsThatOfTheRingAboutIt) {
    Photo top = blank();
    copper(top, {20, 20, 40, 40});
    cv::circle(top.bgr, {40, 40}, 9, cv::Scalar::all(0), cv::FILLED);
    Photo bottom = blank();
    copper(bottom, {10, 10, 160, 90});
    const RasterStroke hole{Says::plated_hole, {{40, 40}}, 3.0F};
    const Islands islands = find_islands(read(top, bottom), {hole}, {});
    EXPECT_TRUE(are_one(islands, island_at(islands, 25, 25), first_island(islands, Side::bottom)));
}

TEST(StrokeIslands, ALineOfCopperLeadsToAPlatedHoleThatIsHidden) {
    Photo top = blank();
    copper(top, {10, 50, 40, 16});
    Photo bottom = blank();
    copper(bottom, {100, 40, 80, 40});
    const RasterStroke hole{Says::plated_hole, {{130, 58}}, 3.0F};
    const RasterStroke line{Says::copper, {{20, 58}, {130, 58}}, 3.0F};
    const Islands alone = find_islands(read(top, bottom), {hole}, {});
    EXPECT_EQ(count(alone, Kind::bridge), 0) << "no copper of the top is known there";
    const Islands islands = find_islands(read(top, bottom), {hole, line}, {});
    EXPECT_TRUE(are_one(islands, island_at(islands, 20, 58), first_island(islands, Side::bottom)));
}

}  // namespace
}  // namespace etchback::copper::eye
