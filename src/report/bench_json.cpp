#include "report/bench_json.h"

namespace etchback::report {

using nlohmann::ordered_json;

namespace {

ordered_json figure_json(const base::Figure& f,
                         const bench::Record& record,
                         const Behaviour* behaviour) {
    ordered_json json = {{"id", f.id},
                         {"title", f.title},
                         {"value", f.value},
                         {"unit", base::name_of(f.unit)},
                         {"u", f.uncertainty.value_or(0.0)},
                         {"source", f.source},
                         {"assumed", f.assumed}};
    const auto simulated =
        behaviour != nullptr ? simulated_value(f, record, *behaviour) : std::nullopt;
    if (simulated) {
        json["simulated"] = *simulated;
    }
    return json;
}

ordered_json over_json(const Over& over) {
    return {{"id", over.id},
            {"title", over.title},
            {"unit", base::name_of(over.unit)},
            {"difference_rms", over.both.rms},
            {"difference_share", over.both.rms_share},
            {"difference_mean", over.both.mean},
            {"measured_peak", over.both.measured_peak},
            {"simulated_peak", over.both.simulated_peak},
            {"later_s", over.both.later_s},
            {"words", over.words}};
}

ordered_json limits_json(const bench::LimitJudgement& judgement) {
    ordered_json checks = ordered_json::array();
    for (const bench::LimitCheck& check : judgement.checks) {
        ordered_json rows = ordered_json::array();
        for (const bench::LimitRow& row : check.rows) {
            rows.push_back({{"what", row.what},
                            {"order", row.order},
                            {"value", row.value.value},
                            {"u", row.value.u},
                            {"limit", row.limit},
                            {"unit", base::name_of(row.unit)},
                            {"verdict", bench::words_of(row.verdict)},
                            {"disregarded", row.disregarded}});
        }
        checks.push_back({{"title", check.title},
                          {"source", check.source},
                          {"verdict", bench::words_of(check.verdict)},
                          {"rows", std::move(rows)}});
    }
    return {{"verdict", bench::words_of(judgement.verdict)},
            {"words", judgement.words},
            {"checks", std::move(checks)}};
}

}  // namespace

ordered_json json_of(const bench::ClaimCheck& check) {
    return {{"quantity", check.quantity},
            {"claimed", check.claimed},
            {"read", check.read},
            {"verdict", bench::words_of(check.verdict)},
            {"words", check.words}};
}

ordered_json json_of(const bench::ReadingDoubt& doubt) {
    return {{"words", doubt.words}, {"refused", doubt.factor == 0.0}};
}

ordered_json json_of(const bench::Record& record,
                     const Behaviour* behaviour,
                     const dossier::Dossier& dossier) {
    ordered_json json = {
        {"file", record.file}, {"what", record.what}, {"read", record.wave.has_value()}};
    ordered_json how = ordered_json::array(), figures = ordered_json::array(),
                 channels = ordered_json::array();
    if (record.wave) {
        how = record.wave->how;
        for (const bench::Channel& channel : record.wave->channels) {
            channels.push_back({{"name", channel.name},
                                {"unit", base::name_of(channel.unit)},
                                {"least", channel.least},
                                {"largest", channel.largest}});
        }
    }
    for (const base::Figure& figure : record.figures) {
        figures.push_back(figure_json(figure, record, behaviour));
    }
    json["samples"] = record.wave ? record.wave->size() : 0;
    json["interval_s"] = record.wave ? record.wave->dt_s : 0.0;
    json["missing"] = record.wave ? record.wave->missing : 0;
    json["channels"] = std::move(channels);
    json["how"] = std::move(how);
    json["figures"] = std::move(figures);
    json["warnings"] = record.warnings;
    if (record.limits) {
        json["limits"] = limits_json(*record.limits);
    }
    if (record.light && record.light->periodic) {
        json["region"] = record.light->region;
    }
    json["over"] = ordered_json::array();
    if (behaviour != nullptr) {
        for (const Over& over : overs_of(record, *behaviour, dossier)) {
            json["over"].push_back(over_json(over));
        }
    }
    return json;
}

}  // namespace etchback::report
