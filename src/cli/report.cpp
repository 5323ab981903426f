#include "report/report.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "cli/command.h"
#include "cli/long_work.h"
#include "report/behaviour_run.h"
#include "report/copper_run.h"
#include "report/study.h"

namespace etchback::cli {
namespace {

struct ReportOptions {
    OnDossier on;
    std::string folder;
    std::optional<drawing::Standard> standard;  // none: as the dossier says
    bool no_simulation = false;
};

// The worst few lines, so that the person knows at once whether to open the page.
void print_summary(const report::Study& study, Context& context) {
    context.out << study.dossier.item.name.value << ": " << study.circuit.parts.size() << " parts, "
                << study.circuit.nets.size() << " nets, " << study.findings.size()
                << (study.findings.size() == 1 ? " finding" : " findings") << '\n';
    for (const findings::Finding& finding : study.findings) {
        context.out << "  " << name_of(finding.severity) << ": " << finding.title << '\n';
    }
    for (const circuit::Complaint& complaint : study.complaints) {
        context.err << to_string(complaint.error)
                    << (complaint.doubtful ? " (may be meant so)" : "") << '\n';
    }
}

// False where the person broke it off.
bool simulate(report::Study& study, const report::Data& data, Context& context) {
    LongWork work(context);
    report::SimulateOptions options;
    options.interrupted = work.asked_to_end();
    options.progress = [&](const behaviour::Scenario& scenario, double share) {
        work.show(fmt::format("simulating {}: {:.0f} %", scenario.id, 100.0 * share));
    };
    study.behaviour = report::simulate(study, data, options);
    return !work.interrupted();
}

// With the copper of the photos, where there is any to show.
report::Study derived(const Loaded& loaded, const ReportOptions& options, Context& context) {
    std::optional<report::Copper> copper;
    if (report::shows_copper(loaded.dossier)) {
        LongWork work(context);
        work.show("following the copper");
        copper = report::follow_copper(loaded.dossier, loaded.folder, loaded.data);
        for (const base::Error& error : copper->why_not) {
            context.err << to_string(error) << '\n';
        }
    }
    report::Study study =
        report::derive(copper ? report::with_copper(loaded.dossier, *copper) : loaded.dossier,
                       loaded.data,
                       options.standard);
    study.copper = copper;
    report::read_waveforms(study, loaded.data, loaded.folder);
    for (const bench::Record& record : study.bench.records) {
        for (const base::Error& error : record.why_not) {
            context.err << to_string(error) << '\n';
        }
    }
    return study;
}

void run_report(const ReportOptions& options, Context& context) {
    const auto loaded = load(options.on.folder, context);
    if (!loaded) {
        return;
    }
    report::Study study = derived(*loaded, options, context);
    if (!options.no_simulation && !simulate(study, loaded->data, context)) {
        context.err << "etchback report: interrupted; nothing was written\n";
        context.status = not_in_order;
        return;
    }
    if (options.on.json && options.folder.empty()) {
        context.out << report::to_json(study);
        return;
    }
    const std::filesystem::path folder =
        options.folder.empty() ? loaded->folder / "report" : std::filesystem::path(options.folder);
    std::filesystem::create_directories(folder);
    const auto written = report::write_report(study, loaded->data, loaded->folder, folder);
    if (!written) {
        fail(context, written.errors());
        return;
    }
    if (options.on.json) {
        context.out << report::to_json(study);
        return;
    }
    print_summary(study, context);
    for (const std::filesystem::path& file : written->files) {
        context.out << "Wrote " << file.string() << '\n';
    }
}

}  // namespace

void add_report(CLI::App& app, Context& context) {
    CLI::App* command = app.add_subcommand(
        "report", "The main job: all that can be derived, as a page to publish, PDF and JSON");
    const auto options = std::make_shared<ReportOptions>();
    add_dossier_argument(*command, options->on);
    command
        ->add_option("-o,--output",
                     options->folder,
                     "the folder to write to; else the folder 'report' in the dossier")
        ->type_name("DIR");
    add_standard_option(*command, options->standard);
    command->add_flag(
        "--no-simulation", options->no_simulation, "leave out how it behaves in time: quicker");
    command->footer(
        "Writes report.html (one self-contained page), report.pdf, report.json and circuit.svg.\n"
        "With --json and without -o it writes nothing and prints what report.json would hold.\n"
        "\n"
        "Examples:\n"
        "  etchback report my-charger\n"
        "  etchback report my-charger -o out --symbols ansi\n"
        "  etchback report my-charger --json > everything.json");
    command->callback([options, &context] { run_report(*options, context); });
}

}  // namespace etchback::cli
