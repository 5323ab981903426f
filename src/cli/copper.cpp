#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "base/file.h"
#include "base/text.h"
#include "cli/command.h"
#include "cli/text_table.h"
#include "render/paper.h"
#include "report/board_svg.h"
#include "report/copper_json.h"
#include "report/copper_run.h"
#include "report/copper_view.h"

namespace etchback::cli {
namespace {

namespace fs = std::filesystem;

struct CopperOptions {
    OnDossier on;
    std::vector<std::string> overlays;
    int width_px = 2400;
};

std::string suffix_of(const fs::path& file) {
    return base::lowered(file.extension().string());
}

// Before any work is done: are all suffixes known?
base::Errors wrong_suffixes(const std::vector<std::string>& overlays) {
    base::Errors errors;
    for (const std::string& overlay : overlays) {
        if (suffix_of(overlay) != ".svg" && suffix_of(overlay) != ".png") {
            errors.push_back({{},
                              "'" + overlay + "' does not say which kind of file to write",
                              "end its name in .svg or .png"});
        }
    }
    return errors;
}

// "board.svg" of the bottom: "board-bottom.svg".
fs::path file_of(const fs::path& overlay, copper::Side side) {
    const std::string end = side == copper::Side::top ? "-top" : "-bottom";
    return overlay.parent_path() / (overlay.stem().string() + end + overlay.extension().string());
}

bool write_overlay(const copper::Trace& trace,
                   const fs::path& overlay,
                   copper::Side side,
                   const CopperOptions& options,
                   Context& context) {
    base::Result<std::string> bytes = report::board_svg(trace, side);
    if (bytes && bytes->empty()) {
        return true;  // no picture of that side
    }
    if (bytes && suffix_of(overlay) == ".png") {
        bytes = render::png_from_svg(*bytes, options.width_px);
    }
    if (!bytes) {
        fail(context, bytes.errors());
        return false;
    }
    const fs::path file = file_of(overlay, side);
    base::write_file_atomically(file, *bytes);
    if (!options.on.json) {
        context.out << "Wrote " << file.string() << ".\n";
    }
    return true;
}

void print_nets(const report::CopperView& view, std::ostream& out) {
    if (view.nets.empty()) {
        return;
    }
    out << "\nNets\n";
    std::vector<std::vector<std::string>> rows;
    for (const report::CopperNetView& net : view.nets) {
        rows.push_back({net.name + (net.doubted ? " ?" : ""),
                        fmt::format("{}", net.pads.size()),
                        fmt::format("{}", fmt::join(net.pads, " "))});
    }
    out << text_table(rows);
}

void print_doubts(const report::CopperView& view, std::ostream& out) {
    if (view.doubts.empty()) {
        return;
    }
    out << "\nDoubts, those that would change most first\n";
    std::vector<std::vector<std::string>> rows = {{"", "wrong", "pairs", ""}};
    for (const report::CopperDoubtView& doubt : view.doubts) {
        rows.push_back({fmt::format("{}", doubt.number),
                        doubt.wrong,
                        fmt::format("{}", doubt.pairs),
                        doubt.words});
    }
    out << text_table(rows);
}

void print_questions(const report::CopperView& view, std::ostream& out) {
    if (view.questions.empty()) {
        return;
    }
    out << "\nTo ask the board with a continuity tester\n" << wrapped(report::probe_caution);
    std::vector<std::vector<std::string>> rows = {{"", "probe", "by these nets", "chance", ""}};
    for (const report::CopperQuestionView& question : view.questions) {
        rows.push_back({fmt::format("{}", question.number),
                        question.from + " to " + question.to,
                        question.beeps ? "beeps" : "does not beep",
                        question.chance,
                        fmt::format("settles {}", fmt::join(question.settles, ", "))});
    }
    const report::CopperQuestionView& first = view.questions.front();
    out << text_table(rows)
        << wrapped(fmt::format("Write each answer into the dossier: [[continuity]] between = "
                               "[\"{}\", \"{}\"] and beeps = true or false.",
                               first.from,
                               first.to));
}

void print(const report::CopperView& view, const std::string& item, std::ostream& out) {
    out << item << ": " << view.headline << '\n';
    for (const std::string& line : view.lines) {
        out << wrapped(line);
    }
    print_nets(view, out);
    print_doubts(view, out);
    print_questions(view, out);
    if (!view.contradictions.empty()) {
        out << "\nContradictions\n";
        for (const std::string& words : view.contradictions) {
            out << wrapped(words + ".");
        }
    }
    if (!view.remarks.empty()) {
        out << "\nRemarks\n";
        for (const copper::Remark& remark : view.remarks) {
            out << wrapped(remark.what + (remark.todo.empty() ? "" : "; " + remark.todo) + ".");
        }
    }
}

void run_copper(const CopperOptions& options, Context& context) {
    if (const base::Errors errors = wrong_suffixes(options.overlays); !errors.empty()) {
        fail(context, errors);
        context.status = wrong_usage;
        return;
    }
    const auto loaded = load(options.on.folder, context);
    if (!loaded) {
        return;
    }
    const report::Copper copper =
        report::follow_copper(loaded->dossier, loaded->folder, loaded->data);
    if (!copper.trace) {
        fail(context, copper.why_not);
        return;
    }
    if (options.on.json) {
        context.out << report::json_of(*copper.trace).dump(2) << '\n';
    } else {
        print(report::view_of(*copper.trace), loaded->dossier.item.name.value, context.out);
    }
    for (const std::string& overlay : options.overlays) {
        for (const copper::Side side : {copper::Side::top, copper::Side::bottom}) {
            if (!write_overlay(*copper.trace, overlay, side, options, context)) {
                return;
            }
        }
    }
    if (!copper.trace->picture.registration.photos.empty() &&
        !copper.trace->picture.registration.good) {
        context.status = not_in_order;
    }
}

}  // namespace

void add_copper(CLI::App& app, Context& context) {
    CLI::App* command = app.add_subcommand(
        "copper", "Nets from photos of the board, its doubts, and what to probe to settle them");
    const auto options = std::make_shared<CopperOptions>();
    add_dossier_argument(*command, options->on);
    command
        ->add_option("--overlay",
                     options->overlays,
                     "write each side's photo with the nets, pads and doubts drawn on it: for "
                     "board.svg, board-top.svg and board-bottom.svg; .svg or .png")
        ->type_name("FILE")
        ->expected(1)
        ->take_all();
    command->add_option("--width", options->width_px, "width of a PNG in pixels, 16 to 20000")
        ->check(CLI::Range(16, 20000).description(""))
        ->type_name("PIXELS")
        ->capture_default_str();
    command->footer(
        "Follows the copper on photos of both sides, through holes and below parts, and asks "
        "about\n"
        "what it cannot see: docs/copper.md. The dossier names the photos ([[photos]]) and says "
        "where\n"
        "parts are soldered (pads, or position and body).\n"
        "\n"
        "Examples:\n"
        "  etchback copper my-charger\n"
        "  etchback copper my-charger --overlay board.png\n"
        "  etchback copper my-charger --json");
    command->callback([options, &context] { run_copper(*options, context); });
}

}  // namespace etchback::cli
