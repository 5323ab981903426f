// `etchback simulate` on the example that is simulated quickest, and what it prints of outcomes.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <csignal>
#include <nlohmann/json.hpp>
#include <sstream>

#include "base/file.h"
#include "base/text.h"
#include "cli/long_work.h"
#include "cli/run.h"
#include "cli/simulate_show.h"
#include "cli/text_table.h"
#include "report/behaviour_outcome.h"
#include "report/json_schema.h"

namespace etchback::cli {
namespace {

namespace fs = std::filesystem;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

const fs::path kSource = ETCHBACK_SOURCE_DIR;
const std::string kLamp = (kSource / "examples/henhouse-lamp").string();

struct Ran {
    int status = 0;
    std::string out, err;
};

Ran etchback(const std::vector<std::string>& arguments) {
    std::ostringstream out, err;
    const int status = run(arguments, out, err);
    return {status, out.str(), err.str()};
}

class Simulate : public testing::Test {
protected:
    Simulate() {
        std::string name = (fs::temp_directory_path() / "etchback-simulate-XXXXXX").string();
        folder_ = ::mkdtemp(name.data());
    }
    ~Simulate() override { fs::remove_all(folder_); }
    std::string path(const std::string& name) const { return (folder_ / name).string(); }
    fs::path folder_;
};

TEST_F(Simulate, PrintsFiguresBesideReadingsStressLedgerAndAssumptions) {
    const Ran ran = etchback({"simulate", kLamp});
    ASSERT_EQ(ran.status, done) << ran.err;
    for (const char* words : {"Normal use, at 231\u00a0V, 50\u00a0Hz",
                              "read at the bench",
                              "3.5\u00a0W ± 100\u00a0mW (warm)",
                              "Stress, worst first",
                              "C1    peak voltage",
                              "Energy ledger",
                              "which is in order",
                              "Assumed, because the dossier does not give it",
                              "Mains voltage kills"}) {
        EXPECT_THAT(ran.out, HasSubstr(words));
    }
    EXPECT_THAT(ran.err, IsEmpty()) << "progress is for terminals only";
}

TEST_F(Simulate, AgreesWithTheBenchOnTheLamp) {
    const auto json = nlohmann::json::parse(etchback({"simulate", kLamp, "--json"}).out);
    int compared = 0;
    for (const auto& figure : json["scenarios"][0]["figures"]) {
        if (figure.contains("reading")) {
            const double read = figure["reading"]["value"];
            EXPECT_NEAR(figure["value"].get<double>() / read, 1.0, 0.05) << figure["id"];
            ++compared;
        }
    }
    EXPECT_GE(compared, 5);
}

TEST_F(Simulate, PrintsJsonAsDocumented) {
    const Ran ran = etchback({"simulate", kLamp, "--scenario", "load-open", "--json"});
    const auto schema = report::documented(kSource);
    report::Walk walk(schema);
    const auto json = report::Json::parse(ran.out);
    walk.object(json, "simulate", "simulate");
    EXPECT_THAT(walk.complaints, IsEmpty());
    EXPECT_EQ(json["scenarios"][0]["scenario"], "load-open");
    EXPECT_FALSE(json["scenarios"][0]["plots"].empty());
    for (const auto& [key, described] : schema.at("simulate")) {
        EXPECT_TRUE(walk.met.count("simulate." + key)) << key;
    }
}

TEST_F(Simulate, TakesScenariosInTheOrderAskedForAndAnotherSupply) {
    const Ran ran = etchback(
        {"simulate", kLamp, "--scenario", "cold-start", "--scenario", "normal", "--supply", "207"});
    ASSERT_EQ(ran.status, done) << ran.err;
    const auto cold = ran.out.find("Cold start, at 207\u00a0V"),
               normal = ran.out.find("Normal use");
    EXPECT_LT(cold, normal);
    EXPECT_NE(normal, std::string::npos);
}

TEST_F(Simulate, OfAnUnknownScenarioListsThoseThereAre) {
    const Ran ran = etchback({"simulate", kLamp, "--scenario", "load-opn"});
    EXPECT_EQ(ran.status, wrong_usage);
    EXPECT_THAT(ran.err, HasSubstr("did you mean 'load-open'?"));
    EXPECT_THAT(ran.err, HasSubstr("\n  output-short   In normal use, the output is shorted."));
    EXPECT_THAT(ran.out, IsEmpty());
}

TEST_F(Simulate, OfASupplyThatIsNoneSaysSo) {
    for (const char* supply : {"0", "-12", "5 A", "much"}) {
        const Ran ran = etchback({"simulate", kLamp, "--supply=" + std::string(supply)});
        EXPECT_EQ(ran.status, wrong_usage) << supply;
        EXPECT_THAT(ran.err, Not(IsEmpty())) << supply;
    }
}

TEST_F(Simulate, SaysWhyACircuitCannotBeSimulated) {
    base::write_file_atomically(path("dossier.toml"),
                                "format = 1\n[item]\nname = \"x\"\n[parts.R1]\nkind = "
                                "\"resistor\"\nvalue = \"1k\"\npins = { 1 = \"A\", 2 = \"B\" }\n");
    const Ran ran = etchback({"simulate", folder_.string()});
    EXPECT_EQ(ran.status, not_in_order);
    EXPECT_THAT(ran.err, Not(IsEmpty()));
    EXPECT_THAT(ran.out, IsEmpty());
}

TEST_F(Simulate, WritesCurvesAndPicture) {
    const Ran ran = etchback({"simulate", kLamp, "--csv", path("c.csv"), "--svg", path("c.svg")});
    ASSERT_EQ(ran.status, done) << ran.err;
    EXPECT_THAT(base::read_file(path("c.svg")), HasSubstr("<svg"));
    int tables = 0;
    for (const auto& entry : fs::directory_iterator(folder_)) {
        if (entry.path().extension() == ".csv") {
            const auto table = base::parse_csv(base::read_file(entry.path()), "c.csv");
            ASSERT_TRUE(table) << entry.path();
            EXPECT_EQ(table->header[0], "Time (s)");
            EXPECT_GT(table->rows.size(), 10u);
            EXPECT_THAT(ran.out, HasSubstr("Wrote " + entry.path().string()));
            ++tables;
        }
    }
    EXPECT_GE(tables, 1);
}

TEST_F(Simulate, SameDossierPrintsTheSameBytes) {
    EXPECT_EQ(etchback({"simulate", kLamp, "--json"}).out,
              etchback({"simulate", kLamp, "--json"}).out);
}

TEST(ScenarioText, SaysThatARunGaveUpAndWhy) {
    const auto outcome = report::open_outcome();
    const std::string text = scenario_text(report::view_of(outcome, {}));
    EXPECT_THAT(text, HasSubstr("gave up before its end"));
    EXPECT_THAT(text, HasSubstr("Trouble: the voltage of DRAIN finds no state"));
    EXPECT_THAT(text, HasSubstr("do not trust"));
    EXPECT_THAT(text, HasSubstr("above its rating (marking)"));
    EXPECT_THAT(text, HasSubstr("First pulse of U1."));
}

TEST(CurveFiles, HoldEverySampleWithNamesAndUnits) {
    const report::Behaviour behaviour{{report::normal_outcome()}, {}};
    const auto files = curve_files(behaviour);
    ASSERT_EQ(files.size(), 3u);
    EXPECT_EQ(files[2].plot, "switching-cycles");
    const auto table = base::parse_csv(files[2].text, "x");
    ASSERT_TRUE(table);
    EXPECT_THAT(
        table->header,
        ElementsAre(
            "Time (s)", "Voltage of DRAIN (V)", "Current into Q1 (A)", "Current through D5 (A)"));
    ASSERT_EQ(table->rows.size(), 3000u);
    EXPECT_NEAR(std::stod(table->rows[100].fields[2]),
                behaviour.outcomes[0].plots[2].curves[1].value[100],
                1e-9);
    EXPECT_THAT(base::parse_csv(files[1].text, "x")->header[2], "Voltage of the supply, mean (V)");
}

TEST(CurveFiles, JoinCurvesWithTimesOfTheirOwn) {
    behaviour::Outcome outcome;
    outcome.scenario.id = "s";
    behaviour::PlotCurve a, b;
    a.title = "A, \"quoted\"";
    a.t_s = {0.0, 2.0};
    a.value = {0.0, 4.0};
    b.title = "B";
    b.unit = base::Unit::none;
    b.t_s = {0.0, 1.0, 1.0};
    b.value = {1.0, 2.0, 3.0};
    outcome.plots = {{"p", "P", 0.0, 2.0, {a, b}}};
    const auto files = curve_files({{outcome}, {}});
    ASSERT_EQ(files.size(), 1u);
    EXPECT_EQ(files[0].text, "Time (s),\"A, \"\"quoted\"\" (V)\",B\n0,0,1\n1,2,3\n2,4,\n");
}

TEST(TextTable, AlignsByCharactersNotBytes) {
    EXPECT_EQ(text_table({{"Ω", "1"}, {"abc", "2"}, {"x"}}), "  Ω    1\n  abc  2\n  x\n");
}

TEST(Wrapped, BreaksBetweenWords) {
    const std::string text = wrapped(std::string(60, 'a') + " " + std::string(60, 'b') + " c");
    EXPECT_EQ(text, "  " + std::string(60, 'a') + "\n  " + std::string(60, 'b') + " c\n");
}

TEST(LongWork, IsAskedToEndByTheFirstInterruption) {
    std::ostringstream out, err;
    Context context{out, err, {}, done};
    {
        LongWork work(context);
        EXPECT_FALSE(work.interrupted());
        std::raise(SIGINT);
        EXPECT_TRUE(work.interrupted());
        EXPECT_TRUE(work.asked_to_end()());
        work.show("half");
    }
    EXPECT_THAT(err.str(), IsEmpty()) << "no terminal, no progress";
    LongWork next(context);
    EXPECT_FALSE(next.interrupted()) << "a new work starts anew";
}

}  // namespace
}  // namespace etchback::cli
