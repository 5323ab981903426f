// Simulated scenarios on paper.
#include <fmt/format.h>

#include <algorithm>

#include "report/detail/page_behaviour.h"
#include "report/detail/paper_blocks.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

using render::Paper;
using Kind = render::PaperBlock::Kind;
using Rows = std::vector<std::vector<std::string>>;

void add_figures(Paper& paper, const ScenarioView& scenario) {
    if (scenario.figures.empty()) {
        return;
    }
    Rows rows;
    if (scenario.has_read) {
        rows.push_back({"Figure", "Simulated", "Read at the bench", "Difference"});
    } else {
        rows.push_back({"Figure", "Simulated"});
    }
    constexpr std::size_t most_dissipations = 8;  // largest first
    FigureParts figures = parted(scenario.figures);
    figures.dissipations.resize(std::min(figures.dissipations.size(), most_dissipations));
    figures.main.insert(
        figures.main.end(), figures.dissipations.begin(), figures.dissipations.end());
    for (const SimulatedFigure& figure : figures.main) {
        std::string title = figure.title + (figure.note.empty() ? "" : " (" + figure.note + ")");
        std::vector<std::string> row = {title, figure.value};
        if (scenario.has_read) {
            row.push_back(figure.read);
            row.push_back(figure.difference +
                          (figure.apart ? ", beyond the reading's uncertainty" : ""));
        }
        rows.push_back(std::move(row));
    }
    add_table(paper,
              std::move(rows),
              scenario.has_read ? std::vector<double>{4, 2, 3, 2.5} : std::vector<double>{4, 3});
}

void add_plots(Paper& paper, const ScenarioView& scenario) {
    for (const StyledPlot& plot : plots_of(scenario, true)) {
        render::PaperBlock block;
        block.kind = Kind::drawing;
        block.svg = plot_svg(*plot.plot, plot.style);
        paper.blocks.push_back(std::move(block));
    }
}

// Paper has room for what comes near a rating, not for every limit of every part.
void add_stress(Paper& paper, const ScenarioView& scenario) {
    if (scenario.stress.empty()) {
        return;
    }
    add_spans(paper,
              Kind::paragraph,
              {{.text = "What the parts bear. ", .bold = true}, {.text = scenario.stress_words}});
    const StressParts stress = parted(scenario.stress);
    if (stress.near.empty()) {
        return;
    }
    Rows rows = {{"Part", "Stress", "Reaches", "Rating", "Of it"}};
    for (const StressView& row : stress.near) {
        rows.push_back({row.part,
                        row.what,
                        row.value,
                        row.rating + (row.assumed ? " (assumed)" : "") +
                            (row.basis.empty() ? "" : ", " + row.basis),
                        row.share + (row.exceeded ? ", " + row.verdict : "")});
    }
    add_table(paper, std::move(rows), {1, 2, 1.6, 4, 2.4});
}

void add_story(Paper& paper, const ScenarioView& scenario) {
    if (scenario.story.empty()) {
        return;
    }
    Rows rows = {{"", "Time", "Who", "What happens"}};
    for (const StoryView& line : scenario.story) {
        rows.push_back({std::to_string(line.number), line.time, line.who, line.text});
    }
    add_table(paper, std::move(rows), {0.6, 1.6, 1.2, 8});
}

void add_scenario(Paper& paper, const ScenarioView& scenario) {
    add_text(paper, Kind::subheading, scenario.title + ", at " + scenario.supply);
    add_text(paper,
             Kind::paragraph,
             scenario.words + (scenario.steady.empty() ? "" : " " + scenario.steady));
    if (!scenario.ran_to_end) {
        std::string why = scenario.ending;
        for (const std::string& trouble : scenario.trouble) {
            why += " " + trouble + ".";
        }
        add_spans(
            paper, Kind::paragraph, {{.text = "Not in order. ", .bold = true}, {.text = why}});
    }
    add_plots(paper, scenario);
    add_figures(paper, scenario);
    if (!scenario.harmonics.empty()) {
        add_text(paper, Kind::paragraph, scenario.harmonics);
    }
    add_stress(paper, scenario);
    add_story(paper, scenario);
    add_text(paper, Kind::small, "Energy ledger. " + scenario.ledger);
}

}  // namespace

void paper_behaviour(Paper& paper, const Page& page) {
    if (!page.has_behaviour) {
        return;
    }
    const BehaviourView& view = page.behaviour;
    add_text(paper, Kind::heading, "How it behaves in time");
    if (!view.why_not.empty()) {
        add_text(paper, Kind::paragraph, view.why_not);
    }
    if (view.scenarios.empty()) {
        return;
    }
    add_text(paper,
             Kind::paragraph,
             "Simulated from the circuit as it was traced. It shows what this reading of the board "
             "would do; only the bench shows what the item does.");
    for (const ScenarioView& scenario : view.scenarios) {
        add_scenario(paper, scenario);
    }
    if (!view.assumed.empty()) {
        add_text(paper, Kind::subheading, "What the simulation assumes");
        Rows rows = {{"Part", "What", "Assumed", "Source"}};
        for (const AssumedView& one : view.assumed) {
            rows.push_back({one.part, one.parameter, one.value, one.source});
        }
        add_table(paper, std::move(rows), {1, 3, 3, 4});
    }
    if (!view.left_out.empty()) {
        add_text(paper, Kind::subheading, "What the simulation leaves out");
        for (const std::string& words : view.left_out) {
            add_text(paper, Kind::paragraph, "• " + words);
        }
    }
}

}  // namespace etchback::report::detail
