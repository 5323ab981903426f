// A real two-layer board of which the copper is known exactly: nothing may be split, nothing
// joined.
#include <gmock/gmock.h>

#include <map>
#include <set>

#include "copper/eye/trace_board.h"
#include "dossier/read.h"
#include "tracing/real_boards.h"
#include "tracing/score.h"

namespace etchback::tracing {
namespace {

constexpr const char* board = "power-distribution";

dossier::Dossier copper_pictures() {
    const parts::Catalogue none({}, {});
    const auto read = dossier::read(
        "format = 1\n"
        "item.name = \"power distribution board\"\n"
        "board.holes = \"truth/holes.csv\"\n"
        "[[photos]]\nfile = \"truth/top.png\"\nside = \"top\"\nshows = \"copper\"\npx_per_mm = "
        "20\n"
        "[[photos]]\nfile = \"truth/bottom.png\"\nside = \"bottom\"\nshows = \"copper\"\n"
        "px_per_mm = 20\n",
        "dossier.toml",
        none);
    return *read;
}

TEST(PowerDistribution, HasExactlyItsThirtyEightNets) {
    ETCHBACK_NEEDS_BOARD(folder, board);
    const auto traced =
        copper::eye::trace_board(copper_pictures(), folder, parts::Catalogue({}, {}));
    ASSERT_TRUE(traced) << base::to_string(traced.errors().front());
    std::vector<copper::Pad> pads;
    std::vector<std::string> truth;
    for (const TruePad& one : true_pads(folder)) {
        pads.push_back(one.pad);
        truth.push_back(one.net);
    }
    ASSERT_EQ(pads.size(), 574u);
    const copper::Nets nets = copper::find_nets(traced->islands, pads, {});
    std::map<std::string, std::set<int>> ours;
    std::map<int, std::set<std::string>> theirs;
    for (std::size_t i = 0; i < pads.size(); ++i) {
        ours[truth[i]].insert(nets.net_of_pad[i]);
        theirs[nets.net_of_pad[i]].insert(truth[i]);
    }
    EXPECT_EQ(ours.size(), 38u);
    EXPECT_EQ(theirs.size(), 38u);
    for (const auto& [name, numbers] : ours) {
        EXPECT_THAT(numbers, testing::SizeIs(1)) << name << " is split";
    }
    for (const auto& [number, names] : theirs) {
        EXPECT_THAT(names, testing::SizeIs(1)) << "nets are joined";
    }
    const Score score = score_of(traced->islands, pads, nets, truth);
    EXPECT_EQ(score.wrong, 0u) << wrong_pairs(pads, nets, truth);
    RecordProperty("doubts", static_cast<int>(score.doubts));
    RecordProperty("questions", static_cast<int>(score.questions));
}

}  // namespace
}  // namespace etchback::tracing
