#include "report/explanation_json.h"

#include "circuit/names.h"

namespace etchback::report {

namespace {

using Json = nlohmann::ordered_json;

Json json_of(const FigureBeside& beside) {
    const base::Figure& f = beside.closed->figure;
    Json json = {{"id", f.id},
                 {"title", f.title},
                 {"value", f.value},
                 {"unit", base::name_of(f.unit)},
                 {"low", beside.closed->low},
                 {"high", beside.closed->high},
                 {"formula", f.formula},
                 {"worked", f.worked},
                 {"source", f.source},
                 {"assumed", f.assumed}};
    if (beside.closed->simulated.within) {
        json["within"] = *beside.closed->simulated.within;
    }
    if (beside.simulated) {
        json["simulated"] = *beside.simulated;
        json["simulated_in"] = beside.closed->simulated.scenario;
        json["difference"] = beside.difference;
        json["in_doubt"] = beside.beyond();
    }
    return json;
}

Json json_of(const BlockTold& told, const circuit::Circuit& circuit) {
    const blocks::Block& block = *told.block;
    Json fillings = Json::array();
    for (const blocks::Filling& filling : block.fillings) {
        fillings.push_back({{"as", filling.slot},
                            {"parts", circuit::names_of(circuit, filling.parts)},
                            {"role", filling.role},
                            {"owned", filling.owns}});
    }
    Json nets = Json::object();
    for (const auto& [name, net] : block.nets) {
        nets[name] = circuit[net].name;
    }
    Json figures = Json::array();
    for (const FigureBeside& figure : told.figures) {
        figures.push_back(json_of(figure));
    }
    return {{"pattern", block.pattern},
            {"title", block.title},
            {"stage", block.stage},
            {"exact", block.exact},
            {"parts", std::move(fillings)},
            {"nets", std::move(nets)},
            {"figures", std::move(figures)},
            {"sentences", block.sentences},
            {"remarks", block.remarks},
            {"doubts", told.doubts},
            {"cautions", block.cautions},
            {"source", block.source}};
}

Json json_of(const StageEvents& events, const std::string& stage) {
    Json lines = Json::array();
    for (const EventLine& line : events.lines) {
        lines.push_back({{"t_s", line.t_s}, {"text", line.text}});
    }
    Json json = {{"stage", stage},
                 {"scenario", events.scenario},
                 {"lead", events.lead},
                 {"lines", std::move(lines)},
                 {"more", events.more}};
    if (!events.outcome.empty()) {
        json["outcome"] = events.outcome;
    }
    return json;
}

}  // namespace

Json json_of(const blocks::Blocks& found,
             const std::vector<StageTold>& told,
             const circuit::Circuit& circuit) {
    Json json = {{"blocks", Json::array()},
                 {"events", Json::array()},
                 {"roles", Json::object()},
                 {"unexplained", circuit::names_of(circuit, found.unexplained)}};
    for (const StageTold& stage : told) {
        for (const BlockTold& block : stage.blocks) {
            json["blocks"].push_back(json_of(block, circuit));
        }
        for (const StageEvents& events : stage.events) {
            json["events"].push_back(json_of(events, stage.id));
        }
    }
    for (std::size_t i = 0; i < found.roles.size(); ++i) {
        json["roles"][circuit.parts[i].name] = found.roles[i].text;
    }
    return json;
}

Json json_of(const blocks::Comparison& comparison,
             const circuit::Circuit& found,
             const circuit::Circuit& reference,
             const std::string& title) {
    Json json = {{"reference", title},
                 {"cost", comparison.cost},
                 {"at_least", comparison.at_least},
                 {"proven", comparison.proven()},
                 {"differences", Json::array()},
                 {"parts", Json::array()},
                 {"nets", Json::array()}};
    for (const blocks::Difference& d : comparison.differences) {
        json["differences"].push_back({{"kind", name_of(d.kind)},
                                       {"reference", circuit::names_of(reference, d.reference)},
                                       {"found", circuit::names_of(found, d.found)},
                                       {"empty_places", d.empty_places},
                                       {"words", d.words},
                                       {"consequence", d.consequence},
                                       {"consequence_source", d.consequence_source},
                                       {"cost", d.cost}});
    }
    for (const blocks::PartMatch& match : comparison.parts) {
        json["parts"].push_back({{"reference", circuit::names_of(reference, match.reference)},
                                 {"found", circuit::names_of(found, match.found)}});
    }
    for (const blocks::NetMatch& match : comparison.nets) {
        json["nets"].push_back(
            {{"reference", reference[match.reference].name}, {"found", found[match.found].name}});
    }
    return json;
}

}  // namespace etchback::report
