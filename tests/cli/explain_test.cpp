#include <gmock/gmock.h>

#include <fstream>

#include "campaigns.h"

namespace etchback::cli {
namespace {

using testing::HasSubstr;

class Explain : public Campaign {};

const std::string kDriver = ETCHBACK_SOURCE_DIR "/examples/seedling-driver";
const std::string kHenhouse = ETCHBACK_SOURCE_DIR "/examples/henhouse-lamp";

TEST_F(Explain, TellsFromTheMainsToTheLoad) {
    const CampaignRan ran = etchback({"explain", kDriver, "--no-simulation"});
    ASSERT_EQ(ran.status, done) << ran.err;
    const auto at = [&](const char* words) { return ran.out.find(words); };
    EXPECT_LT(at("From the mains"), at("To direct voltage"));
    EXPECT_LT(at("To direct voltage"), at("Start and own supply"));
    EXPECT_THAT(ran.out, HasSubstr("R3 and R4 (940\u00a0kΩ) charge C4 and C5"));
    EXPECT_THAT(ran.out, testing::Not(HasSubstr("Not explained")));
    EXPECT_THAT(ran.out, testing::Not(HasSubstr("imulated")));
}

TEST_F(Explain, PutsWhatTheRunShowsBeside) {
    const CampaignRan ran = etchback({"explain", kHenhouse});
    ASSERT_EQ(ran.status, done) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("Simulated (normal use): mean current into the load 54"));
    EXPECT_THAT(ran.out, HasSubstr("When something goes wrong"));
    EXPECT_THAT(ran.out, HasSubstr("Load open, simulated at 231\u00a0V, 50\u00a0Hz."));
}

TEST_F(Explain, PrintsItsJsonAsDocumented) {
    const CampaignRan ran = etchback({"explain", kDriver, "--no-simulation", "--json"});
    ASSERT_EQ(ran.status, done) << ran.err;
    expect_documented(ran.out, "explain", {"explain", "block", "filling"});
    const CampaignRan simulated = etchback({"explain", kHenhouse, "--json"});
    ASSERT_EQ(simulated.status, done) << simulated.err;
    expect_documented(simulated.out, "explain", {"block figure", "events"});
}

TEST_F(Explain, ReadsPatternsOfTheUsersOwn) {
    std::filesystem::create_directories(path("mine"));
    std::ofstream(std::string(path("mine")) + "/a.toml") << R"([[pattern]]
id = "dc_source"
title = "my start"
stage = "mains"
source = "me"
[[pattern.slot]]
as = "F"
kind = "dc_supply"
pins = {}
role = "begins"
)";
    const CampaignRan ran = etchback({"explain", lamp(), "--patterns", path("mine")});
    ASSERT_EQ(ran.status, done) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("my start"));
}

TEST_F(Explain, SaysWhereAPatternIsWrong) {
    std::filesystem::create_directories(path("mine"));
    std::ofstream(std::string(path("mine")) + "/a.toml")
        << "[[pattern]]\nid = \"x\"\nstage = \"nowhere\"\n";
    const CampaignRan ran = etchback({"explain", lamp(), "--patterns", path("mine")});
    EXPECT_EQ(ran.status, not_in_order);
    EXPECT_THAT(ran.err, HasSubstr("a.toml:3:"));
    EXPECT_THAT(ran.err, HasSubstr("nowhere"));
    EXPECT_THAT(ran.err, HasSubstr("no slots"));
}

}  // namespace
}  // namespace etchback::cli
