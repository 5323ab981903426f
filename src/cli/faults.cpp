#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "base/text.h"
#include "cli/campaign_work.h"
#include "cli/text_table.h"
#include "report/behaviour_json.h"
#include "report/behaviour_run.h"

namespace etchback::cli {
namespace {

using behaviour::FaultRun;
using nlohmann::ordered_json;

// Worst first; what is not in the list stands before "no change".
constexpr const char* verdicts[] = {"supply shorted",
                                    "over-stress",
                                    "fuse opens",
                                    "restarts",
                                    "output lost",
                                    "does not start",
                                    "output changed",
                                    "starts late",
                                    "not simulated",
                                    "",
                                    "no change",
                                    "not run"};

std::size_t rank_of(const std::string& verdict) {
    const auto* found = std::find(std::begin(verdicts), std::end(verdicts), verdict);
    const auto* unknown = std::find(std::begin(verdicts), std::end(verdicts), std::string());
    return static_cast<std::size_t>((found == std::end(verdicts) ? unknown : found) -
                                    std::begin(verdicts));
}

// All corners of one fault.
struct FaultLine {
    std::string id;
    std::vector<const FaultRun*> runs;
    const FaultRun* worst = nullptr;
};

std::vector<FaultLine> lines_of(const behaviour::FaultCampaign& campaign) {
    std::vector<FaultLine> lines;
    for (const FaultRun& run : campaign.runs) {
        if (lines.empty() || !(lines.back().runs.front()->fault == run.fault)) {
            lines.push_back({run.fault.id(), {}, nullptr});
        }
        FaultLine& line = lines.back();
        line.runs.push_back(&run);
        if (line.worst == nullptr || rank_of(run.verdict) < rank_of(line.worst->verdict)) {
            line.worst = &run;
        }
    }
    std::stable_sort(lines.begin(), lines.end(), [](const FaultLine& a, const FaultLine& b) {
        return rank_of(a.worst->verdict) < rank_of(b.worst->verdict);
    });
    return lines;
}

// "at every supply", "at 264 V".
std::string corners_of(const FaultLine& line) {
    std::vector<std::string> corners;
    for (const FaultRun* run : line.runs) {
        if (run->verdict == line.worst->verdict) {
            corners.push_back(run->corner);
        }
    }
    return corners.size() == line.runs.size() ? "at every supply" : "at " + base::listed(corners);
}

void print(const behaviour::FaultCampaign& campaign, const std::string& name, std::ostream& out) {
    const std::vector<FaultLine> lines = lines_of(campaign);
    out << name << ": " << lines.size() << " single faults, " << campaign.done << " of "
        << campaign.runs.size() << " runs done\n";
    for (std::size_t from = 0; from < lines.size();) {
        const std::string& verdict = lines[from].worst->verdict;
        std::size_t to = from;
        std::vector<std::vector<std::string>> rows;
        std::vector<std::string> names;
        for (; to < lines.size() && lines[to].worst->verdict == verdict; ++to) {
            rows.push_back({lines[to].id, corners_of(lines[to]), lines[to].worst->words});
            names.push_back(lines[to].id);
        }
        std::string heading = verdict;
        heading[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(heading[0])));
        out << '\n' << heading << " (" << to - from << ")\n";
        const bool dull = verdict == "no change" || verdict == "not run";
        out << (dull ? wrapped(fmt::format("{}", fmt::join(names, ", "))) : text_table(rows));
        from = to;
    }
    out << "\nEach fault is watched for 40 ms from steady use; at the lowest supply, one that "
           "changes "
           "nothing\n"
           "is tried from switching on, too. Slow heat is not seen.\n";
    out << "\nSimulated, not tried out. Make no fault on a live item: mains voltage kills, and "
           "parts burst.\n";
}

const char* name_of(behaviour::Fault::Kind kind) {
    switch (kind) {
        case behaviour::Fault::Kind::open:
            return "open";
        case behaviour::Fault::Kind::shorted:
            return "shorted";
        case behaviour::Fault::Kind::bridged:
            return "bridged";
    }
    return "";
}

template <typename List>
ordered_json list_of(const List& list) {
    ordered_json all = ordered_json::array();
    for (const auto& one : list) {
        all.push_back(report::json_of(one));
    }
    return all;
}

ordered_json json_of(const FaultRun& run) {
    return {{"fault", run.fault.id()},
            {"kind", name_of(run.fault.kind)},
            {"part", run.fault.part},
            {"pin", run.fault.pin},
            {"other_pin", run.fault.other_pin},
            {"supply", run.corner},
            {"verdict", run.verdict},
            {"words", run.words},
            {"exceeded", list_of(run.exceeded)},
            {"figures", list_of(run.figures)},
            {"story", list_of(run.story)},
            {"ledger_in_order", run.ledger_in_order}};
}

std::string json_text(const behaviour::FaultCampaign& campaign) {
    ordered_json json = {{"done", campaign.done}, {"all", campaign.runs.size()}};
    json["runs"] = ordered_json::array();
    for (const FaultRun& run : campaign.runs) {
        json["runs"].push_back(json_of(run));
    }
    return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + '\n';
}

bool in_order(const behaviour::FaultCampaign& campaign) {
    return campaign.done == static_cast<int>(campaign.runs.size()) &&
           std::all_of(campaign.runs.begin(), campaign.runs.end(), [](const FaultRun& run) {
               return run.ledger_in_order;
           });
}

void run_campaign(const CampaignWords& words, Context& context) {
    const auto ranks = behaviour::open_ranks();
    if (!ranks) {
        fail(context, ranks.errors());
        return;
    }
    const auto loaded = load_with_nets(words.on.folder, context);
    if (!loaded) {
        return;
    }
    const auto data = report::load_simulation_data(loaded->data);
    if (!data) {
        fail(context, data.errors());
        return;
    }
    LongWork work(context);
    const auto campaign =
        behaviour::run_faults(circuit::build(loaded->dossier, loaded->data.catalogue),
                              loaded->dossier,
                              data->types,
                              *data->tables,
                              campaign_options(words, ranks->get(), work));
    work.clear();
    if (!campaign) {
        fail(context, campaign.errors());
        return;
    }
    context.status = in_order(*campaign) ? done : not_in_order;
    if (!speaks(ranks->get())) {
        return;
    }
    if (words.on.json) {
        context.out << json_text(*campaign);
    } else {
        print(*campaign, loaded->dossier.item.name.value, context.out);
    }
    const int all = static_cast<int>(campaign->runs.size());
    if (campaign->done < all) {
        tell_how_to_go_on("faults", words, campaign->done, all, context);
    }
}

}  // namespace

void add_faults(CLI::App& app, Context& context) {
    CLI::App* command = app.add_subcommand(
        "faults", "Every single fault, simulated at every supply: what it does to the item");
    const auto words = std::make_shared<CampaignWords>();
    add_campaign_options(*command, *words);
    command->footer(
        "Each part open, each part shorted, each pair of neighbouring pins bridged, at the lowest, "
        "the\n"
        "nominal and the highest supply. Ctrl-C ends it in good order; with --journal the same "
        "command\n"
        "goes on later. On several machines: mpirun -n N etchback faults DOSSIER.\n"
        "\n"
        "Examples:\n"
        "  etchback faults my-charger\n"
        "  etchback faults my-charger --threads 8 --journal faults.journal --json > faults.json");
    command->callback([words, &context] { run_campaign(*words, context); });
}

}  // namespace etchback::cli
