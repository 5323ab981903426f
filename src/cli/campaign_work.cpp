#include "cli/campaign_work.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <ostream>

namespace etchback::cli {

void add_campaign_options(CLI::App& command, CampaignWords& words) {
    add_dossier_argument(command, words.on);
    command
        .add_option("--threads", words.threads, "threads to work on; as many as there are cores")
        ->check(CLI::Range(1, 4096).description(""))
        ->type_name("N");
    command
        .add_option("--journal",
                    words.journal,
                    "keep what is done in this file; a broken campaign goes on from it")
        ->type_name("FILE");
}

behaviour::CampaignOptions campaign_options(const CampaignWords& words,
                                            behaviour::Ranks* all_ranks,
                                            LongWork& work) {
    behaviour::CampaignOptions options;
    options.threads = words.threads;
    if (!words.journal.empty()) {
        options.journal = words.journal;
    }
    options.ranks = all_ranks;
    options.interrupted = work.asked_to_end();
    options.progress = [&work](int done, int all) {
        work.show(fmt::format("{} of {} runs", done, all));
    };
    return options;
}

bool speaks(const behaviour::Ranks* all_ranks) {
    return all_ranks == nullptr || all_ranks->rank() == 0;
}

void tell_how_to_go_on(
    const std::string& command, const CampaignWords& words, int done, int all, Context& context) {
    context.err << fmt::format(
        "etchback {}: interrupted after {} of {} runs. ", command, done, all);
    if (words.journal.empty()) {
        context.err << "Nothing of them is kept; with --journal FILE a broken campaign goes on "
                       "where it ended.\n";
    } else {
        context.err << "They are kept in " << words.journal
                    << "; the same command goes on from there.\n";
    }
}

}  // namespace etchback::cli
