#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "base/text.h"
#include "blocks/blocks.h"
#include "circuit/domains.h"
#include "circuit/names.h"
#include "cli/command.h"
#include "cli/text_table.h"

namespace etchback::cli {
namespace {

using nlohmann::ordered_json;

struct OnExplain : OnDossier {
    std::string patterns;  // a folder of the user's own
};

struct View {
    circuit::Circuit circuit;
    blocks::PatternBook book;
    blocks::Blocks found;
};

ordered_json figure_json(const blocks::BlockFigure& of) {
    const base::Figure& f = of.figure;
    return {{"id", f.id},
            {"title", f.title},
            {"value", f.value},
            {"unit", base::name_of(f.unit)},
            {"low", of.low},
            {"high", of.high},
            {"formula", f.formula},
            {"worked", f.worked},
            {"source", f.source},
            {"assumed", f.assumed}};
}

std::string json_text(const View& view) {
    ordered_json json = {{"blocks", ordered_json::array()},
                         {"roles", ordered_json::object()},
                         {"unexplained", circuit::names_of(view.circuit, view.found.unexplained)}};
    for (const blocks::Block& block : view.found.blocks) {
        ordered_json fillings = ordered_json::array();
        for (const blocks::Filling& filling : block.fillings) {
            fillings.push_back({{"as", filling.slot},
                                {"parts", circuit::names_of(view.circuit, filling.parts)},
                                {"role", filling.role},
                                {"owned", filling.owns}});
        }
        ordered_json nets = ordered_json::object();
        for (const auto& [name, net] : block.nets) {
            nets[name] = view.circuit[net].name;
        }
        ordered_json figures = ordered_json::array();
        for (const blocks::BlockFigure& figure : block.figures) {
            figures.push_back(figure_json(figure));
        }
        json["blocks"].push_back({{"pattern", block.pattern},
                                  {"title", block.title},
                                  {"stage", block.stage},
                                  {"exact", block.exact},
                                  {"parts", std::move(fillings)},
                                  {"nets", std::move(nets)},
                                  {"figures", std::move(figures)},
                                  {"sentences", block.sentences},
                                  {"remarks", block.remarks},
                                  {"cautions", block.cautions},
                                  {"source", block.source}});
    }
    for (std::size_t i = 0; i < view.found.roles.size(); ++i) {
        json["roles"][view.circuit.parts[i].name] = view.found.roles[i].text;
    }
    return json.dump(2) + '\n';
}

std::string spread_of(const blocks::BlockFigure& of) {
    const base::Figure& f = of.figure;
    if (of.low == of.high) {
        return {};
    }
    return fmt::format(
        " ({} to {})", base::to_engineering(of.low, f.unit), base::to_engineering(of.high, f.unit));
}

void print_blocks(const View& view, std::ostream& out) {
    for (const blocks::Stage& stage : view.book.stages) {
        std::string text;
        for (const blocks::Block& block : view.found.blocks) {
            if (block.stage != stage.id) {
                continue;
            }
            std::string words;
            for (const auto* sentences : {&block.sentences, &block.remarks}) {
                for (const std::string& sentence : *sentences) {
                    words += (words.empty() ? "" : " ") + sentence;
                }
            }
            for (const std::string& caution : block.cautions) {
                words += (words.empty() ? "Caution: " : " Caution: ") + caution;
            }
            if (!words.empty()) {
                text += wrapped(words);
            }
        }
        if (!text.empty()) {
            out << stage.title << '\n' << text << '\n';
        }
    }
}

void print_figures(const View& view, std::ostream& out) {
    std::vector<std::vector<std::string>> rows;
    for (const blocks::Block& block : view.found.blocks) {
        for (const blocks::BlockFigure& of : block.figures) {
            const base::Figure& f = of.figure;
            rows.push_back({f.title,
                            base::listed(f.parts),
                            base::to_engineering(f.value, f.unit) + spread_of(of) +
                                (f.assumed ? ", assumed" : ""),
                            f.worked});
        }
    }
    if (!rows.empty()) {
        out << "Figures (in brackets: nine in ten items, by the tolerances of their parts)\n"
            << text_table(rows) << '\n';
    }
}

void print_roles(const View& view, std::ostream& out) {
    std::vector<std::vector<std::string>> rows;
    for (std::size_t i = 0; i < view.found.roles.size(); ++i) {
        const blocks::Role& role = view.found.roles[i];
        if (role.block >= 0) {
            rows.push_back({view.circuit.parts[i].name,
                            role.text,
                            view.found.blocks[static_cast<std::size_t>(role.block)].title});
        }
    }
    out << "What each part is there for\n" << text_table(rows);
    const auto open = circuit::names_of(view.circuit, view.found.unexplained);
    if (!open.empty()) {
        out << "\nNot explained: " << base::listed(open)
            << ". No known pattern holds these parts: follow their copper again, or say what they "
               "do.\n";
    }
}

}  // namespace

void add_explain(CLI::App& app, Context& context) {
    CLI::App* command =
        app.add_subcommand("explain", "What each part is there for, and how the item works");
    const auto on = std::make_shared<OnExplain>();
    add_dossier_argument(*command, *on);
    command->add_option("--patterns", on->patterns, "a folder with patterns of your own (*.toml)")
        ->type_name("FOLDER");
    command->footer(
        "Known groups of parts are found by their structure (patterns, docs/patterns.md): first\n"
        "those that come with etchback, then those in the folder 'patterns' of the dossier and\n"
        "those of --patterns, which replace others of the same id. Parts that no pattern holds "
        "are\n"
        "listed: they are your homework.\n"
        "\n"
        "Examples:\n"
        "  etchback explain my-charger\n"
        "  etchback explain my-charger --json");
    command->callback([on, &context] {
        const auto loaded = load_with_nets(on->folder, context);
        if (!loaded) {
            return;
        }
        blocks::PatternBook book = loaded->data.patterns;
        if (!on->patterns.empty()) {
            std::vector<std::filesystem::path> folders = {loaded->data.folder / "blocks"};
            if (std::filesystem::is_directory(loaded->folder / "patterns")) {
                folders.push_back(loaded->folder / "patterns");
            }
            folders.emplace_back(on->patterns);
            auto more = blocks::load_patterns(folders);
            if (!more) {
                fail(context, more.errors());
                return;
            }
            book = *std::move(more);
        }
        View view{circuit::build(loaded->dossier, loaded->data.catalogue), std::move(book), {}};
        view.found = blocks::find_blocks(
            view.circuit, circuit::domains(view.circuit), loaded->dossier, view.book);
        if (on->json) {
            context.out << json_text(view);
            return;
        }
        print_blocks(view, context.out);
        print_figures(view, context.out);
        print_roles(view, context.out);
    });
}

}  // namespace etchback::cli
