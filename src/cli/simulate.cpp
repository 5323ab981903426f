#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "base/file.h"
#include "base/text.h"
#include "cli/command.h"
#include "cli/long_work.h"
#include "cli/simulate_show.h"
#include "report/behaviour_json.h"
#include "report/behaviour_run.h"
#include "report/plot.h"

namespace etchback::cli {
namespace {

namespace fs = std::filesystem;

struct SimulateWords {
    OnDossier on;
    std::vector<std::string> scenarios;
    std::string supply;
    std::string csv, svg;
};

// Volts as written, or nothing after the error was printed.
std::optional<double> supply_volts(const SimulateWords& words, Context& context) {
    const auto volts = base::parse_quantity(words.supply, base::Unit::volt);
    if (!volts) {
        fail(context, volts.errors());
    } else if (!((*volts).value > 0.0)) {
        fail(context,
             {{{}, "a supply of " + words.supply + " is no supply", "write --supply 230"}});
    } else {
        return (*volts).value;
    }
    context.status = wrong_usage;
    return std::nullopt;
}

bool all_known(const SimulateWords& words,
               const dossier::Dossier& dossier,
               const report::SimulationData& data,
               Context& context) {
    const auto unknown = report::unknown_scenarios(words.scenarios, dossier, data);
    if (unknown.empty()) {
        return true;
    }
    std::vector<std::string> ids;
    std::string list;
    for (const behaviour::Scenario& one : behaviour::scenarios_for(data.scenarios, dossier)) {
        ids.push_back(one.id);
        list += fmt::format("\n  {:<14} {}", one.id, one.words);
    }
    for (const std::string& id : unknown) {
        const auto near = base::nearest_word(id, ids);
        context.err << "etchback simulate: there is no scenario '" << id << "'"
                    << (near ? "; did you mean '" + *near + "'?" : "") << '\n';
    }
    context.err << "The scenarios are:" << list << '\n';
    context.status = wrong_usage;
    return false;
}

// `curves.csv` where there is one table, else `curves-normal-mains-cycle.csv`.
fs::path name_of(const fs::path& wanted, const CurveFile& file, bool alone) {
    if (alone) {
        return wanted;
    }
    const std::string suffix = wanted.extension().string();
    return wanted.parent_path() /
           (wanted.stem().string() + "-" + file.scenario + "-" + file.plot + suffix);
}

std::vector<fs::path> write_files(const SimulateWords& words,
                                  const report::Behaviour& behaviour,
                                  const report::BehaviourView& view) {
    std::vector<fs::path> written;
    const auto write = [&](const fs::path& file, const std::string& text) {
        base::write_file_atomically(file, text);
        written.push_back(file);
    };
    if (!words.csv.empty()) {
        const auto files = curve_files(behaviour);
        for (const CurveFile& file : files) {
            write(name_of(words.csv, file, files.size() == 1), file.text);
        }
    }
    if (!words.svg.empty()) {
        std::vector<report::StyledPlot> plots;
        for (const report::ScenarioView& scenario : view.scenarios) {
            for (const behaviour::Plot& plot : scenario.outcome->plots) {
                plots.push_back({&plot,
                                 {.heading = scenario.title,
                                  .means = report::shows_means(plot),
                                  .marks = scenario.marks}});
            }
        }
        write(words.svg, report::plots_svg(plots));
    }
    return written;
}

void print(const report::BehaviourView& view, const Loaded& loaded, Context& context) {
    context.out << loaded.dossier.item.name.value << '\n';
    for (const report::ScenarioView& scenario : view.scenarios) {
        context.out << '\n' << scenario_text(scenario);
    }
    if (const std::string assumptions = assumptions_text(view); !assumptions.empty()) {
        context.out << '\n' << assumptions;
    }
    context.out << "\nSimulated from the dossier, not measured: only the bench shows what the item "
                   "does.\nMains voltage kills, and capacitors stay charged after the plug is "
                   "pulled.\n";
}

report::Behaviour run_all(const SimulateWords& words,
                          const Loaded& loaded,
                          const report::SimulationData& data,
                          const std::optional<double>& volts,
                          Context& context) {
    LongWork work(context);
    report::SimulateOptions options;
    options.scenarios = words.scenarios;
    options.supply_v_rms = volts;
    options.interrupted = work.asked_to_end();
    options.progress = [&](const behaviour::Scenario& scenario, double share) {
        work.show(fmt::format("simulating {}: {:.0f} %", scenario.id, 100.0 * share));
    };
    return report::simulate(
        circuit::build(loaded.dossier, loaded.data.catalogue), loaded.dossier, data, options);
}

bool all_in_order(const report::Behaviour& behaviour) {
    return behaviour.why_not.empty() &&
           std::all_of(behaviour.outcomes.begin(),
                       behaviour.outcomes.end(),
                       [](const behaviour::Outcome& outcome) { return report::in_order(outcome); });
}

void run_simulate(const SimulateWords& words, Context& context) {
    std::optional<double> volts;
    if (!words.supply.empty() && !(volts = supply_volts(words, context))) {
        return;
    }
    const auto loaded = load_with_nets(words.on.folder, context);
    if (!loaded) {
        return;
    }
    const auto data = report::load_simulation_data(loaded->data);
    if (!data) {
        fail(context, data.errors());
        return;
    }
    if (!all_known(words, loaded->dossier, *data, context)) {
        return;
    }
    const report::Behaviour behaviour = run_all(words, *loaded, *data, volts, context);
    const report::BehaviourView view = report::view_of(behaviour, loaded->dossier);
    const std::vector<fs::path> written = write_files(words, behaviour, view);
    if (words.on.json) {
        context.out << report::json_of(behaviour, loaded->dossier, true)
                           .dump(-1, ' ', false, nlohmann::json::error_handler_t::replace)
                    << '\n';
    } else if (!behaviour.outcomes.empty()) {
        print(view, *loaded, context);
        for (const fs::path& file : written) {
            context.out << "Wrote " << file.string() << '\n';
        }
    }
    fail(context, behaviour.why_not);
    context.status = all_in_order(behaviour) ? done : not_in_order;
}

}  // namespace

void add_simulate(CLI::App& app, Context& context) {
    CLI::App* command =
        app.add_subcommand("simulate", "How the circuit behaves in time: figures, stress, curves");
    const auto words = std::make_shared<SimulateWords>();
    words->scenarios = {};
    add_dossier_argument(*command, words->on);
    command
        ->add_option("--scenario",
                     words->scenarios,
                     "what to do with the circuit: normal (usual), cold-start, load-open, "
                     "output-short, mains-low, mains-high, mains-dip, or one of the dossier's own; "
                     "may be given more than once")
        ->type_name("S")
        ->expected(1)
        ->take_all();
    command->add_option("--supply", words->supply, "volts instead of the dossier's: 207, '12 V'")
        ->type_name("V");
    command
        ->add_option("--csv",
                     words->csv,
                     "write the curves as tables; with several, their names go into the file's")
        ->type_name("FILE");
    command->add_option("--svg", words->svg, "write the plots as one picture")->type_name("FILE");
    command->footer(
        "Prints figures beside the readings of the bench, stress on the parts against their "
        "ratings,\n"
        "what happened in time order, the energy ledger, and what had to be assumed.\n"
        "Exit status 1 if a run gave up or its ledger is off by more than 0.1 %.\n"
        "\n"
        "Examples:\n"
        "  etchback simulate my-charger\n"
        "  etchback simulate my-charger --scenario load-open --scenario output-short\n"
        "  etchback simulate my-charger --supply 207 --csv curves.csv --svg curves.svg");
    command->callback([words, &context] {
        if (words->scenarios.empty()) {
            words->scenarios = {"normal"};
        }
        run_simulate(*words, context);
    });
}

}  // namespace etchback::cli
