#include "behaviour/detail/campaign_json.h"

#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

namespace etchback::behaviour::detail {

namespace {

using Json = nlohmann::ordered_json;

// JSON has no infinities; a figure that is one says so by a word.
Json number(double value) {
    if (std::isfinite(value)) {
        return value;
    }
    return std::isnan(value) ? "nan" : value > 0.0 ? "inf" : "-inf";
}

double number_in(const Json& json) {
    if (json.is_number()) {
        return json.get<double>();
    }
    const auto word = json.get<std::string>();
    constexpr double infinity = std::numeric_limits<double>::infinity();
    return word == "inf" ? infinity : word == "-inf" ? -infinity : std::nan("");
}

template <typename List, typename Make>
Json list(const List& all, Make make) {
    Json out = Json::array();
    for (const auto& one : all) {
        out.push_back(make(one));
    }
    return out;
}

Json figure(const FigureRow& row) {
    return {row.id, row.title, number(row.value), static_cast<int>(row.unit), row.note};
}

FigureRow figure_in(const Json& json) {
    return {json.at(0).get<std::string>(),
            json.at(1).get<std::string>(),
            number_in(json.at(2)),
            static_cast<base::Unit>(json.at(3).get<int>()),
            json.at(4).get<std::string>()};
}

Json stress(const StressRow& row) {
    return {row.part,
            static_cast<int>(row.kind),
            number(row.value),
            static_cast<int>(row.unit),
            row.rating ? number(*row.rating) : Json(),
            row.rating_assumed,
            row.basis};
}

StressRow stress_in(const Json& json) {
    return {json.at(0).get<std::string>(),
            static_cast<Limit::Kind>(json.at(1).get<int>()),
            number_in(json.at(2)),
            static_cast<base::Unit>(json.at(3).get<int>()),
            json.at(4).is_null() ? std::nullopt : std::optional(number_in(json.at(4))),
            json.at(5).get<bool>(),
            json.at(6).get<std::string>()};
}

Json story(const StoryLine& line) {
    return {number(line.t_s), line.who, line.key, line.text};
}

StoryLine story_in(const Json& json) {
    return {number_in(json.at(0)),
            json.at(1).get<std::string>(),
            json.at(2).get<std::string>(),
            json.at(3).get<std::string>()};
}

Json fault(const Fault& one) {
    return {static_cast<int>(one.kind), one.part, one.pin, one.other_pin};
}

Fault fault_in(const Json& json) {
    return {static_cast<Fault::Kind>(json.at(0).get<int>()),
            json.at(1).get<std::string>(),
            json.at(2).get<std::string>(),
            json.at(3).get<std::string>()};
}

template <typename T, typename Read>
std::vector<T> all_in(const Json& json, Read read) {
    std::vector<T> all;
    for (const Json& one : json) {
        all.push_back(read(one));
    }
    return all;
}

// Reads `json` with `read`; a text of another form gives nothing.
template <typename T, typename Read>
std::optional<T> if_readable(const std::string& json, Read read) {
    try {
        return read(Json::parse(json));
    } catch (const Json::exception&) {
        return std::nullopt;
    }
}

}  // namespace

std::string json_of(const FaultRun& run) {
    return Json({{"fault", fault(run.fault)},
                 {"corner", run.corner},
                 {"verdict", run.verdict},
                 {"words", run.words},
                 {"exceeded", list(run.exceeded, stress)},
                 {"figures", list(run.figures, figure)},
                 {"story", list(run.story, story)},
                 {"ledger", run.ledger_in_order}})
        .dump();
}

std::optional<FaultRun> fault_run_in(const std::string& text) {
    return if_readable<FaultRun>(text, [](const Json& json) {
        return FaultRun{fault_in(json.at("fault")),
                        json.at("corner").get<std::string>(),
                        json.at("verdict").get<std::string>(),
                        json.at("words").get<std::string>(),
                        all_in<StressRow>(json.at("exceeded"), stress_in),
                        all_in<FigureRow>(json.at("figures"), figure_in),
                        all_in<StoryLine>(json.at("story"), story_in),
                        json.at("ledger").get<bool>()};
    });
}

std::string json_of(const SampleRun& run) {
    return Json({{"failed", run.failed}, {"figures", list(run.figures, figure)}}).dump();
}

std::optional<SampleRun> sample_run_in(const std::string& text) {
    return if_readable<SampleRun>(text, [](const Json& json) {
        return SampleRun{json.at("failed").get<bool>(),
                         all_in<FigureRow>(json.at("figures"), figure_in)};
    });
}

}  // namespace etchback::behaviour::detail
