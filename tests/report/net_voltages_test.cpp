// What stands at the test points of a drawn circuit, and the drawn circuit in the report.
#include "report/net_voltages.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <numbers>

#include "drawing/svg.h"
#include "report/behaviour_run.h"
#include "report/circuit_sheet.h"
#include "report/study_fixture.h"

namespace etchback::report {
namespace {

using behaviour::NetFigure;
using testing::HasSubstr;
using testing::Not;

SimulateOptions normal_use() {
    SimulateOptions options;
    options.scenarios = {scenario_of_voltages};
    return options;
}

NetFigure still(std::string net, double volts) {
    return {std::move(net), {volts, volts, volts, volts}, std::nullopt};
}

TEST(NetVoltage, OfAStillNetIsItsMean) {
    EXPECT_EQ(in_words(still("VCC", 12.34)), "12.3\u00a0V");
    EXPECT_EQ(in_words(NetFigure{"HV+", {310.0, 310.1, 290.0, 325.0}, {}}), "310\u00a0V");
    EXPECT_EQ(in_words(still("0", 1e-5)), "0\u00a0V");
    EXPECT_EQ(in_words(still("VEE", -12.0)), "\u221212\u00a0V");
    EXPECT_EQ(in_words(NetFigure{"CS", {0.01, 0.01, 0.0, 0.02}, {}}), "10\u00a0mV")
        << "too little to swing";
    EXPECT_EQ(in_words(NetFigure{"CS", {0.11, 0.3, 0.0, 18.0}, {}}), "110\u00a0mV")
        << "but short spikes";
}

TEST(NetVoltage, ThatSwingsGoesFromLowestToHighest) {
    EXPECT_EQ(in_words(NetFigure{"DRAIN", {200.0, 250.0, -0.7, 358.2}, {}}), "0 \u2026 358\u00a0V");
    EXPECT_EQ(in_words(NetFigure{"AUX", {1.0, 20.0, -31.46, 15.8}, {}}),
              "\u221231.5 \u2026 15.8\u00a0V");
    EXPECT_EQ(in_words(NetFigure{"CS", {0.2, 0.3, 0.0, 0.96}, {}}), "0 \u2026 960\u00a0mV");
    EXPECT_EQ(in_words(NetFigure{"X", {200.0, 900.0, 0.0, 1234.0}, {}}), "0 \u2026 1.23\u00a0kV");
}

TEST(NetVoltage, OfASineRoundNeutralIsItsRms) {
    const double peak = 230.0 * std::numbers::sqrt2;
    NetFigure line{"L", {162.0, 200.0, 0.0, peak}, NetFigure::Volts{0.0, 230.0, -peak, peak}};
    EXPECT_EQ(in_words(line), "230\u00a0V~");
    // A half-bridge swings round neutral, too, but as no sine.
    line.to_neutral->rms = 199.0;
    EXPECT_EQ(in_words(line), "0 \u2026 325\u00a0V");
    // The middle of a bleeder between the rails alternates against neutral, and is still.
    const NetFigure middle{
        "MID", {163.0, 163.0, 155.0, 165.0}, NetFigure::Volts{0.0, 115.0, -162.6, 162.6}};
    EXPECT_EQ(in_words(middle), "163\u00a0V");
    // A phase-cut wave, where neutral is the return itself.
    const NetFigure::Volts cut{0.0, 150.0, -peak, peak};
    EXPECT_EQ(in_words(NetFigure{"LAMP", cut, cut}), "150\u00a0V~");
}

// A supply, a divider, and what was read at it.
constexpr const char* divider = R"(
format = 1
[item]
name = "Bench divider"
invented = true
[nets.GND]
role = "return"
[parts.G1]
kind = "DC supply"
value = "12 V"
pins = { "+" = "VCC", "-" = "GND" }
[parts.R1]
kind = "resistor"
value = "10k"
tolerance = "5 %"
pins = { 1 = "VCC", 2 = "OUT" }
[parts.R2]
kind = "resistor"
value = "10k"
pins = { 1 = "OUT", 2 = "GND" }
[[readings]]
quantity = "voltage"
between = ["OUT", "GND"]
value = "5.98 V"
uncertainty = "1 %"
)";

Behaviour run_of(std::vector<NetFigure> nets) {
    behaviour::Outcome outcome;
    outcome.scenario.id = scenario_of_voltages;
    outcome.supply_v_rms = 12.0;
    outcome.nets = std::move(nets);
    return {{outcome}, {}};
}

NetVoltages voltages(const Study& study, const Behaviour* behaviour) {
    return net_voltages(
        study.dossier, study.bench.readings, study.circuit, study.domains, behaviour);
}

std::string shown(const NetVoltages& voltages, const Study& study) {
    std::string all;
    for (const drawing::NetVoltage& one : voltages.shown) {
        all += study.circuit[one.net].name + " " + one.text + (one.simulated ? " (s)" : "") + "\n";
    }
    return all;
}

TEST(NetVoltages, AreReadOnesFirstAndSimulatedOnesWhereNoneIs) {
    const Study study = study_of(divider);
    const Behaviour run = run_of({still("GND", 0.0), still("OUT", 6.0), still("VCC", 12.0)});
    const NetVoltages both = voltages(study, &run);
    EXPECT_EQ(shown(both, study), "OUT 5.98\u00a0V\nVCC 12\u00a0V (s)\n");
    ASSERT_EQ(both.notes.size(), 1U);
    EXPECT_THAT(both.notes[0], HasSubstr("slanted as simulated in normal use at 12\u00a0V direct"));
    const NetVoltages read = voltages(study, nullptr);
    EXPECT_EQ(shown(read, study), "OUT 5.98\u00a0V\n");
    EXPECT_THAT(read.notes.at(0), Not(HasSubstr("simulated")));
}

TEST(NetVoltages, WithoutReadingsAreSaidToBeSimulated) {
    const std::string words = divider;
    const Study study = study_of(words.substr(0, words.find("[[readings]]")));
    const Behaviour run = run_of({still("VCC", 12.0)});
    EXPECT_THAT(voltages(study, &run).notes.at(0),
                HasSubstr("the return of each side, as simulated in normal use at 12"));
}

TEST(NetVoltages, OfNetsThatNothingDrivesOrThatAreNeutralAreNotShown) {
    const Study study = study_of(divider);
    NetFigure neutral{"VCC", {160.0, 200.0, 0.0, 325.0}, NetFigure::Volts{0.0, 0.1, -0.2, 0.2}};
    const Behaviour run = run_of({still("OUT", 6.0), neutral});
    EXPECT_EQ(shown(voltages(study, &run), study), "OUT 5.98\u00a0V\n");
    const Behaviour dead = run_of({still("VCC", 0.0)});
    EXPECT_EQ(shown(voltages(study, &dead), study), "OUT 5.98\u00a0V\n");
}

TEST(NetVoltages, StandBothWhereTheyDifferByMoreThanTheyMay) {
    const Study study = study_of(divider);
    const Behaviour near = run_of({still("OUT", 6.15)});
    EXPECT_EQ(shown(voltages(study, &near), study), "OUT 5.98\u00a0V\n");
    const Behaviour far = run_of({still("OUT", 6.20)});
    EXPECT_EQ(shown(voltages(study, &far), study), "OUT 5.98\u00a0V\nOUT sim. 6.2\u00a0V (s)\n");
}

TEST(NetVoltages, OfARunInDoubtAreLeftOutAndANoteSaysWhy) {
    const Study study = study_of(divider);
    Behaviour run = run_of({still("VCC", 12.0)});
    run.outcomes[0].trouble.push_back({{}, "the energy ledger does not close", "look"});
    const NetVoltages doubt = voltages(study, &run);
    EXPECT_EQ(shown(doubt, study), "OUT 5.98\u00a0V\n");
    EXPECT_THAT(doubt.notes.back(), HasSubstr("in doubt: the energy ledger does not close"));
    run.outcomes.clear();
    run.why_not.push_back({{}, "nothing feeds the circuit", "add a supply"});
    EXPECT_THAT(voltages(study, &run).notes.back(), HasSubstr("nothing feeds the circuit"));
}

TEST(NetVoltages, AreWhatTheEngineFinds) {
    Study study = study_of(divider);
    study.sheet_words.voltages = true;
    study.behaviour = simulate(study, data(), normal_use());
    ASSERT_EQ(study.behaviour->outcomes.size(), 1U);
    const NetVoltages found = voltages(study, &*study.behaviour);
    EXPECT_EQ(shown(found, study), "OUT 5.98\u00a0V\nVCC 12\u00a0V (s)\n");
}

TEST(NetVoltages, OfMainsAreRmsAndThoseBehindTheBridgeMeans) {
    Study study = study_in(source_folder() / "examples" / "henhouse-lamp");
    study.sheet_words.voltages = true;
    study.behaviour = simulate(study, data(), normal_use());
    const std::string all = shown(voltages(study, &*study.behaviour), study);
    EXPECT_THAT(all, HasSubstr("L 231\u00a0V~\n"));
    EXPECT_THAT(all, HasSubstr("LED+ 55.4\u00a0V\n"));
    EXPECT_THAT(all, HasSubstr("DC+ 5"));
    EXPECT_THAT(all, Not(HasSubstr("N ")));
}

// ---- the drawn circuit in the report -----------------------------------------------------------

TEST(DrawnCircuit, InTheReportFollowsTheWordsOfTheDossier) {
    const std::string plain = html_of(study_of(divider));
    EXPECT_THAT(plain, Not(HasSubstr("±5\u00a0%</text>")));
    EXPECT_THAT(plain, HasSubstr("nothing on it was placed by hand"));
    const std::string words = std::string(divider) + R"(
[drawing]
symbols = "ansi"
show = ["tolerances", "voltages"]
notes = ["R2 gets warm."]
parts = { R1 = { turn = 90 } }
)";
    const Study study = study_of(words);
    EXPECT_EQ(study.sheet_words.standard, drawing::Standard::ansi);
    const std::string page = html_of(study);
    EXPECT_THAT(page, HasSubstr("±5\u00a0%</text>"));
    EXPECT_THAT(page, HasSubstr(">5.98\u00a0V</text>"));
    EXPECT_THAT(page, HasSubstr("<li>R2 gets warm.</li>"));
    EXPECT_THAT(page, Not(HasSubstr("placed by hand")));
    EXPECT_THAT(page, HasSubstr("data-net=\"OUT\"")) << "nets light up";
}

TEST(DrawnCircuit, InThePdfIsASheetWhereThePaperIsNamed) {
    const Study fit = study_of(divider);
    const Study sheet = study_of(std::string(divider) + "\n[drawing]\npaper = \"A4\"\n");
    const auto sheets = sheets_of(sheet, drawn_circuit(sheet));
    ASSERT_EQ(sheets.size(), 1U);
    EXPECT_GT(sheets[0].mm_per_step, 0.0);
    ASSERT_TRUE(to_pdf(fit));
    const auto pdf = to_pdf(sheet);
    ASSERT_TRUE(pdf);
    EXPECT_NE(*pdf, *to_pdf(fit));
    // On the page it is as large as it is.
    EXPECT_THAT(html_of(sheet), Not(HasSubstr("297mm")));
}

}  // namespace
}  // namespace etchback::report
