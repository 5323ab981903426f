// The examples' own readings and records: what they show, and the claims that they contradict.
#include "report/bench_view.h"

#include <gmock/gmock.h>

#include <filesystem>

#include "circuit/circuit.h"
#include "dossier/read.h"
#include "report/behaviour_run.h"
#include "report/report.h"

namespace etchback::report {
namespace {

using testing::Contains;
using testing::HasSubstr;

const std::filesystem::path root = ETCHBACK_SOURCE_DIR;

const Data& data() {
    static const Data all = *load_data(root / "data");
    return all;
}

struct Example {
    std::filesystem::path folder;
    dossier::Dossier dossier;
    AtBench bench;
    explicit Example(const std::string& name)
        : folder(root / "examples" / name),
          dossier(*dossier::read_folder(folder, data().catalogue)),
          bench(at_bench(dossier, data().meters, folder)) {}

    const bench::Record& record(const std::string& file) const {
        return *std::ranges::find(bench.records, "waves/" + file, &bench::Record::file);
    }
    double value(const std::string& file, const std::string& id) const {
        for (const base::Figure& figure : record(file).figures) {
            if (figure.id.starts_with(id + ".")) {
                return figure.value;
            }
        }
        ADD_FAILURE() << "no " << id << " in " << file;
        return 0.0;
    }
    std::vector<std::string> contradicted() const {
        std::vector<std::string> all;
        for (const bench::ClaimCheck& check : bench.claims) {
            if (check.verdict == bench::Verdict::outside) {
                all.push_back(check.quantity);
            }
        }
        return all;
    }
};

// The three contradictions are planted: captures.toml beside each dossier made the records, the
// labels promise otherwise. Nothing else is contradicted.
TEST(ExamplesAtTheBench, ContradictJustWhatTheirLabelsPromiseFalsely) {
    EXPECT_THAT(Example("henhouse-lamp").contradicted(), testing::ElementsAre("percent flicker"));
    EXPECT_THAT(Example("sewing-adapter").contradicted(), testing::ElementsAre("efficiency"));
    EXPECT_THAT(Example("seedling-driver").contradicted(),
                testing::ElementsAre("power factor", "power factor"));
}

// True values of the simulated captures (tools/bench-capture tells them); what stands beside them
// is the scope's own error, within what is assumed of it.
TEST(ExamplesAtTheBench, RecordsShowWhatWasSimulatedWithinTheScopesErrors) {
    const Example lamp("henhouse-lamp");
    EXPECT_NEAR(lamp.value("mains.csv", "power"), 3.4403, 0.02 * 3.44);
    EXPECT_NEAR(lamp.value("mains.csv", "current"), 0.0665687, 0.02 * 0.0666);
    EXPECT_NEAR(lamp.value("mains.csv", "power_factor"), 0.223716, 0.003);
    const Example driver("seedling-driver");
    EXPECT_NEAR(driver.value("mains.csv", "power"), 15.1853, 0.02 * 15.2);
    EXPECT_NEAR(driver.value("mains.csv", "power_factor"), 0.895988, 0.003);
}

TEST(ExamplesAtTheBench, EveryRecordIsReadAndHasFiguresAndCharts) {
    for (const char* name : {"henhouse-lamp", "sewing-adapter", "seedling-driver"}) {
        const Example example(name);
        EXPECT_FALSE(example.bench.records.empty());
        for (const bench::Record& record : example.bench.records) {
            const RecordView view = view_of(record, nullptr, example.dossier);
            EXPECT_EQ(view.problem, "") << record.file;
            EXPECT_FALSE(view.rows.empty()) << record.file;
            EXPECT_FALSE(view.charts.empty()) << record.file;
        }
    }
}

TEST(ExamplesAtTheBench, LeakageAndItsRingingGiveTheNodesCapacitance) {
    const Example adapter("sewing-adapter");
    const double hz = adapter.value("turn-off.csv", "ringing_frequency");
    const double farad = adapter.value("turn-off.csv", "node_capacitance_by_inductance");
    const double omega = 2.0 * 3.14159265358979 * hz;
    EXPECT_NEAR(farad * 15e-6 * omega * omega, 1.0, 1e-6);
    EXPECT_GT(farad, 20e-12);
    EXPECT_LT(farad, 200e-12);
}

TEST(ExamplesAtTheBench, TheFrequencyGoesWithTheMains) {
    const Example driver("seedling-driver");
    const double least = driver.value("drain-half-cycle.csv", "switching_frequency_least");
    const double largest = driver.value("drain-half-cycle.csv", "switching_frequency_largest");
    EXPECT_GT(largest, 1.3 * least);
}

Behaviour simulated(const Example& example, std::vector<std::string> scenarios) {
    SimulateOptions options;
    options.scenarios = std::move(scenarios);
    return simulate(circuit::build(example.dossier, data().catalogue),
                    example.dossier,
                    *load_simulation_data(data()),
                    options);
}

TEST(LaidOver, TheLampsRecordsLieOnItsSimulation) {
    const Example lamp("henhouse-lamp");
    const Behaviour run = simulated(lamp, {"normal", "cold-start"});
    const RecordView mains = view_of(lamp.record("mains.csv"), &run, lamp.dossier);
    EXPECT_TRUE(mains.any_simulated);
    EXPECT_EQ(mains.differences.size(), 2U);
    const auto overs = overs_of(lamp.record("mains.csv"), run, lamp.dossier);
    ASSERT_EQ(overs.size(), 2U);
    EXPECT_LT(overs[0].both.rms_share, 0.02);
    EXPECT_LT(overs[1].both.rms_share, 0.08);
    EXPECT_NEAR(overs[1].both.later_s, 0.0, 1e-4);
    const auto light = overs_of(lamp.record("light.csv"), run, lamp.dossier);
    ASSERT_EQ(light.size(), 1U);
    EXPECT_LT(light[0].both.rms_share, 0.08);
    const RecordView inrush = view_of(lamp.record("inrush.csv"), &run, lamp.dossier);
    EXPECT_TRUE(inrush.any_simulated);
}

TEST(LaidOver, NeedsTheScenarioThatWasRecorded) {
    const Example lamp("henhouse-lamp");
    const Behaviour nothing;
    EXPECT_TRUE(overs_of(lamp.record("mains.csv"), nothing, lamp.dossier).empty());
    EXPECT_FALSE(view_of(lamp.record("mains.csv"), &nothing, lamp.dossier).any_simulated);
}

TEST(BenchOnThePage, ShowsRecordsChartsAndVerdicts) {
    const Example lamp("henhouse-lamp");
    Study study = derive(lamp.dossier, data());
    read_waveforms(study, data(), lamp.folder);
    const auto html = to_html(study, data(), lamp.folder);
    ASSERT_TRUE(html);
    EXPECT_THAT(*html, HasSubstr("On the bench"));
    EXPECT_THAT(*html, HasSubstr("class=\"chart\""));
    EXPECT_THAT(*html, HasSubstr("regions of IEEE Std 1789-2015"));
    EXPECT_THAT(*html, HasSubstr("outside</span>"));
    EXPECT_THAT(*html, HasSubstr("47.3"));
    const auto figure = std::ranges::find_if(
        study.figures, [](const base::Figure& f) { return f.id.starts_with("efficiency"); });
    EXPECT_NE(figure, study.figures.end());
}

TEST(BenchOnThePage, SaysWhatCouldNotBeRead) {
    Example lamp("henhouse-lamp");
    lamp.dossier.waveforms[0].file.value = "waves/gone.csv";
    const AtBench bench = at_bench(lamp.dossier, data().meters, lamp.folder);
    EXPECT_THAT(view_of(bench.records[0], nullptr, lamp.dossier).problem,
                HasSubstr("is not there"));
}

}  // namespace
}  // namespace etchback::report
