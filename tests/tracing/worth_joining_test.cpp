#include "tracing/worth_joining.h"

#include <gtest/gtest.h>

namespace etchback::tracing {
namespace {

TEST(WorthJoining, TakesWhatMendsPairsAndLeavesWhatHarms) {
    // Two pads of net 1 here, one there, and one of net 2.
    const WorthJoining worth = worth_joining({{0, 1}, {0, 2}}, {{{1, 2}}, {{1, 1}}, {{2, 1}}});
    EXPECT_EQ(worth.links, std::vector<std::size_t>{0});
    EXPECT_EQ(worth.gain, 2);
}

TEST(WorthJoining, TakesStepsOverCopperWithoutPinsWhereTheyLeadToSome) {
    const std::vector<PadsByNet> pads = {{{1, 1}}, {}, {{1, 1}}, {}, {{2, 1}}};
    const WorthJoining worth = worth_joining({{0, 1}, {1, 2}, {3, 4}}, pads);
    EXPECT_EQ(worth.links, (std::vector<std::size_t>{0, 1}));
    EXPECT_EQ(worth.gain, 1);
}

}  // namespace
}  // namespace etchback::tracing
