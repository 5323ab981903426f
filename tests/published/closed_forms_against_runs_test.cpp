// Closed forms of the patterns against runs in time of the same circuits. Each closed form states
// by how much the two may differ (`within` in data/blocks): what it leaves out is known.
#include <gtest/gtest.h>

#include <set>

#include "dossier/read.h"
#include "report/behaviour_run.h"
#include "report/explanation.h"
#include "report/study.h"

namespace etchback::report {
namespace {

namespace fs = std::filesystem;

const Data& data() {
    static const Data loaded = *load_data(fs::path(ETCHBACK_SOURCE_DIR) / "data");
    return loaded;
}

// Figures that were compared, by pattern's id of the figure.
std::set<std::string> compare_all(const char* folder) {
    const auto dossier =
        dossier::read_folder(fs::path(ETCHBACK_SOURCE_DIR) / folder, data().catalogue);
    EXPECT_TRUE(dossier) << base::to_string(dossier.errors().front());
    Study study = derive(*dossier, data());
    SimulateOptions options;
    options.scenarios = scenarios_to_explain(study.blocks);
    std::erase(options.scenarios, "output-short");  // says nothing of closed forms
    study.behaviour = simulate(study, data(), options);
    for (const base::Error& error : study.behaviour->why_not) {
        ADD_FAILURE() << base::to_string(error);
    }
    std::set<std::string> compared;
    for (const StageTold& stage : explained(study)) {
        for (const BlockTold& block : stage.blocks) {
            for (const FigureBeside& figure : block.figures) {
                if (!figure.simulated) {
                    continue;
                }
                const std::string& id = figure.closed->figure.id;
                compared.insert(id.substr(0, id.find('.')));
                EXPECT_TRUE(figure.closed->simulated.within) << id << " states no bound";
                EXPECT_FALSE(figure.beyond())
                    << folder << ": " << figure.closed->figure.title << ' '
                    << figure.closed->figure.value << ", simulated " << in_words(figure);
            }
        }
    }
    return compared;
}

void expect_compared(const char* folder, const std::set<std::string>& wanted) {
    const auto compared = compare_all(folder);
    for (const std::string& id : wanted) {
        EXPECT_TRUE(compared.contains(id)) << folder << ": " << id << " was not compared";
    }
}

TEST(ClosedFormsAgainstRuns, AgreeOnTheHenhouseLamp) {
    expect_compared("examples/henhouse-lamp", {"dropper_current"});
}

TEST(ClosedFormsAgainstRuns, AgreeOnTheSeedlingDriver) {
    expect_compared("examples/seedling-driver",
                    {"bleeder_power",
                     "crest",
                     "start_time",
                     "startup_power",
                     "supply_limit_at_output",
                     "led_current",
                     "driver_power",
                     "crest_frequency",
                     "driver_power_factor",
                     "clamp_power",
                     "minimum_load_power",
                     "current_ripple"});
}

TEST(ClosedFormsAgainstRuns, AgreeOnTheSewingAdapter) {
    expect_compared("examples/sewing-adapter",
                    {"bleeder_power",
                     "crest",
                     "bulk_valley",
                     "bulk_power_factor",
                     "start_time",
                     "startup_power",
                     "clamp_power",
                     "minimum_load_power",
                     "regulated_voltage"});
}

}  // namespace
}  // namespace etchback::report
