#include "report/explanation.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

#include "base/text.h"
#include "report/behaviour_view.h"

namespace etchback::report {

namespace {

using behaviour::FigureRow;
using behaviour::Outcome;
using behaviour::Scenario;
using behaviour::StoryLine;

constexpr std::string_view normal_use = "normal";
constexpr std::string_view protections[] = {"load-open", "output-short"};
constexpr std::string_view stage_of_protection = "protection";
constexpr std::size_t lines_shown = 8;

const Outcome* outcome_of(const std::vector<Outcome>& outcomes, std::string_view scenario) {
    const auto at = std::ranges::find_if(
        outcomes, [&](const Outcome& one) { return one.scenario.id == scenario && in_order(one); });
    return at == outcomes.end() ? nullptr : &*at;
}

std::optional<double> figure_named(const Outcome& outcome, const std::string& id) {
    for (const FigureRow& row : outcome.figures) {
        if (row.id == id || (id.ends_with('.') && row.id.starts_with(id))) {
            return row.value;
        }
    }
    return std::nullopt;
}

// The sum of the figures; nothing where one of them is not there.
std::optional<double> sum_of(const Outcome& outcome, const std::vector<std::string>& ids) {
    std::optional<double> sum;
    for (const std::string& id : ids) {
        const auto one = figure_named(outcome, id);
        if (!one) {
            return std::nullopt;
        }
        sum = sum.value_or(0.0) + *one;
    }
    return sum;
}

bool happened(const Outcome& run, const blocks::BlockFigure::Simulated& wanted) {
    return wanted.event.empty() || std::ranges::any_of(run.story, [&](const StoryLine& line) {
               return line.key == wanted.event && line.who == wanted.event_of;
           });
}

FigureBeside beside(const blocks::BlockFigure& closed, const std::vector<Outcome>& outcomes) {
    FigureBeside figure{&closed, {}, 0.0, {}};
    const Outcome* run = outcome_of(outcomes, closed.simulated.scenario);
    if (run != nullptr && happened(*run, closed.simulated)) {
        figure.simulated = sum_of(*run, closed.simulated.figures);
    }
    if (figure.simulated) {
        figure.scenario = run->scenario.title;
        const double value = closed.figure.value;
        figure.difference = value != 0.0 ? *figure.simulated / value - 1.0 : 0.0;
    }
    return figure;
}

std::string lower_first(std::string text) {
    if (text.size() > 1 && std::islower(static_cast<unsigned char>(text[1])) != 0) {
        text[0] = static_cast<char>(std::tolower(static_cast<unsigned char>(text[0])));
    }
    return text;
}

std::string simulated_sentence(const BlockTold& told) {
    std::string text;
    std::string scenario;
    for (const FigureBeside& figure : told.figures) {
        if (!figure.simulated) {
            continue;
        }
        if (figure.scenario != scenario) {
            scenario = figure.scenario;
            text +=
                fmt::format("{}Simulated ({}): ", text.empty() ? "" : ". ", lower_first(scenario));
        } else {
            text += ", ";
        }
        text += lower_first(figure.closed->figure.title) + " " + in_words(figure);
    }
    return text.empty() ? text : text + '.';
}

std::string doubt_of(const FigureBeside& figure) {
    return fmt::format(
        "{}: closed form and run differ by {:.0f} %, more than the {:.0f} % that this formula is "
        "good for as a rule. A value is wrong, or the circuit works in another way.",
        figure.closed->figure.title,
        100.0 * std::abs(figure.difference),
        100.0 * figure.closed->simulated.within.value_or(0.0));
}

BlockTold told_of(const blocks::Block& block, const std::vector<Outcome>& outcomes) {
    BlockTold told{&block, {}, {}, {}};
    for (const blocks::BlockFigure& figure : block.figures) {
        told.figures.push_back(beside(figure, outcomes));
        if (told.figures.back().beyond()) {
            told.doubts.push_back(doubt_of(told.figures.back()));
        }
    }
    told.simulated = simulated_sentence(told);
    return told;
}

// Where the part named `who` is told of; empty: nowhere.
std::string stage_of(const std::string& who,
                     const blocks::Blocks& found,
                     const circuit::Circuit& circuit) {
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const int block = found.roles[i].block;
        if (circuit.parts[i].name == who && block >= 0) {
            return found.blocks[static_cast<std::size_t>(block)].stage;
        }
    }
    return {};
}

std::string sentence_of(const StoryLine& line) {
    return line.text.ends_with('.') ? line.text : line.text + '.';
}

void add_line(StageEvents& events, double t_s, const StoryLine& line) {
    if (events.lines.size() < lines_shown) {
        events.lines.push_back({t_s, sentence_of(line)});
    } else {
        ++events.more;
    }
}

void add_normal_events(std::vector<StageTold>& told,
                       const blocks::Blocks& found,
                       const circuit::Circuit& circuit,
                       const std::vector<blocks::Stage>& stages,
                       const Outcome& run) {
    for (std::size_t s = 0; s < told.size(); ++s) {
        StageEvents events;
        events.scenario = run.scenario.id;
        events.lead = fmt::format("Simulated at {}, after switching on:", supply_in_words(run));
        for (const StoryLine& line : run.story) {
            const auto claims = std::ranges::find_if(stages, [&](const blocks::Stage& stage) {
                return std::ranges::find(stage.events, line.key) != stage.events.end();
            });
            const std::string stage =
                claims != stages.end() ? claims->id : stage_of(line.who, found, circuit);
            if (stage == told[s].id) {
                add_line(events, line.t_s, line);
            }
        }
        if (!events.lines.empty()) {
            told[s].events.push_back(std::move(events));
        }
    }
}

double first_deed_s(const Outcome& run) {
    for (const StoryLine& line : run.story) {
        if (line.who == "scenario") {
            return line.t_s;
        }
    }
    return 0.0;
}

std::vector<std::string> parts_beyond_rating(const Outcome& run) {
    std::vector<std::string> parts;
    for (const behaviour::StressRow& row : run.stress) {
        if (row.exceeded() && std::ranges::find(parts, row.part) == parts.end()) {
            parts.push_back(row.part);
        }
    }
    return parts;
}

// Ratings that are exceeded, apart from those that are in normal use, too.
std::string ratings_in_words(const Outcome& run, const Outcome* normal) {
    std::vector<std::string> parts = parts_beyond_rating(run);
    const bool any = !parts.empty();
    if (normal != nullptr) {
        const auto known = parts_beyond_rating(*normal);
        std::erase_if(parts, [&](const std::string& part) {
            return std::ranges::find(known, part) != known.end();
        });
    }
    if (!parts.empty()) {
        return fmt::format("A rating of {} is exceeded.", base::listed(parts));
    }
    return any ? "No rating is exceeded that is not in normal use, too."
               : "No known rating is exceeded.";
}

// How things stand at the end of it.
std::string state_in_words(const Outcome& run) {
    std::string text;
    const bool shorted = std::ranges::any_of(run.scenario.deeds, [](const behaviour::Deed& deed) {
        return deed.kind == behaviour::Deed::Kind::short_load;
    });
    for (const FigureRow& row : run.figures) {
        const std::string_view voltage = "output_voltage.";
        if (!shorted && row.id.starts_with(voltage)) {
            text += fmt::format("In the end the output at {} stands at {}. ",
                                row.id.substr(voltage.size()),
                                base::to_engineering(row.value, row.unit));
        }
        if (shorted && row.id == "input_power") {
            text += fmt::format("In the end the item takes {} on average. ",
                                base::to_engineering(row.value, row.unit));
        }
    }
    return text;
}

StageEvents protection_of(const Outcome& run, const Outcome* normal) {
    StageEvents events;
    events.scenario = run.scenario.id;
    const double deed_s = first_deed_s(run);
    for (const StoryLine& line : run.story) {
        if (line.t_s >= deed_s && line.who != "scenario") {
            add_line(events, line.t_s - deed_s, line);
        }
    }
    events.lead = fmt::format("{}, simulated at {}. {} {}",
                              run.scenario.title,
                              supply_in_words(run),
                              run.scenario.words,
                              events.lines.empty() ? "No controller or protection acts." : "Then:");
    events.outcome = state_in_words(run) + ratings_in_words(run, normal);
    return events;
}

}  // namespace

bool FigureBeside::beyond() const {
    return simulated && closed->simulated.within &&
           std::abs(difference) > *closed->simulated.within;
}

bool StageTold::empty() const {
    return events.empty() && std::ranges::all_of(blocks, [](const BlockTold& one) {
               return one.block->sentences.empty() && one.block->remarks.empty();
           });
}

std::string in_words(const FigureBeside& figure) {
    if (!figure.simulated) {
        return {};
    }
    std::string text = base::to_engineering(*figure.simulated, figure.closed->figure.unit);
    if (figure.closed->figure.value != 0.0) {
        const double percent = std::round(100.0 * figure.difference);
        text += fmt::format(" ({}{:.0f}\u00a0%)",
                            percent < 0.0   ? "−"
                            : percent > 0.0 ? "+"
                                            : "±",
                            std::abs(percent));
    }
    return text;
}

std::vector<std::string> scenarios_to_explain(const blocks::Blocks& found) {
    std::vector<std::string> all = {std::string(normal_use)};
    const auto add = [&](std::string_view id) {
        if (std::ranges::find(all, id) == all.end()) {
            all.emplace_back(id);
        }
    };
    for (const std::string_view id : protections) {
        add(id);
    }
    for (const blocks::Block& block : found.blocks) {
        for (const blocks::BlockFigure& figure : block.figures) {
            if (!figure.simulated.figures.empty()) {
                add(figure.simulated.scenario);
            }
        }
    }
    return all;
}

std::vector<StageTold> explain(const blocks::Blocks& found,
                               const circuit::Circuit& circuit,
                               const std::vector<blocks::Stage>& stages,
                               const std::vector<Outcome>& outcomes) {
    std::vector<StageTold> told;
    for (const blocks::Stage& stage : stages) {
        told.push_back({stage.id, stage.title, {}, {}});
        for (const blocks::Block& block : found.blocks) {
            if (block.stage == stage.id) {
                told.back().blocks.push_back(told_of(block, outcomes));
            }
        }
    }
    const Outcome* normal = outcome_of(outcomes, normal_use);
    if (normal != nullptr) {
        add_normal_events(told, found, circuit, stages, *normal);
    }
    const auto protection = std::ranges::find(told, stage_of_protection, &StageTold::id);
    for (const std::string_view id : protections) {
        const Outcome* run = outcome_of(outcomes, id);
        if (run != nullptr && protection != told.end()) {
            protection->events.push_back(protection_of(*run, normal));
        }
    }
    return told;
}

std::vector<StageTold> explained(const Study& study) {
    return explain(study.blocks,
                   study.circuit,
                   study.stages,
                   study.behaviour ? study.behaviour->outcomes : std::vector<Outcome>());
}

}  // namespace etchback::report
