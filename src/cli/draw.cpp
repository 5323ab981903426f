#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>
#include <ostream>
#include <span>

#include "base/file.h"
#include "base/text.h"
#include "blocks/blocks.h"
#include "circuit/domains.h"
#include "cli/command.h"
#include "cli/long_work.h"
#include "dossier/words.h"
#include "drawing/drawing.h"
#include "drawing/figures.h"
#include "drawing/sheet.h"
#include "drawing/svg.h"
#include "render/paper.h"
#include "report/behaviour_run.h"
#include "report/circuit_sheet.h"
#include "report/net_voltages.h"

namespace etchback::cli {
namespace {

namespace fs = std::filesystem;

struct DrawOptions {
    OnDossier on;
    std::vector<std::string> outputs;
    std::optional<drawing::Standard> standard;
    std::string paper;              // empty: as the dossier says
    std::vector<std::string> show;  // layers; empty: as the dossier says
    std::vector<std::string> mark;  // parts and nets
    bool no_simulation = false;
    int width_px = 2000;
};

// Of several sheets each goes to a file of its own, "circuit-2.svg", except into a PDF.
base::Result<std::vector<std::pair<std::string, std::string>>> files_for(
    const std::string& output, const std::vector<std::string>& svgs, int width_px) {
    const fs::path file(output);
    const std::string suffix = base::lowered(file.extension().string());
    std::vector<std::pair<std::string, std::string>> files;
    if (suffix == ".pdf") {
        auto bytes = render::pdf_from_svgs(svgs);
        if (!bytes) {
            return bytes.errors();
        }
        files.emplace_back(output, *std::move(bytes));
        return files;
    }
    for (std::size_t i = 0; i < svgs.size(); ++i) {
        const std::string name =
            svgs.size() == 1
                ? output
                : (file.parent_path() /
                   (file.stem().string() + "-" + std::to_string(i + 1) + file.extension().string()))
                      .string();
        auto bytes = suffix == ".svg" ? base::Result<std::string>(svgs[i])
                                      : render::png_from_svg(svgs[i], width_px);
        if (!bytes) {
            return bytes.errors();
        }
        files.emplace_back(name, *std::move(bytes));
    }
    return files;
}

std::vector<std::string> words_of(std::span<const std::string> words) {
    return {words.begin(), words.end()};
}

// Before any work is done: are all suffixes known?
base::Errors wrong_suffixes(const std::vector<std::string>& outputs) {
    base::Errors errors;
    for (const std::string& output : outputs) {
        const std::string suffix = base::lowered(fs::path(output).extension().string());
        if (suffix != ".svg" && suffix != ".pdf" && suffix != ".png") {
            errors.push_back({{},
                              "'" + output + "' does not say which kind of file to write",
                              "end its name in .svg, .pdf or .png"});
        }
    }
    return errors;
}

// What the command line does not say the dossier may.
report::SheetWords words_for(const DrawOptions& options, const dossier::DrawingWishes& wishes) {
    report::SheetWords words = report::sheet_words(wishes);
    words.standard = options.standard.value_or(words.standard);
    if (!options.paper.empty()) {
        words.paper = report::paper_named(options.paper);
    }
    if (!options.show.empty()) {
        words.show(options.show);
    }
    return words;
}

// Names of parts and nets, as in the dossier. False: one of them is neither.
bool find_marks(const DrawOptions& options,
                const circuit::Circuit& circuit,
                drawing::SheetOptions& sheet,
                Context& context) {
    base::Errors errors;
    for (const std::string& name : options.mark) {
        const auto part = circuit.part(name);
        const auto net = circuit.net(name);
        if (part) {
            sheet.marked_parts.push_back(*part);
        } else if (net) {
            sheet.marked_nets.push_back(*net);
        } else {
            errors.push_back({{},
                              "there is no part and no net '" + name + "' to mark",
                              "write a name as in the dossier; 'etchback circuit' lists them"});
        }
    }
    if (!errors.empty()) {
        fail(context, errors);
    }
    return errors.empty();
}

// Normal use alone, with the voltages of all nets. A dossier that is no circuit to run gives the
// reasons.
report::Behaviour simulate(const circuit::Circuit& circuit,
                           const Loaded& loaded,
                           bool& interrupted,
                           Context& context) {
    const auto data = report::load_simulation_data(loaded.data);
    if (!data) {
        return {{}, data.errors()};
    }
    LongWork work(context);
    report::SimulateOptions options;
    options.scenarios = {report::scenario_of_voltages};
    options.nets_of = report::scenario_of_voltages;
    options.interrupted = work.asked_to_end();
    options.progress = [&](const behaviour::Scenario& scenario, double share) {
        work.show(fmt::format("simulating {}: {:.0f} %", scenario.id, 100.0 * share));
    };
    report::Behaviour behaviour = report::simulate(circuit, loaded.dossier, *data, options);
    interrupted = work.interrupted();
    return behaviour;
}

// All that goes with a drawing.
struct Drawn {
    circuit::Circuit circuit;
    circuit::Domains domains;
    report::SheetWords words;
    drawing::Drawing plain;
    std::vector<dossier::Reading> readings;
    std::optional<blocks::Blocks> blocks;        // where their frames are shown
    std::optional<report::Behaviour> behaviour;  // where simulated voltages are
};

// Nothing where the person broke it off.
std::optional<Drawn> derive(const DrawOptions& options, const Loaded& loaded, Context& context) {
    const dossier::Dossier& dossier = loaded.dossier;
    Drawn drawn;
    drawn.circuit = circuit::build(dossier, loaded.data.catalogue);
    drawn.domains = circuit::domains(drawn.circuit);
    drawn.words = words_for(options, dossier.drawing);
    drawn.readings = report::at_bench(dossier, loaded.data.meters, std::nullopt).readings;
    if (drawn.words.blocks) {
        drawn.blocks =
            blocks::find_blocks(drawn.circuit, drawn.domains, dossier, loaded.data.patterns);
    }
    drawing::Options how = report::drawing_options(drawn.words, dossier.drawing);
    drawn.plain = drawing::draw(drawn.circuit, drawn.domains, how);
    for (const std::string& words : drawing::not_kept(drawn.plain, drawn.circuit, how.nudges)) {
        context.err << "[drawing] could not be kept to: " << words << ".\n";
    }
    if (drawn.words.voltages && !options.no_simulation) {
        bool interrupted = false;
        drawn.behaviour = simulate(drawn.circuit, loaded, interrupted, context);
        if (interrupted) {
            context.err << "etchback draw: interrupted; nothing was drawn\n";
            context.status = not_in_order;
            return std::nullopt;
        }
    }
    return drawn;
}

// False: a file could not be made.
bool write_files(const DrawOptions& options,
                 const std::vector<std::string>& svgs,
                 Context& context) {
    for (const std::string& output : options.outputs) {
        const auto files = files_for(output, svgs, options.width_px);
        if (!files) {
            fail(context, files.errors());
            return false;
        }
        for (const auto& [name, bytes] : *files) {
            base::write_file_atomically(name, bytes);
            if (!options.on.json) {
                context.out << "Wrote " << name << ".\n";
            }
        }
    }
    return true;
}

void run_draw(const DrawOptions& options, Context& context) {
    if (const base::Errors errors = wrong_suffixes(options.outputs); !errors.empty()) {
        fail(context, errors);
        context.status = wrong_usage;
        return;
    }
    const auto loaded = load_with_nets(options.on.folder, context);
    if (!loaded) {
        return;
    }
    drawing::SheetOptions marks;
    if (!find_marks(
            options, circuit::build(loaded->dossier, loaded->data.catalogue), marks, context)) {
        return;
    }
    const auto made = derive(options, *loaded, context);
    if (!made) {
        return;
    }
    const report::SheetSources sources{.dossier = loaded->dossier,
                                       .circuit = made->circuit,
                                       .domains = made->domains,
                                       .readings = made->readings,
                                       .blocks = made->blocks ? &*made->blocks : nullptr,
                                       .behaviour = made->behaviour ? &*made->behaviour : nullptr};
    const report::DrawnCircuit drawn = report::drawn_circuit(made->plain, made->words, sources);
    std::vector<std::string> svgs;
    for (drawing::Sheet& sheet : report::sheets_of(drawn, made->words, sources)) {
        sheet.marked_parts = marks.marked_parts;
        sheet.marked_nets = marks.marked_nets;
        svgs.push_back(drawing::to_svg(
            sheet,
            made->circuit,
            {.standalone = true, .dark = false, .title = loaded->dossier.item.name.value}));
    }
    if (!write_files(options, svgs, context)) {
        return;
    }
    if (options.on.json) {
        context.out << drawing::to_json(drawing::figures(drawn.drawing, made->circuit));
    } else if (options.outputs.empty()) {
        for (const std::string& svg : svgs) {
            context.out << svg;
        }
    }
}

}  // namespace

void add_draw(CLI::App& app, Context& context) {
    CLI::App* command =
        app.add_subcommand("draw", "The drawn circuit as SVG, PDF or PNG, and its figures");
    const auto options = std::make_shared<DrawOptions>();
    add_dossier_argument(*command, options->on);
    command
        ->add_option("-o,--output",
                     options->outputs,
                     "write to this file; its ending, .svg, .pdf or .png, tells the kind; may be "
                     "given more than once")
        ->type_name("FILE")
        ->expected(1)
        ->take_all();
    const std::map<std::string, drawing::Standard> standards = {{"iec", drawing::Standard::iec},
                                                                {"ansi", drawing::Standard::ansi}};
    command
        ->add_option("--symbols",
                     options->standard,
                     "symbols in the manner of iec (IEC 60617) or ansi (ANSI/IEEE 315)")
        ->transform(CLI::CheckedTransformer(standards, CLI::ignore_case).description(""))
        ->type_name("iec|ansi");
    command
        ->add_option("--paper",
                     options->paper,
                     "fit: the drawing alone; else with frame and title block on as many sheets as "
                     "it needs")
        ->check(CLI::IsMember(words_of(dossier::paper_words())).description(""))
        ->type_name("fit|A4|A3|letter");
    command
        ->add_option(
            "--show",
            options->show,
            "also show tolerances, doubts, voltages or blocks; may be given more than once")
        ->check(CLI::IsMember(words_of(dossier::layer_words())).description(""))
        ->type_name("LAYER")
        ->expected(1)
        ->take_all();
    command->add_flag(
        "--no-simulation", options->no_simulation, "voltages as read alone, without a run in time");
    command
        ->add_option("--mark", options->mark, "mark this part or net; may be given more than once")
        ->type_name("NAME")
        ->expected(1)
        ->take_all();
    command->add_option("--width", options->width_px, "width of a PNG in pixels, 16 to 20000")
        ->check(CLI::Range(16, 20000).description(""))
        ->type_name("PIXELS")
        ->capture_default_str();
    command->footer(
        "Without -o the SVG goes to standard output. What [drawing] in the dossier says of "
        "symbols,\n"
        "paper and layers holds unless an option says otherwise; how it wants parts to stand is "
        "kept.\n"
        "Voltages are those that were read and, where none was, those of a run in normal use, "
        "which "
        "takes\n"
        "a few seconds.\n"
        "Several sheets become circuit-1.svg, circuit-2.svg ...; a PDF holds all of them.\n"
        "With --json the drawing's figures are "
        "printed:\n"
        "parts, nets, crossings, bends, wire length, overlaps, width, height.\n"
        "\n"
        "Examples:\n"
        "  etchback draw my-charger > circuit.svg\n"
        "  etchback draw my-charger -o circuit.pdf -o circuit.png --symbols ansi\n"
        "  etchback draw my-charger -o sheet.pdf --paper A4 --show tolerances --show voltages\n"
        "  etchback draw my-charger -o feedback.png --mark U2 --mark FB\n"
        "  etchback draw my-charger --json");
    command->callback([options, &context] { run_draw(*options, context); });
}

}  // namespace etchback::cli
