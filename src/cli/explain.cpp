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
#include "cli/long_work.h"
#include "cli/text_table.h"
#include "report/behaviour_run.h"
#include "report/explanation_json.h"

namespace etchback::cli {
namespace {

struct OnExplain : OnDossier {
    std::string patterns;  // a folder of the user's own
    bool no_simulation = false;
};

struct View {
    circuit::Circuit circuit;
    blocks::PatternBook book;
    blocks::Blocks found;
    report::Behaviour behaviour;  // empty where nothing was simulated
    std::vector<report::StageTold> told;
};

std::string json_text(const View& view) {
    return report::json_of(view.found, view.told, view.circuit)
               .dump(2, ' ', false, nlohmann::json::error_handler_t::replace) +
           '\n';
}

std::string spread_of(const blocks::BlockFigure& of) {
    const base::Figure& f = of.figure;
    if (of.low == of.high) {
        return {};
    }
    return fmt::format(
        " ({} to {})", base::to_engineering(of.low, f.unit), base::to_engineering(of.high, f.unit));
}

std::string words_of(const report::BlockTold& told) {
    const blocks::Block& block = *told.block;
    std::string words;
    for (const auto* sentences : {&block.sentences, &block.remarks, &told.doubts}) {
        for (const std::string& sentence : *sentences) {
            words += (words.empty() ? "" : " ") + sentence;
        }
    }
    for (const std::string& caution : block.cautions) {
        words += (words.empty() ? "Caution: " : " Caution: ") + caution;
    }
    if (!words.empty() && !told.simulated.empty()) {
        words += " " + told.simulated;
    }
    return words;
}

void print_events(const report::StageEvents& events, std::ostream& out) {
    out << wrapped(events.lead);
    std::vector<std::vector<std::string>> rows;
    for (const report::EventLine& line : events.lines) {
        rows.push_back({"", base::to_engineering(line.t_s, base::Unit::second), line.text});
    }
    out << (rows.empty() ? "" : text_table(rows));
    if (events.more > 0) {
        out << wrapped(fmt::format("And {} more: etchback simulate shows them.", events.more));
    }
    if (!events.outcome.empty()) {
        out << wrapped(events.outcome);
    }
}

void print_blocks(const View& view, std::ostream& out) {
    for (const report::StageTold& stage : view.told) {
        if (stage.empty()) {
            continue;
        }
        out << stage.title << '\n';
        for (const report::BlockTold& block : stage.blocks) {
            const std::string words = words_of(block);
            out << (words.empty() ? "" : wrapped(words));
        }
        for (const report::StageEvents& events : stage.events) {
            print_events(events, out);
        }
        out << '\n';
    }
}

void print_figures(const View& view, std::ostream& out) {
    std::vector<std::vector<std::string>> rows;
    const bool any = !view.behaviour.outcomes.empty();
    for (const report::StageTold& stage : view.told) {
        for (const report::BlockTold& block : stage.blocks) {
            for (const report::FigureBeside& figure : block.figures) {
                const base::Figure& f = figure.closed->figure;
                rows.push_back({f.title,
                                base::listed(f.parts),
                                base::to_engineering(f.value, f.unit) + spread_of(*figure.closed) +
                                    (f.assumed ? ", assumed" : "")});
                if (any) {
                    rows.back().push_back(in_words(figure));
                }
                rows.back().push_back(f.worked);
            }
        }
    }
    if (rows.empty()) {
        return;
    }
    out << wrapped(std::string("Figures by closed forms (in brackets: nine in ten items, by the "
                               "tolerances of their parts)") +
                   (any ? ", then simulated with the difference from the closed form" : ""))
        << text_table(rows) << '\n';
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
    if (!rows.empty()) {
        out << "What each part is there for\n" << text_table(rows) << '\n';
    }
    const auto open = circuit::names_of(view.circuit, view.found.unexplained);
    if (!open.empty()) {
        out << "Not explained: " << base::listed(open)
            << ". No known pattern holds these parts: follow their copper again, or say what they "
               "do.\n";
    }
}

// What the runs show; nothing where the dossier is no circuit to run, which is said.
report::Behaviour simulate(const View& view, const Loaded& loaded, Context& context) {
    const auto data = report::load_simulation_data(loaded.data);
    if (!data) {
        return {{}, data.errors()};
    }
    LongWork work(context);
    report::SimulateOptions options;
    options.scenarios = report::scenarios_to_explain(view.found);
    options.interrupted = work.asked_to_end();
    options.progress = [&](const behaviour::Scenario& scenario, double share) {
        work.show(fmt::format("simulating {}: {:.0f} %", scenario.id, 100.0 * share));
    };
    return report::simulate(view.circuit, loaded.dossier, *data, options);
}

void print_why_not(const report::Behaviour& behaviour, std::ostream& out) {
    if (behaviour.why_not.empty()) {
        return;
    }
    std::string words = "Not simulated:";
    for (const base::Error& error : behaviour.why_not) {
        words += fmt::format(" {} ({}).", error.what, error.todo);
    }
    out << wrapped(words) << '\n';
}

}  // namespace

void add_explain(CLI::App& app, Context& context) {
    CLI::App* command =
        app.add_subcommand("explain", "What each part is there for, and how the item works");
    const auto on = std::make_shared<OnExplain>();
    add_dossier_argument(*command, *on);
    command->add_option("--patterns", on->patterns, "a folder with patterns of your own (*.toml)")
        ->type_name("FOLDER");
    command->add_flag(
        "--no-simulation", on->no_simulation, "closed forms alone, without runs in time");
    command->footer(
        "Known groups of parts are found by their structure (patterns, docs/patterns.md): first\n"
        "those that come with etchback, then those in the folder 'patterns' of the dossier and\n"
        "those of --patterns, which replace others of the same id. Parts that no pattern holds "
        "are\n"
        "listed: they are your homework.\n"
        "\n"
        "The circuit is run in normal use, with the load open and with the output shorted, and at\n"
        "the ends of its supply where a closed form is for those: what happens is told where it\n"
        "belongs, and figures stand beside those of the closed forms.\n"
        "\n"
        "Examples:\n"
        "  etchback explain my-charger\n"
        "  etchback explain my-charger --no-simulation --json");
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
        View view{
            circuit::build(loaded->dossier, loaded->data.catalogue), std::move(book), {}, {}, {}};
        view.found = blocks::find_blocks(
            view.circuit, circuit::domains(view.circuit), loaded->dossier, view.book);
        if (!on->no_simulation) {
            view.behaviour = simulate(view, *loaded, context);
        }
        view.told =
            report::explain(view.found, view.circuit, view.book.stages, view.behaviour.outcomes);
        if (on->json) {
            context.out << json_text(view);
            return;
        }
        print_why_not(view.behaviour, context.out);
        print_blocks(view, context.out);
        print_figures(view, context.out);
        print_roles(view, context.out);
    });
}

}  // namespace etchback::cli
