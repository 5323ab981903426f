// Simulating for a report: which scenarios, in what order, and for how long.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "report/behaviour_run.h"
#include "report/study_fixture.h"

namespace etchback::report {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

Behaviour simulated(const char* example, const SimulateOptions& options) {
    const Study study = study_in(source_folder() / "examples" / example);
    const auto tables = load_simulation_data(data());
    if (!tables) {
        throw std::runtime_error(base::to_string(tables.errors().front()));
    }
    return simulate(study.circuit, study.dossier, *tables, options);
}

std::vector<std::string> ids_of(const Behaviour& behaviour) {
    std::vector<std::string> ids;
    for (const behaviour::Outcome& outcome : behaviour.outcomes) {
        ids.push_back(outcome.scenario.id);
    }
    return ids;
}

TEST(BehaviourRun, ShowsHowALampStartsLivesAndFails) {
    Study study = study_in(source_folder() / "examples" / "henhouse-lamp");
    const Behaviour behaviour = simulate(study, data());
    EXPECT_THAT(ids_of(behaviour),
                ElementsAre("normal", "cold-start", "load-open", "output-short"));
    EXPECT_TRUE(behaviour.why_not.empty());
    for (const behaviour::Outcome& outcome : behaviour.outcomes) {
        EXPECT_TRUE(in_order(outcome)) << outcome.scenario.id;
        EXPECT_FALSE(outcome.plots.empty()) << outcome.scenario.id;
    }
    study.behaviour = behaviour;
    EXPECT_THAT(html_of(study), HasSubstr("Output short, at 231\u00a0V"));
}

TEST(BehaviourRun, SaysTheSameWhateverTheThreads) {
    Study one = study_in(source_folder() / "examples" / "henhouse-lamp"), three = one;
    one.behaviour = simulate(one, data(), {.scenarios = {}, .supply_v_rms = {}, .threads = 1});
    three.behaviour = simulate(three, data(), {.scenarios = {}, .supply_v_rms = {}, .threads = 3});
    EXPECT_EQ(html_of(one), html_of(three));
    EXPECT_EQ(to_json(one), to_json(three));
}

TEST(BehaviourRun, LeavesOutWhatTakesTooLongAndSaysHowToSeeIt) {
    const Behaviour behaviour =
        simulated("seedling-driver",
                  {.scenarios = {"normal"}, .supply_v_rms = {}, .threads = 1, .patience = 1});
    EXPECT_TRUE(behaviour.outcomes.empty());
    ASSERT_EQ(behaviour.why_not.size(), 1u);
    EXPECT_THAT(behaviour.why_not[0].what, HasSubstr("takes more steps than a report waits for"));
    EXPECT_THAT(behaviour.why_not[0].todo, HasSubstr("--scenario normal"));
}

TEST(BehaviourRun, EndsWhenAskedTo) {
    const Behaviour behaviour = simulated("henhouse-lamp",
                                          {.scenarios = {"normal", "cold-start"},
                                           .supply_v_rms = {},
                                           .threads = 1,
                                           .patience = 0,
                                           .interrupted = [] { return true; }});
    EXPECT_TRUE(behaviour.outcomes.empty());
}

TEST(BehaviourRun, OfADossierWithoutASupplySaysWhyNot) {
    const Study study = study_of(
        "format = 1\n[item]\nname = \"x\"\n[parts.R1]\nkind = \"resistor\"\nvalue = \"1k\"\n"
        "pins = { 1 = \"A\", 2 = \"B\" }\n");
    const Behaviour behaviour = simulate(study, data());
    EXPECT_TRUE(behaviour.outcomes.empty());
    ASSERT_EQ(behaviour.why_not.size(), 1u) << "said once, not once for each scenario";
}

}  // namespace
}  // namespace etchback::report
