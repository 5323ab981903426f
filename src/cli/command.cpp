#include "cli/command.h"

#include <CLI/CLI.hpp>
#include <cstdlib>
#include <ostream>

#include "dossier/read.h"
#include "report/copper_run.h"

namespace etchback::cli {

namespace fs = std::filesystem;

void add_dossier_argument(CLI::App& command, OnDossier& on) {
    command.add_option("DOSSIER", on.folder, "the folder that holds dossier.toml, or that file")
        ->required()
        ->type_name("");
    command.add_flag("--json", on.json, "print one JSON document (docs/json.md)");
}

void add_standard_option(CLI::App& command, std::optional<drawing::Standard>& standard) {
    const std::map<std::string, drawing::Standard> names = {{"iec", drawing::Standard::iec},
                                                            {"ansi", drawing::Standard::ansi}};
    command
        .add_option("--symbols",
                    standard,
                    "symbols in the manner of iec (IEC 60617) or ansi (ANSI/IEEE 315); else as the "
                    "dossier says, else iec")
        ->transform(CLI::CheckedTransformer(names, CLI::ignore_case).description(""))
        ->type_name("iec|ansi");
}

std::optional<fs::path> find_data_folder(const std::string& wanted) {
    if (!wanted.empty()) {
        return fs::path(wanted);
    }
    if (const char* variable = std::getenv("ETCHBACK_DATA");
        variable != nullptr && *variable != '\0') {
        return fs::path(variable);
    }
    std::error_code none;
    const fs::path program = fs::read_symlink("/proc/self/exe", none);
    for (const fs::path& place :
         {program.parent_path() / "../share/etchback/data", fs::path(ETCHBACK_SOURCE_DATA)}) {
        if (fs::is_directory(place / "parts", none)) {
            return place;
        }
    }
    return std::nullopt;
}

void fail(Context& context, const base::Errors& errors) {
    for (const base::Error& error : errors) {
        context.err << to_string(error) << '\n';
    }
    context.status = not_in_order;
}

std::optional<report::Data> load_data(Context& context) {
    const auto folder = find_data_folder(context.data_folder);
    if (!folder) {
        fail(context,
             {{{},
               "the tables that come with etchback (its folder 'data') are not found",
               "name the folder with --data or in the variable ETCHBACK_DATA"}});
        return std::nullopt;
    }
    auto data = report::load_data(*folder);
    if (!data) {
        fail(context, data.errors());
        return std::nullopt;
    }
    return *std::move(data);
}

std::optional<Loaded> load(const std::string& folder, Context& context) {
    auto data = load_data(context);
    if (!data) {
        return std::nullopt;
    }
    const fs::path file = dossier::file_of(folder);
    auto dossier = dossier::read_folder(folder, data->catalogue);
    if (!dossier) {
        fail(context, dossier.errors());
        return std::nullopt;
    }
    if (fs::is_directory(file.parent_path() / "patterns")) {
        auto book =
            blocks::load_patterns({data->folder / "blocks", file.parent_path() / "patterns"});
        if (!book) {
            fail(context, book.errors());
            return std::nullopt;
        }
        data->patterns = *std::move(book);
    }
    return Loaded{*std::move(data), *std::move(dossier), file, file.parent_path()};
}

std::optional<Loaded> load_with_nets(const std::string& folder, Context& context) {
    auto loaded = load(folder, context);
    if (!loaded || !report::needs_copper(loaded->dossier)) {
        return loaded;
    }
    const report::Copper copper =
        report::follow_copper(loaded->dossier, loaded->folder, loaded->data);
    for (const base::Error& error : copper.why_not) {
        context.err << to_string(error) << '\n';
    }
    loaded->dossier = report::with_copper(loaded->dossier, copper);
    return loaded;
}

}  // namespace etchback::cli
