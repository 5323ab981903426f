#include "report/behaviour_json.h"

#include <cmath>
#include <string>

#include "report/detail/json.h"

namespace etchback::report {
namespace {

using behaviour::Outcome;
using Json = nlohmann::ordered_json;
using detail::set_text;

const char* name_of(behaviour::Ending ending) {
    switch (ending) {
        case behaviour::Ending::reached:
            return "reached";
        case behaviour::Ending::interrupted:
            return "interrupted";
        case behaviour::Ending::gave_up:
            return "gave_up";
    }
    return "";
}

template <typename List, typename Make>
Json list_of(const List& list, const Make& make) {
    Json all = Json::array();
    for (const auto& one : list) {
        all.push_back(make(one));
    }
    return all;
}

// JSON has no infinity: what is not finite becomes null there, and is left out here.
void set_number(Json& json, const char* key, const std::optional<double>& value) {
    if (value && std::isfinite(*value)) {
        json[key] = *value;
    }
}

double rounded(double value) {
    constexpr double digits = 7.0;
    if (value == 0.0 || !std::isfinite(value)) {
        return value;  // written as null where it is not finite
    }
    const double decade = digits - 1.0 - std::floor(std::log10(std::abs(value)));
    if (decade < 0.0) {
        const double unit = std::pow(10.0, -decade);
        return std::round(value / unit) * unit;
    }
    const double scale = std::pow(10.0, decade);
    return std::round(value * scale) / scale;
}

// Times of a short window late in a run need all their digits; values do not.
Json numbers(const std::vector<double>& values) {
    return list_of(values, rounded);
}

Json json_of(const behaviour::PlotCurve& curve, bool samples) {
    Json json = {{"id", curve.id},
                 {"title", curve.title},
                 {"unit", base::name_of(curve.unit)},
                 {"envelope", curve.is_envelope()}};
    if (samples && curve.is_envelope()) {
        json["start_s"] = curve.start_s;
        json["cell_s"] = curve.cell_s;
        json["low"] = numbers(curve.low);
        json["mean"] = numbers(curve.mean);
        json["high"] = numbers(curve.high);
    } else if (samples) {
        json["t_s"] = curve.t_s;
        json["value"] = numbers(curve.value);
    }
    return json;
}

Json json_of(const behaviour::Plot& plot, bool samples) {
    return {{"id", plot.id},
            {"title", plot.title},
            {"start_s", plot.start_s},
            {"end_s", plot.end_s},
            {"curves",
             list_of(plot.curves, [&](const auto& curve) { return json_of(curve, samples); })}};
}

Json json_of(const behaviour::Harmonics& harmonics) {
    return {{"base_hz", harmonics.base_hz},
            {"amps_rms", harmonics.amps_rms},
            {"total_distortion", harmonics.total_distortion},
            {"displacement_factor", harmonics.displacement_factor}};
}

Json json_of(const behaviour::Ledger& ledger) {
    Json json = {{"delivered_j", ledger.delivered_j},
                 {"absorbed_j", ledger.absorbed_j},
                 {"stored_change_j", ledger.stored_change_j},
                 {"residual", ledger.residual()},
                 {"in_order", ledger.in_order()},
                 {"worst_kirchhoff_a", ledger.worst_kirchhoff_a}};
    set_text(json, "worst_node", ledger.worst_node);
    return json;
}

Json json_of(const behaviour::Effort& effort) {
    Json json = {{"events", effort.events},
                 {"steps", effort.steps},
                 {"patterns", effort.patterns},
                 {"states", effort.states}};
    set_text(json, "note", effort.note);
    return json;
}

Json json_of(const behaviour::Assumed& assumed) {
    return {{"part", assumed.part},
            {"parameter", assumed.parameter},
            {"value", detail::json_of(assumed.value)},
            {"source", assumed.source}};
}

Json json_of_compared(const behaviour::FigureRow& figure,
                      const Outcome& outcome,
                      const dossier::Dossier& dossier) {
    Json json = report::json_of(figure);
    if (const dossier::Reading* reading = reading_of(figure, outcome, dossier)) {
        json["reading"] = detail::json_of(reading->value.value);
        set_text(json, "reading_group", reading->group);
    }
    return json;
}

}  // namespace

Json json_of(const behaviour::FigureRow& figure) {
    Json json = {{"id", figure.id}, {"title", figure.title}};
    set_number(json, "value", figure.value);
    json["unit"] = base::name_of(figure.unit);
    set_text(json, "note", figure.note);
    return json;
}

Json json_of(const behaviour::StressRow& row) {
    Json json = {{"part", row.part},
                 {"kind", words_of(row.kind)},
                 {"value", row.value},
                 {"unit", base::name_of(row.unit)}};
    set_number(json, "rating", row.rating);
    set_number(json, "share", row.share());
    json["exceeded"] = row.exceeded();
    json["rating_assumed"] = row.rating_assumed;
    set_text(json, "basis", row.basis);
    return json;
}

Json json_of(const behaviour::StoryLine& line) {
    return {{"t_s", line.t_s}, {"who", line.who}, {"key", line.key}, {"text", line.text}};
}

Json json_of(const Outcome& outcome, const dossier::Dossier& dossier, bool samples) {
    Json json = {{"scenario", outcome.scenario.id},
                 {"title", outcome.scenario.title},
                 {"words", outcome.scenario.words},
                 {"supply_v_rms", outcome.supply_v_rms},
                 {"supply_hz", outcome.supply_hz},
                 {"ending", name_of(outcome.ending)},
                 {"in_order", in_order(outcome)}};
    json["trouble"] =
        list_of(outcome.trouble, [](const base::Error& error) { return base::to_string(error); });
    json["steady"] = outcome.steady;
    set_text(json, "steady_words", outcome.steady_words);
    json["figures"] = list_of(outcome.figures, [&](const auto& figure) {
        return json_of_compared(figure, outcome, dossier);
    });
    if (outcome.mains_current) {
        json["mains_current"] = json_of(*outcome.mains_current);
    }
    const auto plain = [](const auto& one) { return json_of(one); };
    json["stress"] = list_of(outcome.stress, plain);
    json["story"] = list_of(outcome.story, plain);
    json["ledger"] = json_of(outcome.ledger);
    json["effort"] = json_of(outcome.effort);
    json["assumed"] = list_of(outcome.assumed, plain);
    json["left_out"] = outcome.left_out;
    json["plots"] =
        list_of(outcome.plots, [&](const auto& plot) { return json_of(plot, samples); });
    return json;
}

Json json_of(const Behaviour& behaviour, const dossier::Dossier& dossier, bool samples) {
    Json json = {{"scenarios", list_of(behaviour.outcomes, [&](const Outcome& outcome) {
                      return json_of(outcome, dossier, samples);
                  })}};
    json["why_not"] = list_of(behaviour.why_not, [](const base::Error& error) {
        return error.what + (error.todo.empty() ? "" : "; " + error.todo);
    });
    return json;
}

}  // namespace etchback::report
