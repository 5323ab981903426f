// Scenarios and campaigns on a whole dossier: the henhouse lamp, a capacitive dropper of seven
// states that is simulated in milliseconds.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <atomic>
#include <cstdlib>

#include "behaviour/campaign.h"
#include "behaviour/detail/campaign_json.h"
#include "behaviour/detail/scenario_supply.h"
#include "dossier/read.h"

namespace etchback::behaviour {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;

struct Bench {
    parts::Catalogue catalogue;
    std::vector<parts::RegisteredType> types;
    std::shared_ptr<const Tables> tables;
    std::vector<Scenario> usual;
};

const Bench& bench() {
    static const Bench all = [] {
        const fs::path data = fs::path(ETCHBACK_SOURCE_DIR) / "data";
        auto catalogue = parts::load_catalogue(data / "parts");
        auto types = parts::load_types(data / "parts" / "types.toml", *catalogue);
        auto tables = load_tables(data);
        auto usual = load_scenarios(data / "behaviour" / "scenarios.toml");
        EXPECT_TRUE(usual);
        return Bench{*catalogue, *types, *tables, *usual};
    }();
    return all;
}

dossier::Dossier lamp() {
    const auto read = dossier::read_folder(
        fs::path(ETCHBACK_SOURCE_DIR) / "examples" / "henhouse-lamp", bench().catalogue);
    EXPECT_TRUE(read);
    return *read;
}

Outcome run(const dossier::Dossier& dossier, const std::string& id) {
    const auto circuit = circuit::build(dossier, bench().catalogue);
    for (const Scenario& scenario : scenarios_for(bench().usual, dossier)) {
        if (scenario.id == id) {
            const auto outcome =
                run_scenario(circuit, dossier, bench().types, *bench().tables, scenario);
            EXPECT_TRUE(outcome) << base::to_string(outcome.errors().front());
            EXPECT_EQ(outcome->ending, Ending::reached);
            EXPECT_TRUE(outcome->ledger.in_order());
            return *outcome;
        }
    }
    ADD_FAILURE() << "no scenario " << id;
    return {};
}

TEST(UsualScenarios, AreSevenAndInOrder) {
    std::vector<std::string> ids;
    for (const Scenario& scenario : bench().usual) {
        ids.push_back(scenario.id);
        EXPECT_FALSE(scenario.title.empty());
        EXPECT_TRUE(scenario.words.ends_with('.') || scenario.words.ends_with(')'));
    }
    EXPECT_THAT(ids,
                testing::ElementsAre("normal",
                                     "cold-start",
                                     "load-open",
                                     "output-short",
                                     "mains-low",
                                     "mains-high",
                                     "mains-dip"));
}

TEST(UsualScenarios, GiveWayToTheDossiersOwnOfTheSameId) {
    const auto read = dossier::read(
        "format = 1\nitem.name = \"x\"\n[[scenarios]]\nid = \"normal\"\nspan = \"3 s\"\n"
        "supply_voltage = \"110 V\"\n[[scenarios]]\nid = \"mine\"\ntitle = \"Mine\"\nspan = 1\n",
        "",
        bench().catalogue);
    ASSERT_TRUE(read);
    const auto all = scenarios_for(bench().usual, *read);
    ASSERT_EQ(all.size(), 8U);
    EXPECT_EQ(all[0].id, "normal");
    EXPECT_EQ(all[0].span_s, 3.0);
    EXPECT_EQ(all[0].supply_v_rms, 110.0);
    EXPECT_EQ(all[0].title, "normal");
    EXPECT_EQ(all[7].title, "Mine");
}

TEST(SupplyVolts, AreTheMeasuredOnesAndTheEndsOfTheRange) {
    dossier::Dossier dossier = lamp();
    using detail::supply_v;
    EXPECT_EQ(supply_v(dossier, Scenario::Supply::nominal), 231.0);
    EXPECT_NEAR(supply_v(dossier, Scenario::Supply::low).value(), 207.0, 1e-9);
    EXPECT_NEAR(supply_v(dossier, Scenario::Supply::high).value(), 253.0, 1e-9);
    dossier.readings.clear();
    EXPECT_EQ(supply_v(dossier, Scenario::Supply::nominal), 230.0);
    dossier.supply.voltage->value = base::Quantity{175.0, base::Unit::volt, 85.0, 265.0, {}, false};
    EXPECT_EQ(supply_v(dossier, Scenario::Supply::nominal), 230.0);
    EXPECT_EQ(supply_v(dossier, Scenario::Supply::low), 85.0);
    dossier.supply.voltage->value = base::Quantity::of(12.0, base::Unit::volt);
    EXPECT_NEAR(supply_v(dossier, Scenario::Supply::low).value(), 10.8, 1e-9);
    dossier.supply.voltage.reset();
    EXPECT_EQ(supply_v(dossier, Scenario::Supply::nominal), std::nullopt);
}

// A capacitive dropper draws a current that the capacitor sets: I = 2 pi f C V, a little less what
// the lamp takes off the voltage. The dossier has 1 µF; its meter showed the rest.
TEST(HenhouseLamp, DrawsTheCurrentThatItsCapacitorLetsThrough) {
    const Outcome normal = run(lamp(), "normal");
    EXPECT_TRUE(normal.steady) << normal.steady_words;
    EXPECT_EQ(normal.supply_v_rms, 231.0);
    const double most_a = 2.0 * std::numbers::pi * 50.0 * 1e-6 * 231.0;
    EXPECT_LT(normal.figure("supply_current").value(), most_a);
    EXPECT_GT(normal.figure("supply_current").value(), 0.85 * most_a);
    EXPECT_LT(normal.figure("power_factor").value(), 0.5);
    EXPECT_GT(normal.figure("efficiency").value(), 50.0);
    const Outcome low = run(lamp(), "mains-low"), high = run(lamp(), "mains-high");
    EXPECT_LT(low.figure("output_current.LED1").value(),
              normal.figure("output_current.LED1").value());
    EXPECT_GT(high.figure("output_current.LED1").value(),
              normal.figure("output_current.LED1").value());
}

TEST(HenhouseLamp, GivesTheSameOutcomeTwice) {
    const Outcome a = run(lamp(), "mains-dip"), b = run(lamp(), "mains-dip");
    EXPECT_EQ(a.figures, b.figures);
    EXPECT_EQ(a.story, b.story);
    EXPECT_EQ(a.stress, b.stress);
    EXPECT_EQ(a.story.size(), 2U);
}

TEST(HenhouseLamp, OfALoadThatIsPulledHasNoCurrent) {
    EXPECT_NEAR(run(lamp(), "load-open").figure("output_current.LED1").value(), 0.0, 1e-6);
}

std::string all_of(const FaultCampaign& campaign) {
    std::string text;
    for (const FaultRun& one : campaign.runs) {
        text += detail::json_of(one) + "\n";
    }
    return text;
}

FaultCampaign faults(const CampaignOptions& options) {
    const dossier::Dossier dossier = lamp();
    const auto circuit = circuit::build(dossier, bench().catalogue);
    const auto campaign = run_faults(circuit, dossier, bench().types, *bench().tables, options);
    EXPECT_TRUE(campaign);
    return *campaign;
}

const FaultRun& of(const FaultCampaign& campaign,
                   const std::string& id,
                   const std::string& corner) {
    for (const FaultRun& run : campaign.runs) {
        if (run.fault.id() == id && run.corner == corner) {
            return run;
        }
    }
    throw std::runtime_error("no run " + id + " at " + corner);
}

TEST(Faults, OfTheHenhouseLampAreWhatAnEngineerWouldSay) {
    const FaultCampaign campaign = faults({.threads = 2});
    EXPECT_EQ(campaign.done, static_cast<int>(campaign.runs.size()));
    EXPECT_EQ(of(campaign, "C1 open", "231 V").verdict, "output lost");
    EXPECT_EQ(of(campaign, "LED1 open", "231 V").verdict, "output lost");
    // The dropping capacitor shorted: all of the mains on the series resistor.
    const FaultRun& shorted = of(campaign, "C1 shorted", "253 V");
    EXPECT_TRUE(shorted.verdict == "supply shorted" || shorted.verdict == "fuse opens")
        << shorted.verdict;
    EXPECT_FALSE(shorted.exceeded.empty());
    // The bleeder across it does nothing while the lamp is on.
    EXPECT_EQ(of(campaign, "R2 open", "231 V").verdict, "no change");
}

TEST(Faults, AreTheSameBytesOnAnyNumberOfThreads) {
    const std::string one = all_of(faults({.threads = 1}));
    EXPECT_GT(one.size(), 10000U);
    EXPECT_EQ(all_of(faults({.threads = 2})), one);
    EXPECT_EQ(all_of(faults({.threads = 4})), one);
}

class Interrupted : public testing::Test {
protected:
    Interrupted() {
        std::string name = (fs::temp_directory_path() / "etchback-campaign-XXXXXX").string();
        folder_ = ::mkdtemp(name.data());
    }
    ~Interrupted() override { fs::remove_all(folder_); }
    fs::path folder_;
};

TEST_F(Interrupted, CampaignsGoOnToTheSameBytes) {
    const std::string whole = all_of(faults({.threads = 1}));
    std::atomic<int> done = 0;
    CampaignOptions options;
    options.threads = 1;
    options.journal = folder_ / "journal";
    options.progress = [&](int now, int) { done = now; };
    options.interrupted = [&] { return done >= 17; };
    const FaultCampaign part = faults(options);
    EXPECT_GE(part.done, 17);
    EXPECT_LT(part.done, static_cast<int>(part.runs.size()));
    EXPECT_EQ(part.runs.back().verdict, "not run");
    options.interrupted = {};
    options.threads = 2;
    int first_told = -1;
    options.progress = [&](int now, int) { first_told = first_told < 0 ? now : first_told; };
    EXPECT_EQ(all_of(faults(options)), whole);
    EXPECT_EQ(first_told, part.done);
}

SpreadCampaign spread(int samples,
                      std::uint64_t seed,
                      const CampaignOptions& options,
                      bool assumed = false) {
    const dossier::Dossier dossier = lamp();
    const auto circuit = circuit::build(dossier, bench().catalogue);
    const auto campaign = run_spread(circuit,
                                     dossier,
                                     bench().types,
                                     *bench().tables,
                                     {.samples = samples, .seed = seed, .assumed = assumed},
                                     options);
    EXPECT_TRUE(campaign);
    return *campaign;
}

const SpreadFigure& of(const SpreadCampaign& campaign, const std::string& id) {
    for (const SpreadFigure& figure : campaign.figures) {
        if (figure.nominal.id == id) {
            return figure;
        }
    }
    throw std::runtime_error("no figure " + id);
}

TEST(Spread, OfTheHenhouseLampsCurrentComesFromItsCapacitor) {
    const SpreadCampaign campaign = spread(60, 1, {.threads = 2});
    EXPECT_EQ(campaign.samples, 60);
    EXPECT_EQ(campaign.failed, 0);
    const SpreadFigure& current = of(campaign, "supply_current");
    ASSERT_FALSE(current.shares.empty());
    EXPECT_EQ(current.shares[0].parameter, "C1.value");
    EXPECT_GT(current.shares[0].of_variance, 0.5);
    EXPECT_LE(current.least, current.p05);
    EXPECT_LT(current.p05, current.p50);
    EXPECT_LT(current.p50, current.p95);
    EXPECT_LE(current.p95, current.largest);
    // The supply is no part of the item: it does not vary.
    EXPECT_NEAR(of(campaign, "supply_voltage").largest, 231.0, 0.5);
}

// What only the models assume is drawn where it is asked for, and widens what comes out.
TEST(Spread, DrawsWhatIsAssumedOnlyWhereItIsAsked) {
    const auto width = [](bool assumed) {
        const SpreadCampaign campaign = spread(30, 1, {.threads = 2}, assumed);
        const SpreadFigure& volts = of(campaign, "output_voltage.LED1");
        return volts.largest - volts.least;
    };
    EXPECT_GT(width(true), 2.0 * width(false));
    EXPECT_GT(width(false), 0.0);
}

TEST(Spread, DependsOnItsSeedAndNotOnItsThreads) {
    const SpreadCampaign one = spread(12, 5, {.threads = 1});
    EXPECT_EQ(spread(12, 5, {.threads = 4}).figures, one.figures);
    EXPECT_FALSE(spread(12, 6, {.threads = 4}).figures == one.figures);
}

// What one rank does under mpirun (see the next test); alone it is a group of nobody.
TEST(CampaignOfRanks, HasTheBytesOfOneProcess) {
    const auto ranks = open_ranks();
    ASSERT_TRUE(ranks) << base::to_string(ranks.errors().front());
    const CampaignOptions alone = {.threads = 2};
    CampaignOptions together = {.threads = 1};
    together.ranks = ranks->get();
    EXPECT_EQ(all_of(faults(together)), all_of(faults(alone)));
    EXPECT_EQ(spread(8, 2, together).figures, spread(8, 2, alone).figures);
}

TEST(CampaignOfRanksUnderMpirun, HasTheBytesOfOneProcessWhateverTheNumberOfRanks) {
    if (std::system("command -v mpirun >/dev/null") != 0) {
        GTEST_SKIP() << "mpirun is not installed";
    }
    const std::string self = fs::read_symlink("/proc/self/exe").string();
    for (const int number : {1, 2, 3}) {
        const std::string command =
            "OMPI_ALLOW_RUN_AS_ROOT=1 OMPI_ALLOW_RUN_AS_ROOT_CONFIRM=1 mpirun --oversubscribe -n " +
            std::to_string(number) + " " + self +
            " --gtest_filter=CampaignOfRanks.* >/dev/null 2>&1 </dev/null";
        EXPECT_EQ(std::system(command.c_str()), 0) << number << " ranks";
    }
}

}  // namespace
}  // namespace etchback::behaviour
