#include "cli/run.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <ostream>

#include "base/file.h"
#include "base/text.h"
#include "cli/command.h"

namespace etchback::cli {
namespace {

constexpr const char* kAbout =
    "Turns a bare circuit board back into a circuit that its owner can trust.\n"
    "A dossier is a folder that holds the evidence about one item, in dossier.toml; everything\n"
    "else is derived from it.";

constexpr const char* kExamples =
    "Examples:\n"
    "  etchback new my-charger                   an empty dossier, with comments that explain it\n"
    "  etchback check my-charger                 everything wrong with it, each with its place\n"
    "  etchback report my-charger -o out         the report: out/report.html, .pdf, .json\n"
    "  etchback copper my-charger                nets from photos, and what to probe\n"
    "  etchback draw my-charger -o circuit.pdf   the drawn circuit alone\n"
    "  etchback simulate my-charger              how it behaves in time\n"
    "\n"
    "Mains voltage kills and capacitors stay charged after the plug is pulled. Judgements about\n"
    "safety in what etchback prints are an aid, no certificate: local codes, the standards\n"
    "themselves and qualified people decide.";

void add_commands(CLI::App& app, Context& context) {
    add_new(app, context);
    add_check(app, context);
    add_report(app, context);
    add_copper(app, context);
    add_circuit(app, context);
    add_explain(app, context);
    add_compare(app, context);
    add_draw(app, context);
    add_simulate(app, context);
    add_faults(app, context);
    add_spread(app, context);
    add_bench(app, context);
    for (CLI::App* command : app.get_subcommands([](CLI::App*) { return true; })) {
        command->group("Commands");
    }
}

std::vector<std::string> command_names(const CLI::App& app) {
    std::vector<std::string> names;
    for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; })) {
        names.push_back(command->get_name());
    }
    return names;
}

// The first word that is no option, if it is no command either.
std::optional<std::string> unknown_command(const std::vector<std::string>& arguments,
                                           const std::vector<std::string>& known) {
    for (std::size_t i = 0; i < arguments.size(); ++i) {
        if (arguments[i] == "--data") {
            ++i;
        } else if (arguments[i].empty() || arguments[i].front() != '-') {
            const bool is_known =
                std::find(known.begin(), known.end(), arguments[i]) != known.end();
            return is_known ? std::nullopt : std::optional(arguments[i]);
        }
    }
    return std::nullopt;
}

int parse_and_run(CLI::App& app, std::vector<std::string> arguments, Context& context) {
    const std::vector<std::string> known = command_names(app);
    if (const auto word = unknown_command(arguments, known)) {
        const auto near = base::nearest_word(*word, known);
        context.err << "etchback: there is no command '" << *word << "'; "
                    << (near ? "did you mean '" + *near + "'?"
                             : "the commands are " + base::listed(known))
                    << '\n';
        return wrong_usage;
    }
    if (arguments.empty()) {
        context.err << "etchback: a command is missing: " << base::listed(known, "or")
                    << "; see etchback --help\n";
        return wrong_usage;
    }
    std::reverse(arguments.begin(), arguments.end());  // as CLI11 takes them
    try {
        app.parse(arguments);
    } catch (const CLI::CallForHelp&) {
        const auto chosen = app.get_subcommands();
        context.out << (chosen.empty() ? app.help() : chosen.front()->help("etchback"));
        return done;
    } catch (const CLI::CallForVersion& version) {
        context.out << version.what() << '\n';
        return done;
    } catch (const CLI::ParseError& error) {
        const auto chosen = app.get_subcommands();
        const std::string name = chosen.empty() ? "" : " " + chosen.front()->get_name();
        context.err << "etchback" << name << ": " << error.what() << "; see etchback" << name
                    << " --help\n";
        return wrong_usage;
    }
    return context.status;
}

}  // namespace

int run(const std::vector<std::string>& arguments, std::ostream& out, std::ostream& err) {
    Context context{out, err, {}, done};
    CLI::App app{kAbout, "etchback"};
    app.footer(kExamples);
    app.set_version_flag("--version", "etchback " ETCHBACK_VERSION, "print the version and exit");
    app.set_help_flag("-h,--help", "print this help and exit");
    app.add_option("--data", context.data_folder, "the folder of etchback's own tables")
        ->type_name("DIR");
    app.require_subcommand(1);
    app.get_formatter()->column_width(30);
    app.get_formatter()->label("SUBCOMMAND", "COMMAND");
    app.get_formatter()->label("Positionals", "Needed");
    app.get_formatter()->label("REQUIRED", "");
    add_commands(app, context);
    try {
        return parse_and_run(app, arguments, context);
    } catch (const base::FileError& error) {
        err << "etchback: " << error.what() << '\n';
        return not_in_order;
    } catch (const std::filesystem::filesystem_error& error) {
        err << "etchback: " << error.what() << '\n';
        return not_in_order;
    }
}

}  // namespace etchback::cli
