// docs/json.md is the schema: its tables are read here and every key of real reports is held
// against them, so that neither can go its own way.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <set>

#include "report/behaviour_outcome.h"
#include "report/copper_fixture.h"
#include "report/json_schema.h"
#include "report/study_fixture.h"

namespace etchback::report {
namespace {

// Described in docs/json.md, but no part of a report; tests/cli holds the commands to it.
bool of_other_commands(const std::string& object) {
    return object == "plot curve" || object == "new" || object.starts_with("check") ||
           object.starts_with("circuit") || object == "simulate" || object.starts_with("fault") ||
           object.starts_with("spread") || object == "explain" || object.starts_with("block") ||
           object == "filling" || object == "compare" || object == "difference" ||
           object.starts_with("matched ") || object == "bench" || object == "plan step" ||
           object == "claim check" || object.starts_with("record") || object == "reading doubt" ||
           object == "bench figure" || object == "laid over" || object.starts_with("harmonic ");
}

std::vector<Study> real_studies() {
    std::vector<Study> studies = {everything()};
    for (const char* example : {"henhouse-lamp", "sewing-adapter", "seedling-driver"}) {
        studies.push_back(study_in(source_folder() / "examples" / example));
    }
    studies.back().behaviour = invented_behaviour();
    behaviour::Outcome open = normal_outcome();
    open.scenario = open_outcome().scenario;
    studies.back().behaviour->outcomes.push_back(std::move(open));
    read_waveforms(studies.back(), data(), source_folder() / "examples" / "seedling-driver");
    studies.push_back(square_study());
    studies.push_back(everything());
    studies.back().copper = Copper{{}, {{{}, "no photo", "take one"}}};
    return studies;
}

TEST(ReportJson, EveryKeyIsDocumentedWithItsTypeAndPresence) {
    const Schema schema = documented(source_folder());
    ASSERT_GT(schema.size(), 20u);
    for (const Study& study : real_studies()) {
        Walk walk(schema);
        walk.object(Json::parse(to_json(study)), "report", study.dossier.item.name.value);
        EXPECT_THAT(walk.complaints, testing::IsEmpty());
    }
}

TEST(ReportJson, EveryDocumentedKeyIsMetInSomeReport) {
    const Schema schema = documented(source_folder());
    Walk walk(schema);
    for (const Study& study : real_studies()) {
        walk.object(Json::parse(to_json(study)), "report", "report");
    }
    // Things that a sound dossier does not have, or that depend on where a fault lies.
    const std::set<std::string> rare = {"power.suspect", "power.disagreement_text", "effort.note"};
    std::vector<std::string> never;
    for (const auto& [object, keys] : schema) {
        for (const auto& [key, described] : keys) {
            const std::string name = object + "." + key;
            if (walk.met.count(name) == 0 && rare.count(name) == 0 && object != "complaint" &&
                !of_other_commands(object)) {
                never.push_back(name);
            }
        }
    }
    EXPECT_THAT(never, testing::IsEmpty());
}

TEST(ReportJson, TheCheckItselfComplainsOfAnUnknownKeyAndAWrongType) {
    const Schema schema = documented(source_folder());
    Json report = Json::parse(to_json(everything()));
    report["extra"] = 1;
    report["item"]["name"] = 7;
    report["supply"].erase("kind");
    Walk walk(schema);
    walk.object(report, "report", "report");
    EXPECT_THAT(walk.complaints,
                testing::UnorderedElementsAre("report: key 'extra' is not documented",
                                              "report.item.name: is no text",
                                              "report.supply: key 'kind' is missing"));
}

TEST(ReportJson, HoldsWhatTheDossierSays) {
    const Json report = Json::parse(to_json(everything()));
    EXPECT_EQ(report["item"]["name"], "Workbench night light");
    EXPECT_EQ(report["item"]["invented"], true);
    EXPECT_EQ(report["supply"]["voltage"]["low"], 220.0);
    EXPECT_EQ(report["supply"]["frequency"]["choices"], Json::array({50.0, 60.0}));
    EXPECT_EQ(report["empty_places"], Json::array({"R9"}));
    const auto part = [&](const std::string& name) {
        for (const Json& one : report["parts"]) {
            if (one["name"] == name) {
                return one;
            }
        }
        return Json();
    };
    EXPECT_EQ(part("R1")["value"]["value"], 470e3);
    EXPECT_EQ(part("R1")["known"]["value"], "marking");
    EXPECT_EQ(part("R1")["alternatives"][0]["reading"], "47k");
    EXPECT_EQ(part("T1")["windings"][0]["turns"], 120.0);
    EXPECT_EQ(part("R1")["pins"][0]["net"], "L_F");
}

TEST(ReportJson, BytesDoNotDependOnWhereTheDossierLies) {
    const std::string text = base::read_file(source_folder() / "docs" / "everything.toml");
    EXPECT_EQ(to_json(study_of(text, "/a/dossier.toml")),
              to_json(study_of(text, "/b/c/dossier.toml")));
}

TEST(ReportJson, HostileNamesAreStillJson) {
    const Json report = Json::parse(to_json(study_of(hostile)));
    EXPECT_EQ(report["parts"][0]["name"], "</script><b>R1&");
}

}  // namespace
}  // namespace etchback::report
