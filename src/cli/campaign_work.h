// What `faults` and `spread` share: many runs, on threads and ranks, kept in a journal.
#pragma once

#include <memory>
#include <string>

#include "behaviour/campaign.h"
#include "cli/command.h"
#include "cli/long_work.h"

namespace etchback::cli {

struct CampaignWords {
    OnDossier on;
    int threads = 0;
    std::string journal;
};
void add_campaign_options(CLI::App& command, CampaignWords& words);

// `all_ranks` is null where the program was started alone.
behaviour::CampaignOptions campaign_options(const CampaignWords& words,
                                            behaviour::Ranks* all_ranks,
                                            LongWork& work);

// Rank 0 speaks; the others work in silence.
bool speaks(const behaviour::Ranks* all_ranks);

// Says how to go on after an interruption, on standard error.
void tell_how_to_go_on(
    const std::string& command, const CampaignWords& words, int done, int all, Context& context);

}  // namespace etchback::cli
