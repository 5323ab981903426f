#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "base/text.h"
#include "circuit/sanity.h"
#include "cli/command.h"
#include "dossier/read.h"
#include "dossier/remarks.h"

namespace etchback::cli {
namespace {

using nlohmann::ordered_json;

struct Checked {
    std::string file;
    base::Errors errors;                         // the file cannot be read as a dossier
    std::vector<circuit::Complaint> complaints;  // it can, but the circuit is not in order
    std::vector<dossier::Remark> remarks;        // what is around the circuit may not be
    std::size_t parts = 0;
    std::size_t empty_places = 0;
    std::size_t nets = 0;

    bool in_order() const {
        const bool firm = std::any_of(
            complaints.begin(), complaints.end(), [](const auto& c) { return !c.doubtful; });
        return errors.empty() && !firm;
    }
};

Checked check(const std::string& folder, const parts::Catalogue& catalogue) {
    Checked checked;
    checked.file = dossier::file_of(folder).string();
    const auto dossier = dossier::read_folder(folder, catalogue);
    if (!dossier) {
        checked.errors = dossier.errors();
        return checked;
    }
    const circuit::Circuit circuit = circuit::build(*dossier, catalogue);
    checked.complaints = circuit::complaints(circuit, *dossier);
    checked.remarks = dossier::remarks(*dossier, checked.file, catalogue);
    checked.parts = circuit.parts.size();
    checked.empty_places = static_cast<std::size_t>(
        std::count_if(dossier->parts.begin(), dossier->parts.end(), [](const dossier::Part& part) {
            return !part.fitted;
        }));
    checked.nets = circuit.nets.size();
    return checked;
}

ordered_json to_json(const base::Error& error) {
    return {{"file", error.place.file},
            {"line", error.place.line},
            {"column", error.place.column},
            {"what", error.what},
            {"todo", error.todo}};
}

std::string json_text(const Checked& checked) {
    ordered_json json = {{"file", checked.file},
                         {"in_order", checked.in_order()},
                         {"parts", checked.parts},
                         {"empty_places", checked.empty_places},
                         {"nets", checked.nets},
                         {"errors", ordered_json::array()},
                         {"complaints", ordered_json::array()}};
    for (const base::Error& error : checked.errors) {
        json["errors"].push_back(to_json(error));
    }
    for (const circuit::Complaint& complaint : checked.complaints) {
        ordered_json entry = to_json(complaint.error);
        entry["kind"] = name_of(complaint.kind);
        entry["doubtful"] = complaint.doubtful;
        entry["parts"] = complaint.parts;
        entry["nets"] = complaint.nets;
        json["complaints"].push_back(std::move(entry));
    }
    for (const dossier::Remark& remark : checked.remarks) {
        ordered_json entry = to_json(remark.error);
        entry["kind"] = name_of(remark.kind);
        entry["doubtful"] = true;
        entry["parts"] = ordered_json::array();
        entry["nets"] = ordered_json::array();
        json["complaints"].push_back(std::move(entry));
    }
    return json.dump(2) + '\n';
}

// "63 parts, 1 place without a part, 40 nets".
std::string counted(const Checked& checked) {
    const auto number = [](std::size_t n, const std::string& one) {
        return std::to_string(n) + " " + one + (n == 1 ? "" : "s");
    };
    const std::size_t empty = checked.empty_places;
    return number(checked.parts, "part") +
           (empty == 0   ? ""
            : empty == 1 ? ", 1 place without a part"
                         : ", " + std::to_string(empty) + " places without a part") +
           (empty == 0 ? " and " : ", ") + number(checked.nets, "net");
}

void print(const Checked& checked, Context& context) {
    for (const base::Error& error : checked.errors) {
        context.err << to_string(error) << '\n';
    }
    for (const circuit::Complaint& complaint : checked.complaints) {
        context.err << to_string(complaint.error)
                    << (complaint.doubtful ? " (may be meant so)" : "") << '\n';
    }
    for (const dossier::Remark& remark : checked.remarks) {
        context.err << to_string(remark.error) << " (may be meant so)\n";
    }
    if (checked.in_order()) {
        context.out << checked.file << ": in order, " << counted(checked) << '\n';
    }
}

}  // namespace

void add_check(CLI::App& app, Context& context) {
    CLI::App* command = app.add_subcommand(
        "check", "Everything that is wrong with a dossier, each with its place and a remedy");
    const auto on = std::make_shared<OnDossier>();
    add_dossier_argument(*command, *on);
    command->footer(
        "Reads dossier.toml and builds the circuit. Each thing that cannot be right is printed as\n"
        "file:line:column: what is wrong; what to do. Exit status 0 if the dossier is in order, 1 "
        "if not;\n"
        "what may be meant so (a pin left open, a photo not yet there) is printed, but does not "
        "count.\n"
        "\n"
        "Examples:\n"
        "  etchback check my-charger\n"
        "  etchback check my-charger --json | less");
    command->callback([on, &context] {
        const auto data = load_data(context);
        if (!data) {
            return;
        }
        const Checked checked = check(on->folder, data->catalogue);
        context.status = checked.in_order() ? done : not_in_order;
        if (on->json) {
            context.out << json_text(checked);
        } else {
            print(checked, context);
        }
    });
}

}  // namespace etchback::cli
