#include "report/behaviour_view.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>

#include "base/text.h"
#include "report/ticks.h"

namespace etchback::report {
namespace {

using behaviour::Ending;
using behaviour::FigureRow;
using behaviour::Limit;
using behaviour::Outcome;
using behaviour::StressRow;

constexpr double close_to_rating = 0.8;

std::string counted(std::int64_t number, const char* one, const char* many) {
    return fmt::format("{} {}", number, number == 1 ? one : many);
}

// "settled after 100 ms" as a sentence of its own.
std::string sentence(std::string text) {
    if (text.empty()) {
        return text;
    }
    const unsigned char first = static_cast<unsigned char>(text[0]);
    if (text.size() > 1 && std::islower(static_cast<unsigned char>(text[1])) != 0) {
        text[0] = static_cast<char>(std::toupper(first));
    } else if (text.size() > 1 && text[1] == ' ') {
        text[0] = static_cast<char>(std::toupper(first));  // "a pulse", but not "dV/dt"
    }
    return text.ends_with('.') ? text : text + ".";
}

std::string percent(double ratio) {
    const double value = 100.0 * ratio;
    return fmt::format("{:.{}f}\u00a0%", value, value < 10.0 ? 1 : 0);
}

std::string time_text(double t_s) {
    return value_text(t_s, base::Unit::second, 0.0, 5);
}

std::string ending_of(const Outcome& outcome) {
    switch (outcome.ending) {
        case Ending::reached:
            return "The run reached its end: " + counted(outcome.effort.events, "event", "events") +
                   ".";
        case Ending::interrupted:
            return "The run was interrupted: what is shown holds for the part before that.";
        case Ending::gave_up:
            return "The run gave up before its end: what is shown holds for the part before that.";
    }
    return "";
}

// Half-width (k = 2) in the unit of the reading's value.
std::optional<double> uncertainty_of(const dossier::Reading& reading) {
    if (!reading.uncertainty) {
        return std::nullopt;
    }
    const base::Quantity& wide = reading.uncertainty->value;
    const base::Quantity& value = reading.value.value;
    const bool relative = wide.unit == base::Unit::percent && value.unit != base::Unit::percent;
    return relative ? std::abs(value.value) * wide.value / 100.0 : wide.value;
}

// An efficiency may be written as a ratio or in percent.
double in_unit_of(const FigureRow& figure, base::Unit unit) {
    if (figure.unit == base::Unit::none && unit == base::Unit::percent) {
        return 100.0 * figure.value;
    }
    if (figure.unit == base::Unit::percent && unit == base::Unit::none) {
        return figure.value / 100.0;
    }
    return figure.value;
}

void compare(SimulatedFigure& view, const FigureRow& figure, const dossier::Reading& reading) {
    const base::Quantity& read = reading.value.value;
    view.read = base::to_text(read, {.digits = 4});
    if (reading.uncertainty) {
        view.read += " ± " + base::to_text(reading.uncertainty->value);
    }
    view.read += reading.group.empty() ? "" : " (" + reading.group + ")";
    const double away = in_unit_of(figure, read.unit) - read.value;
    if (read.value != 0.0) {
        view.difference = fmt::format(
            "{}{:.1f}\u00a0%", away < 0.0 ? "\u2212" : "+", std::abs(100.0 * away / read.value));
    }
    const auto wide = uncertainty_of(reading);
    view.apart = wide && std::abs(away) > *wide;
}

SimulatedFigure view_of(const FigureRow& figure,
                        const Outcome& outcome,
                        const dossier::Dossier& dossier) {
    SimulatedFigure view;
    view.id = figure.id;
    view.title = figure.title;
    view.value = value_text(figure.value, figure.unit);
    view.note = figure.note;
    if (const dossier::Reading* reading = reading_of(figure, outcome, dossier)) {
        compare(view, figure, *reading);
    }
    return view;
}

StressView view_of(const StressRow& row) {
    StressView view;
    view.part = row.part;
    view.what = words_of(row.kind);
    view.value = value_text(row.value, row.unit, 0.0, 3);
    view.rating = row.rating ? value_text(*row.rating, row.unit, 0.0, 3) : "";
    const auto share = row.share();
    view.share = share ? percent(*share) : "";
    view.basis = row.basis;
    view.exceeded = row.exceeded();
    view.half_used = share.value_or(0.0) >= 0.5;
    view.assumed = row.rating && row.rating_assumed;
    const std::string rating = view.assumed ? "its usual rating" : "its rating";
    view.verdict = !share                      ? "no rating known"
                   : view.exceeded             ? "above " + rating
                   : *share >= close_to_rating ? "close to " + rating
                                               : "within " + rating;
    return view;
}

std::string stress_words(const ScenarioView& view, std::size_t rated) {
    if (view.stress.empty()) {
        return "";
    }
    if (rated == 0) {
        return "No part has a known rating to hold its stress against.";
    }
    if (view.exceeded == 0 && view.close == 0) {
        return fmt::format("All {} that have a rating stay below 80\u00a0% of it.",
                           counted(static_cast<std::int64_t>(rated), "limit", "limits"));
    }
    std::vector<std::string> above;
    for (const StressView& row : view.stress) {
        if (row.exceeded) {
            above.push_back(fmt::format("{} ({}, {} of {})",
                                        row.part,
                                        row.what,
                                        row.share,
                                        row.assumed ? "its usual rating, assumed" : "its rating"));
        }
    }
    std::string words =
        above.empty() ? "No rating is exceeded." : "Above rating: " + base::listed(above) + ".";
    if (view.close > 0) {
        words += fmt::format(
            " {} between 80\u00a0% and 100\u00a0% of the rating.",
            view.close == 1 ? "One limit is" : std::to_string(view.close) + " limits are");
    }
    return words;
}

void add_stress(ScenarioView& view, const Outcome& outcome) {
    std::size_t rated = 0;
    for (const StressRow& row : outcome.stress) {
        view.stress.push_back(view_of(row));
        rated += row.rating ? 1 : 0;
        view.exceeded += row.exceeded() ? 1 : 0;
        view.close += !row.exceeded() && row.share().value_or(0.0) >= close_to_rating ? 1 : 0;
    }
    view.stress_words = stress_words(view, rated);
}

// Who did it stands beside the text: "U1 starts: ..." becomes "Starts: ...".
std::string story_text(const behaviour::StoryLine& line) {
    std::string text = line.text;
    for (const char* joint : {": ", " "}) {
        if (!line.who.empty() && text.starts_with(line.who + joint)) {
            text = text.substr(line.who.size() + std::string_view(joint).size());
            break;
        }
    }
    return sentence(text);
}

void add_story(ScenarioView& view, const Outcome& outcome) {
    std::vector<behaviour::StoryLine> story = outcome.story;
    std::stable_sort(
        story.begin(), story.end(), [](const auto& a, const auto& b) { return a.t_s < b.t_s; });
    for (const behaviour::StoryLine& line : story) {
        const int number = static_cast<int>(view.story.size()) + 1;
        view.story.push_back({number, time_text(line.t_s), line.who, story_text(line)});
        view.marks.push_back({line.t_s, number});
    }
}

std::string ledger_of(const Outcome& outcome) {
    const behaviour::Ledger& ledger = outcome.ledger;
    const auto joule = [](double value) { return value_text(value, base::Unit::joule, 0.0, 4); };
    const double off = 100.0 * ledger.residual();
    std::string words = fmt::format(
        "Sources delivered {}; {} was absorbed; what capacitors and windings hold {} by {}. ",
        joule(ledger.delivered_j),
        joule(ledger.absorbed_j),
        ledger.stored_change_j < 0.0 ? "fell" : "rose",
        joule(std::abs(ledger.stored_change_j)));
    words += fmt::format("The two sides differ by {}\u00a0%, {}. ",
                         off < 0.001 ? std::string("less than 0.001") : fmt::format("{:.2g}", off),
                         ledger.in_order() ? "which is in order (up to 0.1\u00a0%)"
                                           : "more than the 0.1\u00a0% that would be in order: do "
                                             "not trust these figures");
    words += fmt::format("The currents into {} sum to {} at most, where they should to nothing.",
                         ledger.worst_node.empty() ? "any node" : "node " + ledger.worst_node,
                         value_text(ledger.worst_kirchhoff_a, base::Unit::ampere, 0.0, 2));
    return words;
}

std::string harmonics_of(const Outcome& outcome) {
    if (!outcome.mains_current) {
        return "";
    }
    const behaviour::Harmonics& current = *outcome.mains_current;
    std::vector<std::string> orders;
    for (std::size_t k = 1; k < current.amps_rms.size() && k <= 9; k += 2) {
        orders.push_back(
            fmt::format("{} (order {})",
                        value_text(current.amps_rms[k], base::Unit::ampere, current.amps_rms[1], 3),
                        k));
    }
    return orders.empty() ? ""
                          : "RMS of the supply current by order: " + base::listed(orders) + ".";
}

template <typename One>
void add_once(std::vector<One>& all, const One& one, const auto& same) {
    if (std::none_of(all.begin(), all.end(), [&](const One& other) { return same(one, other); })) {
        all.push_back(one);
    }
}

std::string why_not(const Behaviour& behaviour) {
    if (!behaviour.outcomes.empty() && behaviour.why_not.empty()) {
        return "";
    }
    std::vector<std::string> reasons;
    for (const base::Error& error : behaviour.why_not) {
        reasons.push_back(error.what + (error.todo.empty() ? "" : "; " + error.todo));
    }
    return fmt::format("{}{}{}.",
                       behaviour.outcomes.empty() ? "The circuit was not simulated"
                                                  : "Some scenarios could not be run",
                       reasons.empty() ? "" : ": ",
                       fmt::join(reasons, ". "));
}

}  // namespace

const char* words_of(Limit::Kind kind) {
    switch (kind) {
        case Limit::Kind::peak_voltage:
            return "peak voltage";
        case Limit::Kind::mean_current:
            return "mean current";
        case Limit::Kind::rms_current:
            return "RMS current";
        case Limit::Kind::peak_current:
            return "peak current";
        case Limit::Kind::power:
            return "power";
    }
    return "";
}

std::string supply_in_words(const Outcome& outcome) {
    const std::string volts = value_text(outcome.supply_v_rms, base::Unit::volt);
    return outcome.supply_hz > 0.0 ? volts + ", " + value_text(outcome.supply_hz, base::Unit::hertz)
                                   : volts + " direct";
}

bool in_order(const Outcome& outcome) {
    return outcome.ending == Ending::reached && outcome.ledger.in_order() &&
           outcome.trouble.empty();
}

ScenarioView view_of(const Outcome& outcome, const dossier::Dossier& dossier) {
    ScenarioView view;
    view.id = outcome.scenario.id;
    view.title = outcome.scenario.title;
    view.words = outcome.scenario.words;
    view.supply = supply_in_words(outcome);
    view.ending = ending_of(outcome);
    view.ran_to_end = outcome.ending == Ending::reached;
    view.books_fit = outcome.ledger.in_order();
    view.in_order = in_order(outcome);
    for (const base::Error& error : outcome.trouble) {
        view.trouble.push_back(base::to_string(error));
    }
    for (const FigureRow& figure : outcome.figures) {
        view.figures.push_back(view_of(figure, outcome, dossier));
        view.has_read = view.has_read || !view.figures.back().read.empty();
        view.any_apart = view.any_apart || view.figures.back().apart;
    }
    add_stress(view, outcome);
    add_story(view, outcome);
    view.ledger = ledger_of(outcome);
    view.steady = sentence(outcome.steady_words);
    view.harmonics = harmonics_of(outcome);
    view.outcome = &outcome;
    return view;
}

BehaviourView view_of(const Behaviour& behaviour, const dossier::Dossier& dossier) {
    BehaviourView view;
    for (const Outcome& outcome : behaviour.outcomes) {
        view.scenarios.push_back(view_of(outcome, dossier));
        for (const behaviour::Assumed& one : outcome.assumed) {
            add_once(view.assumed,
                     AssumedView{one.part, one.parameter, base::to_text(one.value), one.source},
                     [](const AssumedView& a, const AssumedView& b) {
                         return a.part == b.part && a.parameter == b.parameter;
                     });
        }
        for (const std::string& words : outcome.left_out) {
            add_once(view.left_out, words, std::equal_to<>());
        }
    }
    view.why_not = why_not(behaviour);
    return view;
}

}  // namespace etchback::report
