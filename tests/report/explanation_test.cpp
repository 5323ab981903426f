#include "report/explanation.h"

#include <gmock/gmock.h>

#include "report/behaviour_outcome.h"
#include "report/study_fixture.h"

namespace etchback::report {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

class Explanation : public testing::Test {
public:
    static const Study& driver() {
        static const Study study = study_in(source_folder() / "examples" / "seedling-driver");
        return study;
    }

    // What the driver's explanation says beside invented outcomes.
    std::vector<StageTold> told() const {
        return explain(driver().blocks, driver().circuit, driver().stages, outcomes);
    }
    StageTold stage(const std::string& id) const {
        const auto all = told();
        return *std::ranges::find(all, id, &StageTold::id);
    }
    FigureBeside figure(const std::string& id) const {
        for (const StageTold& stage : told()) {
            for (const BlockTold& block : stage.blocks) {
                for (const FigureBeside& figure : block.figures) {
                    if (figure.closed->figure.id.starts_with(id + ".")) {
                        return figure;
                    }
                }
            }
        }
        ADD_FAILURE() << "no figure " << id;
        return {};
    }
    BlockTold block(const std::string& pattern) const {
        for (const StageTold& stage : told()) {
            for (const BlockTold& block : stage.blocks) {
                if (block.block->pattern == pattern) {
                    return block;
                }
            }
        }
        ADD_FAILURE() << "no block " << pattern;
        return {};
    }

    static behaviour::Outcome normal(double output_a) {
        behaviour::Outcome outcome = normal_outcome();
        outcome.figures = {
            {"output_current.LED1", "Current of LED1", output_a, base::Unit::ampere, "mean"},
            {"dissipation.R5", "Dissipation of R5", 0.1, base::Unit::watt, ""},
            {"dissipation.R6", "Dissipation of R6", 0.15, base::Unit::watt, ""}};
        outcome.story = {{0.5, "U1", "start_threshold", "U1 starts: its supply has reached 16 V"},
                         {0.5, "U1", "first_pulse", "U1: first pulse"},
                         {0.6, "U1", "regulates", "U1 regulates."},
                         {0.7, "F1", "fuse_melted", "F1 opens."}};
        outcome.stress.clear();
        return outcome;
    }
    static behaviour::Outcome open(bool stops) {
        behaviour::Outcome outcome = normal_outcome();
        outcome.scenario.id = "load-open";
        outcome.scenario.title = "Load open";
        outcome.scenario.words = "In normal use, the load is pulled.";
        outcome.figures = {
            {"output_voltage_largest.LED1", "Voltage of LED1", 57.0, base::Unit::volt, ""},
            {"output_voltage.LED1", "Voltage of LED1", 51.0, base::Unit::volt, ""}};
        outcome.story = {{0.5, "U1", "start_threshold", "U1 starts"},
                         {0.8, "scenario", "load_opened", "LED1 is disconnected."}};
        if (stops) {
            outcome.story.push_back({0.8133, "U1", "over_voltage", "U1 stops: 27 V."});
        }
        outcome.stress = {
            {"C8", behaviour::Limit::Kind::peak_voltage, 57.0, base::Unit::volt, 50.0, false, ""}};
        return outcome;
    }

    std::vector<behaviour::Outcome> outcomes;
};

TEST_F(Explanation, SetsWhatARunShowsBesideTheClosedForm) {
    outcomes = {normal(0.34)};
    const FigureBeside current = figure("led_current");
    ASSERT_TRUE(current.simulated);
    EXPECT_NEAR(*current.simulated, 0.34, 1e-12);
    EXPECT_NEAR(current.difference, 0.34 / current.closed->figure.value - 1.0, 1e-12);
    EXPECT_FALSE(current.beyond());
    EXPECT_EQ(in_words(current), "340\u00a0mA (−3\u00a0%)");
    // The clamp's heat is that of both its resistors together.
    EXPECT_NEAR(figure("clamp_power").simulated.value_or(0.0), 0.25, 1e-12);
    EXPECT_THAT(block("flyback").simulated, HasSubstr("Simulated (normal use): output current"));
    EXPECT_THAT(block("flyback").doubts, IsEmpty());
    EXPECT_FALSE(figure("limit_current").simulated);
}

TEST_F(Explanation, CallsAClosedFormInDoubtThatTheRunDoesNotBearOut) {
    outcomes = {normal(0.5)};
    EXPECT_TRUE(figure("led_current").beyond());
    ASSERT_EQ(block("flyback").doubts.size(), 1U);
    EXPECT_THAT(block("flyback").doubts.front(), HasSubstr("differ by 43 %, more than the 6 %"));
}

TEST_F(Explanation, TellsWhatHappensAtTheStageWhereItBelongs) {
    outcomes = {normal(0.34)};
    const StageTold start = stage("start");
    ASSERT_EQ(start.events.size(), 1U);
    EXPECT_THAT(start.events.front().lead, HasSubstr("231\u00a0V, 50\u00a0Hz, after switching on"));
    ASSERT_EQ(start.events.front().lines.size(), 2U);
    EXPECT_EQ(start.events.front().lines[0].text, "U1 starts: its supply has reached 16 V.");
    EXPECT_EQ(stage("control").events.front().lines.front().text, "U1 regulates.");
    EXPECT_EQ(stage("mains").events.front().lines.front().text, "F1 opens.");
    EXPECT_THAT(stage("output").events, IsEmpty());
}

TEST_F(Explanation, TellsWhatProtectsTheItem) {
    outcomes = {normal(0.34), open(true)};
    const StageTold protection = stage("protection");
    ASSERT_EQ(protection.events.size(), 1U);
    const StageEvents& events = protection.events.front();
    ASSERT_EQ(events.lines.size(), 1U);  // what came before the load was pulled is not told again
    EXPECT_NEAR(events.lines.front().t_s, 0.0133, 1e-9);
    EXPECT_THAT(events.outcome, HasSubstr("the output at LED1 stands at 51\u00a0V"));
    EXPECT_THAT(events.outcome, HasSubstr("A rating of C8 is exceeded."));
    EXPECT_NEAR(figure("supply_limit_at_output").simulated.value_or(0.0), 57.0, 1e-12);
}

TEST_F(Explanation, LeavesOutWhatARunDoesNotShow) {
    outcomes = {normal(0.34), open(false)};
    // Without an over-voltage stop the largest voltage is no threshold.
    EXPECT_FALSE(figure("supply_limit_at_output").simulated);
    EXPECT_THAT(stage("protection").events.front().lead,
                HasSubstr("No controller or protection acts."));
    outcomes.front().ending = behaviour::Ending::gave_up;
    EXPECT_FALSE(figure("led_current").simulated);
    EXPECT_THAT(stage("start").events, IsEmpty());
}

TEST_F(Explanation, SaysWhichRatingsAreExceededInNormalUseAlready) {
    outcomes = {normal(0.34), open(true)};
    outcomes.front().stress = outcomes.back().stress;
    EXPECT_THAT(stage("protection").events.front().outcome,
                HasSubstr("No rating is exceeded that is not in normal use, too."));
}

TEST_F(Explanation, NamesTheRunsThatItLooksAt) {
    EXPECT_THAT(scenarios_to_explain(driver().blocks),
                testing::UnorderedElementsAre(
                    "normal", "load-open", "output-short", "mains-low", "mains-high"));
    EXPECT_THAT(scenarios_to_explain({}), ElementsAre("normal", "load-open", "output-short"));
}

TEST_F(Explanation, CutsALongStory) {
    outcomes = {normal(0.34), open(true)};
    for (int i = 0; i < 20; ++i) {
        outcomes.back().story.push_back({0.9 + i, "U1", "restart", "U1 starts again."});
    }
    const StageEvents events = stage("protection").events.front();
    EXPECT_EQ(static_cast<int>(events.lines.size()) + events.more, 21);
    EXPECT_LT(events.lines.size(), 10U);
}

}  // namespace
}  // namespace etchback::report
