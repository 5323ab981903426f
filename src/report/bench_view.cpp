#include "report/bench_view.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "report/bench_charts.h"
#include "report/detail/words.h"

namespace etchback::report {
namespace {

using base::Unit;

std::string plain(double value, Unit unit, int digits) {
    return unit == Unit::none ? fmt::format("{:.{}g}", value, digits)
                              : base::to_engineering(value, unit, {digits, false});
}

// A value far below its uncertainty is written as nothing: its digits say nothing.
std::string value_of(const base::Figure& figure) {
    const double u = figure.uncertainty.value_or(0.0);
    if (std::abs(figure.value) < 0.2 * u) {
        return "0 ± " + plain(2.0 * u, figure.unit, 2);
    }
    const std::string text = detail::with_uncertainty(std::abs(figure.value), u, figure.unit);
    return (figure.value < 0.0 ? "−" : "") + text;
}

std::string how_of(const bench::Waveform& wave) {
    std::string how = fmt::format(
        "{} samples, {} apart.", wave.size(), base::to_engineering(wave.dt_s, Unit::second));
    if (wave.missing > 0) {
        how += fmt::format(" {} are missing.", wave.missing);
    }
    for (const std::string& sentence : wave.how) {
        how += " " + sentence;
    }
    return how;
}

RecordRow row_of(const base::Figure& figure,
                 const bench::Record& record,
                 const Behaviour* behaviour) {
    RecordRow row{.title = figure.title,
                  .symbol = figure.symbol,
                  .value = value_of(figure),
                  .source = figure.source,
                  .simulated = {},
                  .difference = {},
                  .assumed = figure.assumed};
    const auto simulated =
        behaviour != nullptr ? simulated_value(figure, record, *behaviour) : std::nullopt;
    if (simulated) {
        row.simulated = plain(*simulated, figure.unit, 4);
        if (*simulated != 0.0) {
            const double share = 100.0 * (figure.value - *simulated) / *simulated;
            row.difference = fmt::format("{}{:.{}f} %",
                                         share < 0.0 ? "\u2212" : "+",
                                         std::abs(share),
                                         std::abs(share) < 10.0 ? 1 : 0);
        }
    }
    return row;
}

LimitTable table_of(const bench::LimitCheck& check) {
    LimitTable table{.title = check.title + " (" + check.source + ")",
                     .verdict = std::string(bench::words_of(check.verdict)),
                     .rows = {},
                     .rest = {}};
    // What exceeds or cannot be told, and of what is within that which comes nearest.
    const bench::LimitRow* nearest = nullptr;
    std::size_t within = 0;
    const auto add = [&](const bench::LimitRow& row) {
        table.rows.push_back({row.order > 0 ? "harmonic " + row.what : row.what,
                              detail::with_uncertainty(row.value.value, row.value.u, row.unit),
                              plain(row.limit, row.unit, 3),
                              std::string(bench::words_of(row.verdict))});
    };
    for (const bench::LimitRow& row : check.rows) {
        if (row.verdict != bench::Verdict::within) {
            add(row);
            continue;
        }
        ++within;
        const bool nearer = nearest == nullptr ||
                            row.value.value * nearest->limit > nearest->value.value * row.limit;
        nearest = !row.disregarded && row.limit > 0.0 && nearer ? &row : nearest;
    }
    if (nearest != nullptr) {
        add(*nearest);
        --within;
    }
    if (within > 0) {
        table.rest = fmt::format("{} more within their limits.", within);
    }
    return table;
}

void add_limits(RecordView& view, const bench::Record& record) {
    if (!record.limits) {
        return;
    }
    view.limits = record.limits->words;
    if (!record.limits->checks.empty()) {
        view.limits += " Verdict: " + std::string(bench::words_of(record.limits->verdict)) + ".";
    }
    for (const bench::LimitCheck& check : record.limits->checks) {
        view.tables.push_back(table_of(check));
    }
}

}  // namespace

AtBench at_bench(const dossier::Dossier& dossier,
                 const std::vector<bench::Meter>& meters,
                 const std::optional<std::filesystem::path>& folder) {
    AtBench all;
    all.readings = bench::with_meters(dossier.readings, meters);
    if (folder) {
        all.records = bench::records_of(dossier, *folder, meters);
    }
    all.doubts = bench::doubts_of(all.readings, meters, all.records);
    all.readings = bench::widened(all.readings, all.doubts);
    all.triangles = bench::power_triangles(all.readings);
    all.figures = bench::figures_from_readings(dossier, all.readings);
    std::vector<base::Figure> figures = all.figures;
    for (const bench::Record& record : all.records) {
        figures.insert(figures.end(), record.figures.begin(), record.figures.end());
    }
    all.claims = bench::check_claims(dossier.claims, all.readings, figures);
    return all;
}

RecordView view_of(const bench::Record& record,
                   const Behaviour* behaviour,
                   const dossier::Dossier& dossier) {
    RecordView view;
    view.anchor = detail::anchor("record", record.file);
    view.file = record.file;
    view.what = detail::first_upper(record.what);
    view.note = record.note;
    if (!record.wave) {
        for (const base::Error& error : record.why_not) {
            view.problem += (view.problem.empty() ? "" : " ") + base::to_string(error) + ".";
        }
        return view;
    }
    view.how = how_of(*record.wave);
    for (const base::Figure& figure : record.figures) {
        view.rows.push_back(row_of(figure, record, behaviour));
        view.any_simulated = view.any_simulated || !view.rows.back().simulated.empty();
    }
    add_limits(view, record);
    if (record.light && record.light->periodic) {
        view.region = fmt::format(
            "IEEE Std 1789-2015 (from memory): {}; at this frequency low risk to {:.3g} %, no "
            "observable effect to {:.3g} %.",
            record.light->region,
            record.light->low_risk_percent,
            record.light->no_effect_percent);
    }
    std::vector<Over> overs;
    if (behaviour != nullptr) {
        overs = overs_of(record, *behaviour, dossier);
    }
    for (const Over& over : overs) {
        view.differences.push_back(over.title + ", recorded against simulated. " + over.words);
    }
    view.warnings = record.warnings;
    view.charts = charts_of(record, overs);
    return view;
}

}  // namespace etchback::report
