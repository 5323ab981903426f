#include <CLI/CLI.hpp>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "base/file.h"
#include "cli/command.h"
#include "dossier/read.h"
#include "dossier/tables.h"
#include "dossier/write.h"

namespace etchback::cli {
namespace {

namespace fs = std::filesystem;

struct NewOptions {
    std::string folder;
    std::string name;
    std::string nets;
    std::string parts;
    bool json = false;
};

// The name to begin with: the folder's own, which a person chose.
std::string item_name(const NewOptions& options) {
    if (!options.name.empty()) {
        return options.name;
    }
    const fs::path folder = fs::absolute(options.folder).lexically_normal();
    return (folder.has_filename() ? folder : folder.parent_path()).filename().string();
}

std::optional<std::string> dossier_text(const NewOptions& options, Context& context) {
    if (options.nets.empty()) {
        return dossier::blank_dossier(item_name(options));
    }
    const auto data = load_data(context);
    if (!data) {
        return std::nullopt;
    }
    auto dossier = dossier::from_tables(base::read_file(options.nets),
                                        options.nets,
                                        base::read_file(options.parts),
                                        options.parts,
                                        data->catalogue);
    if (!dossier) {
        fail(context, dossier.errors());
        return std::nullopt;
    }
    (*dossier).item.name.value = item_name(options);
    return dossier::write(*dossier, data->catalogue);
}

void run_new(const NewOptions& options, Context& context) {
    const fs::path file = fs::path(options.folder) / "dossier.toml";
    if (fs::exists(file)) {
        fail(context,
             {{{file.string(), 0, 0},
               "a dossier is already there",
               "choose another folder; nothing was changed"}});
        return;
    }
    const auto text = dossier_text(options, context);
    if (!text) {
        return;
    }
    fs::create_directories(options.folder);
    base::write_file_atomically(file, *text);
    if (options.json) {
        context.out << nlohmann::ordered_json{{"file", file.string()}}.dump(2) << '\n';
    } else {
        context.out << "Wrote " << file.string() << ".\n"
                    << "Fill it in with a text editor, then: etchback check " << options.folder
                    << '\n';
    }
}

}  // namespace

void add_new(CLI::App& app, Context& context) {
    CLI::App* command = app.add_subcommand("new", "Start a dossier: empty, or from two tables");
    const auto options = std::make_shared<NewOptions>();
    command->add_option("DIR", options->folder, "the folder to make it in")
        ->required()
        ->type_name("");
    command->add_option("--name", options->name, "what the item is called; the folder's name else")
        ->type_name("TEXT");
    CLI::Option* nets =
        command
            ->add_option("--nets",
                         options->nets,
                         "a CSV table with the columns net, part, pin (and side, x_mm, y_mm)")
            ->type_name("FILE");
    CLI::Option* parts =
        command
            ->add_option("--parts",
                         options->parts,
                         "a CSV table with the columns part, value, body (and kind, title)")
            ->type_name("FILE");
    nets->needs(parts);
    parts->needs(nets);
    command->add_flag("--json", options->json, "print one JSON document (docs/json.md)");
    command->footer(
        "Without tables, the new dossier.toml holds comments that explain what to fill in.\n"
        "With tables, kinds of part are guessed from their names, values and bodies; what was "
        "guessed is\n"
        "marked as assumed.\n"
        "\n"
        "Examples:\n"
        "  etchback new my-charger\n"
        "  etchback new my-charger --name \"Charger from the shed\"\n"
        "  etchback new board --nets nets.csv --parts parts.csv");
    command->callback([options, &context] { run_new(*options, context); });
}

}  // namespace etchback::cli
