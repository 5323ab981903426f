// Many runs of one circuit: each single fault, or tolerances sampled.
//
// Runs are independent and numbered; each result is written to its own slot and summed in order,
// so the outcome is the same to the byte whatever the number of threads or ranks, and every rank
// returns all of it. What is done is kept in a journal file, and a broken campaign goes on from it.
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "behaviour/ranks.h"
#include "behaviour/scenario.h"

namespace etchback::behaviour {

struct CampaignOptions {
    int threads = 0;                                    // 0: as many as the machine has
    std::optional<std::filesystem::path> journal = {};  // read on start, appended after each run
    Ranks* ranks = nullptr;  // processes that share the work; none: this one does all
    std::function<bool()> interrupted = {};
    std::function<void(int done, int all)> progress = {};
};

struct FaultRun {
    Fault fault;
    std::string corner;  // "198 V", "231 V", "264 V"
    std::string
        verdict;  // "no change", "output lost", "restarts", "over-stress", "supply shorted", "does not start" ...
    std::string words;  // a sentence
    std::vector<StressRow> exceeded;
    std::vector<FigureRow> figures;
    std::vector<StoryLine> story;
    bool ledger_in_order = true;
    bool operator==(const FaultRun&) const = default;
};
struct FaultCampaign {
    std::vector<FaultRun> runs;  // by fault, then by corner
    int done = 0;                // less than runs where it was interrupted
};
base::Result<FaultCampaign> run_faults(const circuit::Circuit& circuit,
                                       const dossier::Dossier& dossier,
                                       const std::vector<parts::RegisteredType>& types,
                                       const Tables& tables,
                                       const CampaignOptions& options = {});

struct SpreadOptions {
    int samples = 100;
    std::uint64_t seed = 1;
    // Also what the dossier does not give, within its usual range: how little is known then.
    bool assumed = false;
};
struct SpreadFigure {
    FigureRow nominal;
    double p05 = 0.0, p50 = 0.0, p95 = 0.0, least = 0.0, largest = 0.0;
    struct Share {
        std::string parameter;  // "R9.value"
        double of_variance = 0.0;
        bool operator==(const Share&) const = default;
    };
    std::vector<Share> shares;  // largest first
    bool operator==(const SpreadFigure&) const = default;
};
struct SpreadCampaign {
    std::vector<SpreadFigure> figures;
    int samples = 0, failed = 0;
    std::uint64_t seed = 1;
};
base::Result<SpreadCampaign> run_spread(const circuit::Circuit& circuit,
                                        const dossier::Dossier& dossier,
                                        const std::vector<parts::RegisteredType>& types,
                                        const Tables& tables,
                                        const SpreadOptions& spread,
                                        const CampaignOptions& options = {});

}  // namespace etchback::behaviour
