#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "base/file.h"
#include "base/text.h"
#include "bench/plan.h"
#include "cli/command.h"
#include "cli/long_work.h"
#include "cli/text_table.h"
#include "report/behaviour_run.h"
#include "report/bench_json.h"
#include "report/bench_view.h"
#include "report/chart.h"

namespace etchback::cli {
namespace {

using base::Unit;
using nlohmann::ordered_json;

struct OnBench : OnDossier {
    bool plan = false;
    bool no_simulation = false;
    bool over = false;
    std::string svg;
};

struct View {
    const dossier::Dossier& dossier;
    std::vector<bench::PlanStep> plan;
    report::AtBench bench;
    std::optional<report::Behaviour> behaviour;  // what records are laid over

    const report::Behaviour* simulated() const { return behaviour ? &*behaviour : nullptr; }
};

std::optional<report::Behaviour> simulated(const Loaded& loaded,
                                           std::vector<std::string> scenarios,
                                           Context& context) {
    const auto data = report::load_simulation_data(loaded.data);
    if (!data) {
        fail(context, data.errors());
        return std::nullopt;
    }
    LongWork work(context);
    report::SimulateOptions options;
    options.scenarios = std::move(scenarios);
    options.interrupted = work.asked_to_end();
    options.progress = [&](const behaviour::Scenario&, double share) {
        work.show(fmt::format("simulating what to expect: {:.0f} %", 100.0 * share));
    };
    return report::simulate(
        circuit::build(loaded.dossier, loaded.data.catalogue), loaded.dossier, *data, options);
}

std::map<std::string, bench::SimulatedValue> figures_of(const report::Behaviour& run) {
    std::map<std::string, bench::SimulatedValue> values;
    for (const behaviour::Outcome& outcome : run.outcomes) {
        for (const behaviour::FigureRow& figure : outcome.figures) {
            values[figure.id] = {figure.value, figure.unit};
        }
    }
    return values;
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
    for (const bench::ClaimCheck& check : view.bench.claims) {
        json["claims"].push_back(report::json_of(check));
    }
    for (const bench::PowerTriangle& triangle : view.bench.triangles) {
        if (!triangle.disagreement_text.empty()) {
            json["readings_disagree"].push_back(triangle.disagreement_text);
        }
    }
    json["doubts"] = ordered_json::array();
    for (const bench::ReadingDoubt& doubt : view.bench.doubts) {
        json["doubts"].push_back(report::json_of(doubt));
    }
    json["figures"] = ordered_json::array();
    for (const base::Figure& figure : view.bench.figures) {
        json["figures"].push_back({{"id", figure.id},
                                   {"title", figure.title},
                                   {"value", figure.value},
                                   {"unit", base::name_of(figure.unit)},
                                   {"u", figure.uncertainty.value_or(0.0)},
                                   {"worked", figure.worked}});
    }
    for (const bench::Record& record : view.bench.records) {
        json["records"].push_back(report::json_of(record, view.simulated(), view.dossier));
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

void print_record(const report::RecordView& record, std::ostream& out) {
    out << record.file << (record.what.empty() ? "" : ", " + record.what) << '\n';
    if (!record.problem.empty()) {
        out << "  could not be read\n\n";
        return;
    }
    out << wrapped(record.how);
    std::vector<std::vector<std::string>> rows;
    if (record.any_simulated) {
        rows.push_back({"", "", "recorded", "simulated", "difference"});
    }
    for (const report::RecordRow& row : record.rows) {
        rows.push_back({row.title, row.symbol, row.value});
        if (record.any_simulated) {
            rows.back().push_back(row.simulated);
            rows.back().push_back(row.difference);
        }
    }
    out << text_table(rows);
    if (!record.region.empty()) {
        out << wrapped(record.region);
    }
    if (!record.limits.empty()) {
        out << wrapped("Harmonics: " + record.limits);
    }
    for (const report::LimitTable& table : record.tables) {
        out << "  " << table.title << ": " << table.verdict << '\n' << text_table(table.rows);
    }
    for (const std::string& difference : record.differences) {
        out << wrapped(difference);
    }
    for (const std::string& warning : record.warnings) {
        out << wrapped("Mind: " + warning);
    }
    out << '\n';
}

void print(const View& view, std::ostream& out) {
    if (!view.bench.claims.empty()) {
        out << "Claims and readings (uncertainty at k = 2)\n";
        std::vector<std::vector<std::string>> rows;
        for (const bench::ClaimCheck& check : view.bench.claims) {
            rows.push_back({check.quantity,
                            "claimed " + check.claimed,
                            "read " + check.read,
                            std::string(bench::words_of(check.verdict))});
        }
        out << text_table(rows) << '\n';
    }
    for (const bench::PowerTriangle& triangle : view.bench.triangles) {
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
    if (!view.bench.figures.empty()) {
        out << "From the readings\n";
        std::vector<std::vector<std::string>> rows;
        for (const base::Figure& figure : view.bench.figures) {
            rows.push_back(
                {figure.title,
                 value_and_u({figure.value, figure.uncertainty.value_or(0.0)}, figure.unit),
                 figure.worked});
        }
        out << text_table(rows) << '\n';
    }
    for (const bench::ReadingDoubt& doubt : view.bench.doubts) {
        out << wrapped("Mind: " + doubt.words);
    }
    for (const bench::Record& record : view.bench.records) {
        print_record(report::view_of(record, view.simulated(), view.dossier), out);
    }
    if (view.bench.claims.empty() && view.bench.triangles.empty() && view.bench.records.empty()) {
        out << "There are no readings and no waveforms in this dossier; etchback bench --plan says "
               "how to take them.\n";
    }
}

// The charts of all records, one below the other.
std::string svg_of(const View& view) {
    std::vector<report::Chart> charts;
    for (const bench::Record& record : view.bench.records) {
        for (report::Chart& chart :
             report::view_of(record, view.simulated(), view.dossier).charts) {
            chart.title = record.file + ": " + chart.title;
            charts.push_back(std::move(chart));
        }
    }
    return report::charts_svg(charts, {.width_px = 660.0});
}

// What the records were taken of.
std::vector<std::string> scenarios_of(const std::vector<bench::Record>& records) {
    std::vector<std::string> ids;
    for (const bench::Record& record : records) {
        if (std::find(ids.begin(), ids.end(), record.scenario) == ids.end()) {
            ids.push_back(record.scenario);
        }
    }
    return ids;
}

void run_bench(const OnBench& on, Context& context) {
    const auto loaded = on.plan ? load_with_nets(on.folder, context) : load(on.folder, context);
    if (!loaded) {
        return;
    }
    View view{.dossier = loaded->dossier, .plan = {}, .bench = {}, .behaviour = {}};
    if (on.plan) {
        view.bench = report::at_bench(loaded->dossier, loaded->data.meters, std::nullopt);
        const auto run = on.no_simulation ? std::nullopt : simulated(*loaded, {"normal"}, context);
        view.plan = bench::bench_plan(
            loaded->dossier,
            run ? figures_of(*run) : std::map<std::string, bench::SimulatedValue>{});
    } else {
        view.bench = report::at_bench(loaded->dossier, loaded->data.meters, loaded->folder);
        if (on.over) {
            view.behaviour = simulated(*loaded, scenarios_of(view.bench.records), context);
        }
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
    for (const bench::Record& record : view.bench.records) {
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
    command->add_flag(
        "--over", on->over, "simulate, and lay the recorded waveforms over the simulated ones");
    command
        ->add_option("--svg", on->svg, "write the charts of the recorded waveforms as one picture")
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
        "  etchback bench my-charger --over --svg waves.svg\n"
        "  etchback bench my-charger --json");
    command->callback([on, &context] { run_bench(*on, context); });
}

}  // namespace etchback::cli
