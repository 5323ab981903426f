// `etchback faults` on a lamp of three parts.
#include "cli/campaigns.h"

namespace etchback::cli {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

class Faults : public Campaign {};

TEST_F(Faults, TellsOfEachWhatItDoes) {
    const CampaignRan ran = etchback({"faults", lamp(), "--threads", "2"});
    EXPECT_EQ(ran.status, done) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("Bench lamp: "));
    EXPECT_THAT(ran.out, HasSubstr("R1 open"));
    EXPECT_THAT(ran.out, HasSubstr("LED1 shorted"));
    EXPECT_THAT(ran.out, HasSubstr("Make no fault on a live item"));
    EXPECT_THAT(ran.err, IsEmpty());
    const auto json = nlohmann::json::parse(etchback({"faults", lamp(), "--json"}).out);
    std::map<std::string, std::string> verdicts;
    for (const auto& run : json["runs"]) {
        verdicts[run["fault"]] = run["verdict"];
    }
    EXPECT_EQ(verdicts["R1 open"], "output lost");
    EXPECT_EQ(verdicts["LED1 open"], "output lost");
    EXPECT_EQ(verdicts["R1 shorted"], "supply shorted") << "nothing limits the current";
}

TEST_F(Faults, PrintsJsonAsDocumented) {
    const CampaignRan ran = etchback({"faults", lamp(), "--json"});
    expect_documented(ran.out, "faults", {"faults", "fault run"});
    const auto json = nlohmann::json::parse(ran.out);
    EXPECT_EQ(json["done"], json["all"]);
}

TEST_F(Faults, SaysTheSameWhateverTheThreadsAndFromAJournal) {
    const std::string one = etchback({"faults", lamp(), "--json", "--threads", "1"}).out;
    const std::vector<std::string> kept = {
        "faults", lamp(), "--json", "--threads", "3", "--journal", path("j")};
    EXPECT_EQ(etchback(kept).out, one);
    EXPECT_TRUE(std::filesystem::exists(path("j")));
    EXPECT_EQ(etchback(kept).out, one) << "from the journal";
}

TEST_F(Faults, RefusesNoThreads) {
    EXPECT_EQ(etchback({"faults", lamp(), "--threads", "0"}).status, wrong_usage);
}

}  // namespace
}  // namespace etchback::cli
