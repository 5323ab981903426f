// What a campaign is made from: the corners of the supply, and the fingerprint of its inputs.
#pragma once

#include <vector>

#include "behaviour/detail/campaign_bench.h"
#include "behaviour/detail/campaign_jobs.h"

namespace etchback::behaviour::detail {

// The lowest, the nominal and the highest supply, each once.
std::vector<Corner> corners_of(const dossier::Dossier& dossier, const Model& nominal);

// Everything that a result can depend on, as a text: the dossier, the network that the models made
// of it with all its numbers, the families of controllers, and `kind` (the campaign and its own
// settings). A journal of another text is of no use.
std::string inputs_of(const std::string& kind, const Subject& subject, const Model& nominal);

JobOptions job_options(const CampaignOptions& options,
                       const std::string& kind,
                       const Subject& subject,
                       const Model& nominal);

}  // namespace etchback::behaviour::detail
