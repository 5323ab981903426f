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
        rows.push_back({"", "simulated", "read at the bench", "difference", ""});
    }
    std::size_t dissipations = 0;
    for (const report::SimulatedFigure& figure : scenario.figures) {
        if (figure.id.starts_with("dissipation.") && ++dissipations > most_dissipations) {
            continue;
        }
        std::vector<std::string> row = {figure.title, figure.value};
        if (scenario.has_read) {
            row.push_back(figure.read);
            row.push_back(figure.difference + (figure.apart ? " (!)" : ""));
        }
        row.push_back(figure.note);
        rows.push_back(std::move(row));
    }
    std::string text = rows.empty() ? "" : "\nFigures\n" + text_table(rows);
    if (scenario.any_apart) {
        text += "  (!) differs by more than the reading's uncertainty\n";
    }
    if (dissipations > most_dissipations) {
        text += fmt::format("  {} more dissipations are in what --json prints.\n",
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
        "\nStress, worst first\n" + wrapped(scenario.stress_words) + text_table(rows);
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
    text += wrapped(scenario.words);
    for (const std::string* words : {&scenario.steady, &scenario.ending}) {
        text += words->empty() ? "" : wrapped(*words);
    }
    for (const std::string& trouble : scenario.trouble) {
        text += wrapped("Trouble: " + trouble);
    }
    text += figures_text(scenario);
    text += scenario.harmonics.empty() ? "" : wrapped(scenario.harmonics);
    text += stress_text(scenario) + story_text(scenario);
    return text + "\nEnergy ledger\n" + wrapped(scenario.ledger);
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
            text += wrapped(words);
        }
    }
    return text;
}

}  // namespace etchback::cli
