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
#include "dossier/words.h"
#include "drawing/drawing.h"
#include "drawing/figures.h"
#include "drawing/sheet.h"
#include "drawing/svg.h"
#include "render/paper.h"

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
struct Wanted {
    drawing::Options how;
    drawing::Paper paper = drawing::Paper::fit;
    bool voltages = false;
    bool blocks = false;
};

drawing::Paper paper_named(std::string_view word) {
    return word == "A4"       ? drawing::Paper::a4
           : word == "A3"     ? drawing::Paper::a3
           : word == "letter" ? drawing::Paper::letter
                              : drawing::Paper::fit;
}

Wanted wanted_of(const DrawOptions& options, const dossier::DrawingWishes& wishes) {
    std::vector<std::string> layers = options.show;
    if (layers.empty()) {
        for (const dossier::Text& layer : wishes.show) {
            layers.push_back(layer.value);
        }
    }
    const auto shows = [&](std::string_view layer) {
        return std::find(layers.begin(), layers.end(), layer) != layers.end();
    };
    Wanted wanted;
    wanted.how.standard = options.standard                 ? *options.standard
                          : wishes.symbols.value == "ansi" ? drawing::Standard::ansi
                                                           : drawing::Standard::iec;
    wanted.how.nudges = drawing::nudges_of(wishes);
    wanted.how.tolerances = shows("tolerances");
    wanted.how.doubts = shows("doubts");
    wanted.voltages = shows("voltages");
    wanted.blocks = shows("blocks");
    wanted.paper = paper_named(options.paper.empty() ? wishes.paper.value : options.paper);
    return wanted;
}

// Blocks of one part need no frame.
std::vector<drawing::Frame> frames_of(const circuit::Circuit& circuit,
                                      const circuit::Domains& domains,
                                      const Loaded& loaded) {
    std::vector<drawing::Frame> frames;
    const blocks::Blocks found =
        blocks::find_blocks(circuit, domains, loaded.dossier, loaded.data.patterns);
    for (const blocks::Block& block : found.blocks) {
        if (auto parts = block.parts(); parts.size() > 1) {
            frames.push_back({block.title, std::move(parts)});
        }
    }
    return frames;
}

std::vector<std::string> names_of(const circuit::Circuit& circuit,
                                  const std::vector<circuit::PartId>& parts) {
    std::vector<std::string> names;
    for (const circuit::PartId part : parts) {
        names.push_back(circuit[part].name);
    }
    return names;
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

// Of what stands in the dossier: only when something of it is to be shown.
std::vector<std::string> notes_for(const Wanted& wanted, const dossier::Dossier& dossier) {
    if (wanted.paper != drawing::Paper::fit || wanted.how.doubts) {
        return drawing::notes_of(dossier);
    }
    std::vector<std::string> own;
    for (const dossier::Text& note : dossier.drawing.notes) {
        own.push_back(note.value);
    }
    return own;
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
    const circuit::Domains domains = circuit::domains(circuit);
    const Wanted wanted = wanted_of(options, loaded->dossier.drawing);
    drawing::SheetOptions on_sheet;
    on_sheet.paper = wanted.paper;
    on_sheet.title = drawing::title_block_of(loaded->dossier);
    on_sheet.notes = notes_for(wanted, loaded->dossier);
    if (!find_marks(options, circuit, on_sheet, context)) {
        return;
    }
    if (wanted.blocks) {
        on_sheet.frames = frames_of(circuit, domains, *loaded);
    }
    drawing::Options how = wanted.how;
    for (const drawing::Frame& frame : on_sheet.frames) {
        how.nudges.together.push_back(names_of(circuit, frame.parts));
    }
    drawing::Drawing drawing = drawing::draw(circuit, domains, how);
    for (const std::string& words : drawing::not_kept(drawing, circuit, wanted.how.nudges)) {
        context.err << "[drawing] could not be kept to: " << words << ".\n";
    }
    if (wanted.voltages) {
        drawing::add_voltages(drawing::voltages_of(loaded->dossier, circuit, domains), drawing);
    }
    std::vector<std::string> svgs;
    for (const drawing::Sheet& sheet : drawing::sheets_of(drawing, circuit, on_sheet)) {
        svgs.push_back(drawing::to_svg(
            sheet,
            circuit,
            {.standalone = true, .dark = false, .title = loaded->dossier.item.name.value}));
    }
    for (const std::string& output : options.outputs) {
        const auto files = files_for(output, svgs, options.width_px);
        if (!files) {
            fail(context, files.errors());
            return;
        }
        for (const auto& [name, bytes] : *files) {
            base::write_file_atomically(name, bytes);
            if (!options.on.json) {
                context.out << "Wrote " << name << ".\n";
            }
        }
    }
    if (options.on.json) {
        context.out << drawing::to_json(drawing::figures(drawing, circuit));
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
