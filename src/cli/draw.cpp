#include <CLI/CLI.hpp>
#include <memory>
#include <ostream>

#include "base/file.h"
#include "base/text.h"
#include "circuit/domains.h"
#include "cli/command.h"
#include "drawing/drawing.h"
#include "drawing/figures.h"
#include "drawing/svg.h"
#include "render/paper.h"

namespace etchback::cli {
namespace {

namespace fs = std::filesystem;

struct DrawOptions {
    OnDossier on;
    std::vector<std::string> outputs;
    drawing::Standard standard = drawing::Standard::iec;
    int width_px = 2000;
};

base::Result<std::string> bytes_for(const fs::path& file,
                                    const std::string& svg,
                                    const DrawOptions& options) {
    const std::string suffix = base::lowered(file.extension().string());
    if (suffix == ".svg") {
        return svg;
    }
    if (suffix == ".pdf") {
        return render::pdf_from_svg(svg);
    }
    return render::png_from_svg(svg, options.width_px);
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
    const circuit::Circuit circuit = circuit::build(loaded->dossier, loaded->data.catalogue);
    const drawing::Nudges nudges = drawing::nudges_of(loaded->dossier.drawing);
    const drawing::Drawing drawing =
        drawing::draw(circuit,
                      circuit::domains(circuit),
                      {.standard = options.standard, .net_names = true, .nudges = nudges});
    for (const std::string& words : drawing::not_kept(drawing, circuit, nudges)) {
        context.err << "[drawing] could not be kept to: " << words << ".\n";
    }
    const std::string svg = drawing::to_svg(
        drawing,
        circuit,
        {.standalone = true, .dark = false, .title = loaded->dossier.item.name.value});
    for (const std::string& output : options.outputs) {
        const auto bytes = bytes_for(output, svg, options);
        if (!bytes) {
            fail(context, bytes.errors());
            return;
        }
        base::write_file_atomically(output, *bytes);
        if (!options.on.json) {
            context.out << "Wrote " << output << ".\n";
        }
    }
    if (options.on.json) {
        context.out << drawing::to_json(drawing::figures(drawing, circuit));
    } else if (options.outputs.empty()) {
        context.out << svg;
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
    add_standard_option(*command, options->standard);
    command->add_option("--width", options->width_px, "width of a PNG in pixels, 16 to 20000")
        ->check(CLI::Range(16, 20000).description(""))
        ->type_name("PIXELS")
        ->capture_default_str();
    command->footer(
        "Without -o the SVG goes to standard output. With --json the drawing's figures are "
        "printed:\n"
        "parts, nets, crossings, bends, wire length, overlaps, width, height.\n"
        "\n"
        "Examples:\n"
        "  etchback draw my-charger > circuit.svg\n"
        "  etchback draw my-charger -o circuit.pdf -o circuit.png --symbols ansi\n"
        "  etchback draw my-charger --json");
    command->callback([options, &context] { run_draw(*options, context); });
}

}  // namespace etchback::cli
