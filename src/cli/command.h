// What every command of `etchback` has in common. A command is thin: it parses words, calls one
// function and prints one value.
#pragma once

#include <filesystem>
#include <functional>
#include <iosfwd>
#include <optional>
#include <string>

#include "base/error.h"
#include "cli/run.h"
#include "dossier/dossier.h"
#include "report/study.h"

namespace CLI {
class App;
}

namespace etchback::cli {

// What a command may use, and where it says what it has to say.
struct Context {
    std::ostream& out;
    std::ostream& err;
    std::string data_folder;  // from --data; empty: see find_data_folder
    Status status = done;     // set by the command that ran
};

// Each adds its command with options, help and examples; the callback runs it and sets the status.
void add_new(CLI::App& app, Context& context);
void add_check(CLI::App& app, Context& context);
void add_copper(CLI::App& app, Context& context);
void add_circuit(CLI::App& app, Context& context);
void add_compare(CLI::App& app, Context& context);
void add_draw(CLI::App& app, Context& context);
void add_report(CLI::App& app, Context& context);
void add_simulate(CLI::App& app, Context& context);
void add_faults(CLI::App& app, Context& context);
void add_spread(CLI::App& app, Context& context);
void add_explain(CLI::App& app, Context& context);
void add_bench(CLI::App& app, Context& context);

// Adds the argument that all commands on one dossier share, and --json.
struct OnDossier {
    std::string folder;
    bool json = false;
};
void add_dossier_argument(CLI::App& command, OnDossier& on);
// Left empty, the dossier's own word holds.
void add_standard_option(CLI::App& command, std::optional<drawing::Standard>& standard);

// data/: from --data, else $ETCHBACK_DATA, else beside the installed program, else the source tree
// that the program was built from. Nothing if none of them is there.
std::optional<std::filesystem::path> find_data_folder(const std::string& wanted);

// Prints the errors to `err`, as `file:line:column: what; what to do`, and sets the status.
void fail(Context& context, const base::Errors& errors);

// Reads the tables and the dossier; on failure prints every error and returns nothing.
struct Loaded {
    report::Data data;
    dossier::Dossier dossier;
    std::filesystem::path file;    // dossier.toml
    std::filesystem::path folder;  // where it lies
};
std::optional<report::Data> load_data(Context& context);
std::optional<Loaded> load(const std::string& folder, Context& context);
// The same, and where the dossier leaves nets to the copper of its photos, with the nets that it
// tells. What the photos do not tell is said on standard error; the command goes on without it.
std::optional<Loaded> load_with_nets(const std::string& folder, Context& context);

}  // namespace etchback::cli
