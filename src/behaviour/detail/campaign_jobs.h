// Many runs on the threads of this process and of other ranks.
//
// Runs are numbered from 0; a job is a list of runs that share a preparation and are done one after
// the other by one thread. The results are texts, each in the slot of its number: who did which
// job, and when, leaves no trace in them.
#pragma once

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "behaviour/ranks.h"

namespace etchback::behaviour::detail {

using Job = std::vector<int>;  // numbers of runs

// Hands in the result of a run (JSON, on one line).
using Emit = std::function<void(int run, std::string result)>;
using Interrupted = std::function<bool()>;
// Does the runs of a job, on any thread. May leave runs out once it was interrupted.
using Work = std::function<void(const Job& job, const Emit& emit, const Interrupted& interrupted)>;

struct JobOptions {
    int threads = 0;  // 0: this process's share of the machine
    Ranks* ranks = nullptr;
    std::optional<std::filesystem::path> journal = {};
    std::string inputs = {};  // fingerprint of all that the results depend on
    std::function<bool()> interrupted = {};
    std::function<void(int done, int all)> progress = {};
};

// The result of every run, on every rank; nothing for those that an interruption left out. Runs in
// the journal are taken from there, and the rest of their job is still done as one job.
std::vector<std::optional<std::string>> run_jobs(const std::vector<Job>& jobs,
                                                 const Work& work,
                                                 const JobOptions& options);

}  // namespace etchback::behaviour::detail
