// `etchback spread` on a lamp of three parts.
#include "cli/campaigns.h"

namespace etchback::cli {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

class Spread : public Campaign {};

TEST_F(Spread, TellsQuantilesAndWhoseTolerance) {
    const CampaignRan ran = etchback({"spread", lamp(), "--samples", "40"});
    EXPECT_EQ(ran.status, done) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("Bench lamp: 40 samples of all tolerances, seed 1"));
    EXPECT_THAT(ran.out, HasSubstr("95 % below"));
    EXPECT_THAT(ran.out, HasSubstr("R1.value"));
    EXPECT_THAT(ran.err, IsEmpty());
}

TEST_F(Spread, PrintsJsonAsDocumentedWithQuantilesInOrder) {
    const CampaignRan ran = etchback({"spread", lamp(), "--samples", "40", "--json"});
    expect_documented(ran.out, "spread", {"spread", "spread figure", "spread share"});
    for (const auto& figure : nlohmann::json::parse(ran.out)["figures"]) {
        EXPECT_LE(figure["least"], figure["p05"]);
        EXPECT_LE(figure["p05"], figure["p50"]);
        EXPECT_LE(figure["p50"], figure["p95"]);
        EXPECT_LE(figure["p95"], figure["largest"]);
    }
}

TEST_F(Spread, FollowsItsSeed) {
    const auto drawn = [&](const char* seed) {
        return etchback({"spread", lamp(), "--samples", "20", "--seed", seed, "--json"}).out;
    };
    EXPECT_EQ(drawn("7"), drawn("7"));
    EXPECT_NE(drawn("7"), drawn("8"));
}

TEST_F(Spread, RefusesFewerThanTwoSamples) {
    EXPECT_EQ(etchback({"spread", lamp(), "--samples", "1"}).status, wrong_usage);
}

}  // namespace
}  // namespace etchback::cli
