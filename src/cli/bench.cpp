#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "base/file.h"
#include "base/text.h"
#include "bench/claims.h"
#include "bench/meters.h"
#include "bench/plan.h"
#include "bench/power_triangle.h"
#include "bench/record.h"
#include "cli/command.h"
#include "cli/long_work.h"
#include "cli/text_table.h"
#include "report/behaviour_run.h"
#include "report/plot.h"

namespace etchback::cli {
namespace {

using base::Unit;
using nlohmann::ordered_json;

struct OnBench : OnDossier {
    bool plan = false;
    bool no_simulation = false;
    std::string svg;
};

struct View {
    std::vector<bench::PlanStep> plan;
    std::vector<bench::ClaimCheck> claims;
    std::vector<bench::PowerTriangle> triangles;
    std::vector<bench::Record> records;
};

std::map<std::string, bench::SimulatedValue> simulated_values(const Loaded& loaded,
                                                              Context& context) {
    std::map<std::string, bench::SimulatedValue> values;
    const auto data = report::load_simulation_data(loaded.data);
    if (!data) {
        fail(context, data.errors());
        return values;
    }
    LongWork work(context);
    report::SimulateOptions options;
    options.scenarios = {"normal"};
    options.interrupted = work.asked_to_end();
    options.progress = [&](const behaviour::Scenario&, double share) {
        work.show(fmt::format("simulating what to expect: {:.0f} %", 100.0 * share));
    };
    const report::Behaviour run = report::simulate(
        circuit::build(loaded.dossier, loaded.data.catalogue), loaded.dossier, *data, options);
    for (const behaviour::Outcome& outcome : run.outcomes) {
        for (const behaviour::FigureRow& figure : outcome.figures) {
            values[figure.id] = {figure.value, figure.unit};
        }
    }
    return values;
}

ordered_json figure_json(const base::Figure& f) {
    return {{"id", f.id},
            {"title", f.title},
            {"value", f.value},
            {"unit", base::name_of(f.unit)},
            {"u", f.uncertainty.value_or(0.0)},
            {"source", f.source},
            {"assumed", f.assumed}};
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

ordered_json record_json(const bench::Record& record) {
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
        figures.push_back(figure_json(figure));
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
    return json;
}

std::string json_text(const View& view) {
    ordered_json json = {{"plan", ordered_json::array()},
                         {"claims", ordered_json::array()},
                         {"readings_disagree", ordered_json::array()},
                         {"records", ordered_json::array()}};
    for (const bench::PlanStep& step : view.plan) {
        json["plan"].push_back({{"title", step.title},
                                {"doing", step.doing},
                                {"cautions", step.cautions},
                                {"expected", step.expected},
                                {"stop", step.stop}});
    }
    for (const bench::ClaimCheck& check : view.claims) {
        json["claims"].push_back({{"quantity", check.quantity},
                                  {"claimed", check.claimed},
                                  {"read", check.read},
                                  {"verdict", bench::words_of(check.verdict)},
                                  {"words", check.words}});
    }
    for (const bench::PowerTriangle& triangle : view.triangles) {
        if (!triangle.disagreement_text.empty()) {
            json["readings_disagree"].push_back(triangle.disagreement_text);
        }
    }
    for (const bench::Record& record : view.records) {
        json["records"].push_back(record_json(record));
    }
    return json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + '\n';
}

std::string value_and_u(const bench::Estimate& e, Unit unit) {
    return fmt::format("{} ± {}",
                       base::to_engineering(e.value, unit, {4, false}),
                       base::to_engineering(2.0 * e.u, unit, {2, false}));
}

void print_plan(const View& view, std::ostream& out) {
    int number = 0;
    for (const bench::PlanStep& step : view.plan) {
        out << ++number << ". " << step.title << '\n';
        for (const std::string& words : step.doing) {
            out << wrapped(words);
        }
        for (const std::string& words : step.cautions) {
            out << wrapped("Caution: " + words);
        }
        for (const std::string& words : step.expected) {
            out << wrapped("Expect " + words);
        }
        if (!step.stop.empty()) {
            out << wrapped("Limit: " + step.stop);
        }
        out << '\n';
    }
    out << wrapped(
        "An aid, no licence: local codes and whoever is qualified decide what may be done "
        "with an open item on the mains.");
}

void print_limits(const bench::LimitJudgement& judgement, std::ostream& out) {
    out << wrapped("Harmonics: " + judgement.words + " " +
                   (judgement.checks.empty()
                        ? std::string()
                        : "Verdict: " + std::string(bench::words_of(judgement.verdict)) + "."));
    for (const bench::LimitCheck& check : judgement.checks) {
        std::vector<std::vector<std::string>> rows;
        for (const bench::LimitRow& row : check.rows) {
            if (row.verdict != bench::Verdict::within) {
                rows.push_back({row.order > 0 ? "harmonic " + row.what : row.what,
                                value_and_u(row.value, row.unit),
                                "limit " + base::to_engineering(row.limit, row.unit),
                                std::string(bench::words_of(row.verdict))});
            }
        }
        out << "  " << check.title << " (" << check.source
            << "): " << bench::words_of(check.verdict) << '\n'
            << text_table(rows);
    }
}

void print_record(const bench::Record& record, std::ostream& out) {
    out << record.file << (record.what.empty() ? "" : ", " + record.what) << '\n';
    if (!record.wave) {
        out << "  could not be read\n\n";
        return;
    }
    std::string how = fmt::format("{} samples, {} apart.",
                                  record.wave->size(),
                                  base::to_engineering(record.wave->dt_s, Unit::second));
    for (const std::string& sentence : record.wave->how) {
        how += " " + sentence;
    }
    out << wrapped(how);
    std::vector<std::vector<std::string>> rows;
    for (const base::Figure& figure : record.figures) {
        rows.push_back(
            {figure.title,
             figure.symbol,
             value_and_u({figure.value, figure.uncertainty.value_or(0.0)}, figure.unit)});
    }
    out << text_table(rows);
    if (record.light && record.light->periodic) {
        out << wrapped(fmt::format(
            "IEEE Std 1789-2015 (from memory): {}; at this frequency low risk to {:.3g} %, no "
            "observable effect to {:.3g} %.",
            record.light->region,
            record.light->low_risk_percent,
            record.light->no_effect_percent));
    }
    if (record.limits) {
        print_limits(*record.limits, out);
    }
    for (const std::string& warning : record.warnings) {
        out << wrapped("Mind: " + warning);
    }
    out << '\n';
}

void print(const View& view, std::ostream& out) {
    if (!view.claims.empty()) {
        out << "Claims and readings (uncertainty at k = 2)\n";
        std::vector<std::vector<std::string>> rows;
        for (const bench::ClaimCheck& check : view.claims) {
            rows.push_back({check.quantity,
                            "claimed " + check.claimed,
                            "read " + check.read,
                            std::string(bench::words_of(check.verdict))});
        }
        out << text_table(rows) << '\n';
    }
    for (const bench::PowerTriangle& triangle : view.triangles) {
        out << "Power triangle" << (triangle.group.empty() ? "" : ", " + triangle.group) << '\n';
        std::vector<std::vector<std::string>> rows;
        const auto row = [&](const char* what, const std::optional<bench::Estimate>& e, Unit unit) {
            if (e) {
                rows.push_back({what, value_and_u(*e, unit)});
            }
        };
        row("Voltage", triangle.voltage_v_rms, Unit::volt);
        row("Current", triangle.current_a_rms, Unit::ampere);
        row("Active power", triangle.power_w, Unit::watt);
        row("Power factor", triangle.power_factor, Unit::none);
        row("Apparent power", triangle.apparent_va, Unit::volt_ampere);
        row("Non-active power", triangle.non_active_var, Unit::var);
        out << text_table(rows);
        if (!triangle.disagreement_text.empty()) {
            out << wrapped("The readings disagree: " + triangle.disagreement_text);
        }
        out << '\n';
    }
    for (const bench::Record& record : view.records) {
        print_record(record, out);
    }
    if (view.claims.empty() && view.triangles.empty() && view.records.empty()) {
        out << "There are no readings and no waveforms in this dossier; etchback bench --plan says "
               "how to take them.\n";
    }
}

// Each record as a plot of its samples, and the mains cycle that was fitted.
std::string svg_of(const View& view) {
    std::vector<behaviour::Plot> plots;
    for (const bench::Record& record : view.records) {
        if (!record.wave) {
            continue;
        }
        behaviour::Plot plot;
        plot.id = record.file;
        plot.title = record.what.empty() ? record.file : record.what;
        plot.start_s = record.wave->start_s;
        plot.end_s =
            plot.start_s + record.wave->dt_s * static_cast<double>(record.wave->size() - 1);
        for (const bench::Channel& channel : record.wave->channels) {
            behaviour::PlotCurve curve;
            curve.id = curve.title = channel.name;
            curve.unit = channel.unit;
            for (std::size_t k = 0; k < channel.value.size(); ++k) {
                if (!std::isnan(channel.value[k])) {
                    curve.t_s.push_back(plot.start_s + record.wave->dt_s * static_cast<double>(k));
                    curve.value.push_back(channel.value[k]);
                }
            }
            plot.curves.push_back(std::move(curve));
        }
        plots.push_back(std::move(plot));
    }
    std::vector<report::StyledPlot> styled;
    for (const behaviour::Plot& plot : plots) {
        styled.push_back({&plot, {.heading = plot.id, .means = false}});
    }
    return report::plots_svg(styled);
}

void run_bench(const OnBench& on, Context& context) {
    const auto loaded = on.plan ? load_with_nets(on.folder, context) : load(on.folder, context);
    if (!loaded) {
        return;
    }
    const auto meters = bench::load_meters(loaded->data.folder / "meters" / "meters.toml");
    if (!meters) {
        fail(context, meters.errors());
        return;
    }
    View view;
    const auto readings = bench::with_meters(loaded->dossier.readings, *meters);
    view.claims = bench::check_claims(loaded->dossier.claims, readings);
    view.triangles = bench::power_triangles(readings);
    if (on.plan) {
        const auto simulated = on.no_simulation ? std::map<std::string, bench::SimulatedValue>{}
                                                : simulated_values(*loaded, context);
        view.plan = bench::bench_plan(loaded->dossier, simulated);
    } else {
        view.records = bench::records_of(loaded->dossier, loaded->folder);
    }
    if (!on.svg.empty()) {
        base::write_file_atomically(on.svg, svg_of(view));
    }
    if (on.json) {
        context.out << json_text(view);
    } else {
        context.out << loaded->dossier.item.name.value << "\n\n";
        on.plan ? print_plan(view, context.out) : print(view, context.out);
    }
    for (const bench::Record& record : view.records) {
        if (!record.why_not.empty()) {
            fail(context, record.why_not);
        }
    }
}

}  // namespace

void add_bench(CLI::App& app, Context& context) {
    CLI::App* command = app.add_subcommand(
        "bench", "Readings and waveforms checked and reduced; what to measure safely");
    const auto on = std::make_shared<OnBench>();
    add_dossier_argument(*command, *on);
    command->add_flag(
        "--plan", on->plan, "the order of steps at the bench, with cautions and what to expect");
    command->add_flag(
        "--no-simulation", on->no_simulation, "with --plan: expect only what is claimed");
    command->add_option("--svg", on->svg, "write the recorded waveforms as one picture")
        ->type_name("FILE");
    command->footer(
        "Holds claims against readings, works the power triangle, and reduces the recorded "
        "waveforms:\n"
        "power, harmonics against limits, flicker, switching (docs/bench.md). Figures carry their\n"
        "uncertainty at k = 2.\n"
        "Exit status 1 if a waveform cannot be read.\n"
        "\n"
        "Examples:\n"
        "  etchback bench my-charger --plan\n"
        "  etchback bench my-charger\n"
        "  etchback bench my-charger --json");
    command->callback([on, &context] { run_bench(*on, context); });
}

}  // namespace etchback::cli
