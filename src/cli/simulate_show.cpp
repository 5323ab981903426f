#include "cli/simulate_show.h"

#include <fmt/format.h>

#include "cli/text_table.h"

namespace etchback::cli {
namespace {

using Rows = std::vector<std::vector<std::string>>;

constexpr std::size_t most_stress_rows = 20;
constexpr std::size_t most_dissipations = 8;

std::string figures_text(const report::ScenarioView& scenario) {
    Rows rows;
    if (scenario.has_read) {
        rows.push_back({"", "simulated", "read at the bench", "difference"});
    }
    std::size_t dissipations = 0;
    for (const report::SimulatedFigure& figure : scenario.figures) {
        if (figure.id.starts_with("dissipation.") && ++dissipations > most_dissipations) {
            continue;
        }
        std::vector<std::string> row = {
            figure.title + (figure.note.empty() ? "" : ", " + figure.note), figure.value};
        if (!figure.read.empty()) {
            row.push_back(figure.read);
            row.push_back(figure.difference +
                          (figure.apart ? ", beyond the reading's uncertainty" : ""));
        }
        rows.push_back(std::move(row));
    }
    std::string text = rows.empty() ? "" : "\nFigures\n" + text_table(rows);
    if (dissipations > most_dissipations) {
        text += fmt::format("  The dissipation of {} more parts is in what --json prints.\n",
                            dissipations - most_dissipations);
    }
    return text;
}

std::string stress_text(const report::ScenarioView& scenario) {
    if (scenario.stress.empty()) {
        return "";
    }
    Rows rows;
    for (const report::StressView& row : scenario.stress) {
        if (rows.size() >= most_stress_rows && !row.exceeded) {
            break;
        }
        rows.push_back({row.part,
                        row.what,
                        row.value,
                        row.rating.empty() ? "" : "of " + row.rating,
                        row.share,
                        row.verdict + (row.basis.empty() ? "" : " (" + row.basis + ")")});
    }
    std::string text =
        "\nStress, worst first\n  " + scenario.stress_words + "\n" + text_table(rows);
    if (rows.size() < scenario.stress.size()) {
        text += fmt::format("  {} more are in what --json prints.\n",
                            scenario.stress.size() - rows.size());
    }
    return text;
}

std::string story_text(const report::ScenarioView& scenario) {
    Rows rows;
    for (const report::StoryView& line : scenario.story) {
        rows.push_back({line.time, line.who, line.text});
    }
    return rows.empty() ? "" : "\nStory\n" + text_table(rows);
}

}  // namespace

std::string scenario_text(const report::ScenarioView& scenario) {
    std::string text = scenario.title + ", at " + scenario.supply + "\n";
    text += "  " + scenario.words + "\n";
    if (!scenario.steady.empty()) {
        text += "  " + scenario.steady + "\n";
    }
    text += "  " + scenario.ending + "\n";
    for (const std::string& trouble : scenario.trouble) {
        text += "  Trouble: " + trouble + "\n";
    }
    text += figures_text(scenario);
    if (!scenario.harmonics.empty()) {
        text += "  " + scenario.harmonics + "\n";
    }
    text += stress_text(scenario) + story_text(scenario);
    return text + "\nEnergy ledger\n  " + scenario.ledger + "\n";
}

std::string assumptions_text(const report::BehaviourView& view) {
    std::string text;
    Rows rows;
    for (const report::AssumedView& one : view.assumed) {
        rows.push_back({one.part, one.parameter, one.value, one.source});
    }
    if (!rows.empty()) {
        text += "Assumed, because the dossier does not give it\n" + text_table(rows);
    }
    if (!view.left_out.empty()) {
        text += "Left out\n";
        for (const std::string& words : view.left_out) {
            text += "  " + words + "\n";
        }
    }
    return text;
}

}  // namespace etchback::cli
