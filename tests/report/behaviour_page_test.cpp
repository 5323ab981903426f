// The section on behaviour: what it says of scenarios, readings, stress, story and books.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "report/behaviour_json.h"
#include "report/behaviour_outcome.h"
#include "report/study_fixture.h"

namespace etchback::report {
namespace {

using testing::HasSubstr;
using testing::Not;

Study simulated_study() {
    Study study = study_in(source_folder() / "examples" / "seedling-driver");
    study.behaviour = invented_behaviour();
    return study;
}

const SimulatedFigure& figure_of(const ScenarioView& view, const std::string& id) {
    for (const SimulatedFigure& figure : view.figures) {
        if (figure.id == id) {
            return figure;
        }
    }
    throw std::runtime_error("no figure " + id);
}

TEST(BehaviourView, PutsTheReadingOfTheSameQuantityBesideAFigure) {
    const Study study = simulated_study();
    const auto outcome = normal_outcome();
    const ScenarioView view = view_of(outcome, study.dossier);
    EXPECT_TRUE(view.has_read);
    EXPECT_THAT(figure_of(view, "input_power").read, HasSubstr("16.4\u00a0W"));
    EXPECT_EQ(figure_of(view, "input_power").difference, "−1.8\u00a0%");
    EXPECT_TRUE(figure_of(view, "input_power").apart) << "0.3 W away, 0.2 W uncertain";
    EXPECT_FALSE(figure_of(view, "supply_current").apart) << "1.1 mA away, 2 mA uncertain";
    EXPECT_THAT(figure_of(view, "output_current.LED1").read, HasSubstr("351\u00a0mA"));
    EXPECT_EQ(figure_of(view, "efficiency").read, "");
}

TEST(BehaviourView, ComparesNoFigureWithAReadingOfAnotherState) {
    const Study adapter = study_in(source_folder() / "examples" / "sewing-adapter");
    behaviour::Outcome outcome = normal_outcome();
    outcome.figures = {{"input_power", "Input power", 14.5, base::Unit::watt, ""}};
    EXPECT_THAT(view_of(outcome, adapter.dossier).figures[0].read, HasSubstr("full load"));
    outcome.scenario.id = "load-open";
    EXPECT_THAT(view_of(outcome, adapter.dossier).figures[0].read, HasSubstr("no load"));
    outcome.scenario.id = "output-short";
    EXPECT_EQ(view_of(outcome, adapter.dossier).figures[0].read, "");
}

TEST(BehaviourView, JudgesStressInWords) {
    const auto outcome = normal_outcome();
    const ScenarioView view = view_of(outcome, {});
    EXPECT_EQ(view.exceeded, 1);
    EXPECT_EQ(view.close, 1);
    EXPECT_EQ(view.stress[0].verdict, "above its rating");
    EXPECT_EQ(view.stress[1].verdict, "close to its rating");
    EXPECT_EQ(view.stress[2].verdict, "within its usual rating");
    EXPECT_EQ(view.stress[4].verdict, "no rating known");
    EXPECT_THAT(view.stress_words, HasSubstr("Above rating: C5 (peak voltage, 123\u00a0% of"));
}

TEST(BehaviourView, SaysWhenTheBooksDoNotFit) {
    const auto normal = normal_outcome();
    EXPECT_TRUE(in_order(normal));
    EXPECT_THAT(view_of(normal, {}).ledger, HasSubstr("in order"));
    behaviour::Outcome wrong = normal;
    wrong.ledger.absorbed_j *= 0.99;
    EXPECT_FALSE(in_order(wrong));
    EXPECT_THAT(view_of(wrong, {}).ledger, HasSubstr("do not trust these figures"));
}

TEST(BehaviourView, ListsWhatIsAssumedOnce) {
    const BehaviourView view = view_of(invented_behaviour(), {});
    EXPECT_EQ(view.assumed.size(), 2u);
    EXPECT_EQ(view.left_out.size(), 1u);
}

TEST(BehaviourPage, ShowsPlotsFiguresStressStoryLedgerAndAssumptions) {
    const std::string html = html_of(simulated_study());
    for (const char* words : {"How it behaves in time",
                              "Normal use, at 231\u00a0V, 50\u00a0Hz",
                              "Over one cycle of the mains",
                              "A few switching cycles at the crest",
                              "What the parts bear",
                              "The supply of U1 reaches its start threshold.",
                              "Energy ledger.",
                              "junction capacitance",
                              "relays are not simulated",
                              "Not in order.",
                              "the voltage of DRAIN finds no state"}) {
        EXPECT_THAT(html, HasSubstr(words));
    }
}

TEST(BehaviourPage, SaysWhyNothingWasSimulated) {
    Study study = everything();
    study.behaviour = Behaviour{{}, {{{}, "the dossier names no supply", "write [supply]"}}};
    const std::string html = html_of(study);
    EXPECT_THAT(html,
                HasSubstr("The circuit was not simulated: the dossier names no supply; "
                          "write [supply]."));
    EXPECT_TRUE(to_pdf(study));
    EXPECT_THAT(to_json(study), HasSubstr("the dossier names no supply"));
}

TEST(BehaviourPage, IsAbsentWhereNobodyTried) {
    const std::string html = html_of(everything());
    EXPECT_THAT(html, Not(HasSubstr("How it behaves in time")));
    EXPECT_THAT(to_json(everything()), Not(HasSubstr("\"behaviour\"")));
}

TEST(BehaviourPage, HostileNamesStayText) {
    Study study = everything();
    study.behaviour = invented_behaviour();
    behaviour::Outcome& outcome = study.behaviour->outcomes[0];
    outcome.scenario.title = "<script>alert(1)</script>";
    outcome.story[0].who = "<b>U1";
    outcome.plots[0].curves[0].title = "</script><script>alert(2)";
    const std::string html = html_of(study);
    EXPECT_THAT(html, Not(HasSubstr("<script>alert")));
    EXPECT_THAT(html, Not(HasSubstr("<b>U1")));
}

TEST(BehaviourPage, PaperIsTheSameEveryTime) {
    const Study study = simulated_study();
    const auto once = to_pdf(study), twice = to_pdf(study);
    ASSERT_TRUE(once && twice);
    EXPECT_EQ(*once, *twice);
    EXPECT_EQ(html_of(study), html_of(study));
}

TEST(BehaviourJson, HoldsSamplesOnlyWhereAskedFor) {
    const auto outcome = normal_outcome();
    const auto with = json_of(outcome, {}, true), without = json_of(outcome, {}, false);
    EXPECT_EQ(with["plots"][2]["curves"][0]["value"].size(), 3000u);
    EXPECT_EQ(with["plots"][1]["curves"][0]["mean"].size(), 800u);
    EXPECT_FALSE(without["plots"][2]["curves"][0].contains("value"));
    EXPECT_NEAR(with["plots"][2]["curves"][1]["value"][100].get<double>(),
                outcome.plots[2].curves[1].value[100],
                1e-6);
}

}  // namespace
}  // namespace etchback::report
