#include <gmock/gmock.h>

#include <filesystem>
#include <fstream>

#include "campaigns.h"

namespace etchback::cli {
namespace {

using testing::HasSubstr;

class Bench : public Campaign {
protected:
    // A lamp with a record of its mains and one that is no waveform.
    std::string with_waves() {
        const std::filesystem::path from = ETCHBACK_SOURCE_DIR "/tests/data/waveforms";
        std::filesystem::copy_file(from / "units-in-brackets.csv", path("mains.csv"));
        std::filesystem::copy_file(from / "bad-word-in-samples.csv", path("bad.csv"));
        std::ofstream(std::string(path("dossier.toml")), std::ios::app) << R"(
[[claims]]
quantity = "power factor"
value = "0.95"
[[readings]]
quantity = "power factor"
value = "0.80"
meter = "plug-in power meter"
[[waveforms]]
file = "mains.csv"
what = "mains"
[[waveforms]]
file = "bad.csv"
)";
        return lamp();
    }
};

TEST_F(Bench, FindsTheClaimThatTheExampleContradicts) {
    const CampaignRan ran = etchback({"bench", ETCHBACK_SOURCE_DIR "/examples/seedling-driver"});
    ASSERT_EQ(ran.status, done) << ran.err;
    EXPECT_THAT(ran.out, testing::ContainsRegex("power factor +claimed 0.95 +read 0.92.*outside"));
    EXPECT_THAT(ran.out, testing::ContainsRegex("output current.*within"));
}

TEST_F(Bench, ReducesWaveformsAndSaysWhichCannotBeRead) {
    const CampaignRan ran = etchback({"bench", with_waves()});
    EXPECT_EQ(ran.status, not_in_order);
    EXPECT_THAT(ran.err, HasSubstr("bad.csv:32:"));
    // 325 V and 0.2 A cubed: P = 325·0.2·3/8 = 24.4 W, lambda = 3/8/sqrt(1/2·5/16)
    EXPECT_THAT(ran.out, HasSubstr("24.38\u00a0W"));
    EXPECT_THAT(ran.out, HasSubstr("0.94868"));
    EXPECT_THAT(ran.out, testing::ContainsRegex("power factor +claimed 0.95 +read 0.8.*outside"));
}

TEST_F(Bench, PrintsItsJsonAsDocumented) {
    const CampaignRan ran = etchback({"bench", with_waves(), "--json"});
    expect_documented(ran.out,
                      "bench",
                      {"bench",
                       "claim check",
                       "record channel",
                       "harmonic judgement",
                       "harmonic check",
                       "harmonic row"});
}

TEST_F(Bench, LaysRecordsOverTheSimulation) {
    const std::string lamp = ETCHBACK_SOURCE_DIR "/examples/henhouse-lamp";
    const CampaignRan ran = etchback({"bench", lamp, "--over", "--svg", path("waves.svg")});
    ASSERT_EQ(ran.status, done) << ran.err;
    EXPECT_THAT(ran.out, HasSubstr("recorded against simulated"));
    EXPECT_THAT(ran.out, testing::ContainsRegex("percent flicker +claimed 10.*outside"));
    EXPECT_THAT(ran.out, HasSubstr("Efficiency (warm)"));
    std::ifstream svg(std::string(path("waves.svg")));
    const std::string text((std::istreambuf_iterator<char>(svg)), {});
    for (const char* words :
         {"Harmonics of the current", "Current over voltage", "IEEE Std 1789"}) {
        EXPECT_THAT(text, HasSubstr(words));
    }
    expect_documented(etchback({"bench", lamp, "--over", "--json"}).out,
                      "bench",
                      {"bench", "record figure", "laid over", "bench figure"});
}

TEST_F(Bench, PlansWithInsulationBeforePower) {
    const CampaignRan ran = etchback(
        {"bench", ETCHBACK_SOURCE_DIR "/examples/henhouse-lamp", "--plan", "--no-simulation"});
    ASSERT_EQ(ran.status, done) << ran.err;
    const auto at = [&](const char* words) { return ran.out.find(words); };
    EXPECT_LT(at("Insulation resistance"), at("First power"));
    EXPECT_LT(at("First power"), at("Readings at the supply"));
    EXPECT_THAT(ran.out, HasSubstr("Bright light"));
    EXPECT_THAT(ran.out, HasSubstr("grounded"));
    EXPECT_THAT(ran.out, HasSubstr("(claimed)"));
}

}  // namespace
}  // namespace etchback::cli
