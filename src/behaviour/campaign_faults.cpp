// Every single fault at every corner of the supply.
#include <fmt/format.h>

#include <map>
#include <mutex>
#include <thread>

#include "behaviour/campaign.h"
#include "behaviour/detail/campaign_bench.h"
#include "behaviour/detail/campaign_inputs.h"
#include "behaviour/detail/campaign_jobs.h"
#include "behaviour/detail/campaign_json.h"

namespace etchback::behaviour {

namespace {

using detail::Corner;
using detail::Subject;

// Faults of one job: few, so that many threads and ranks are busy to the end.
constexpr std::size_t faults_at_a_time = 6;

struct Plan {
    std::vector<Corner> corners;
    std::vector<Fault> faults;
};

// A run's number: by fault, then by corner. Jobs go corner by corner, since a thread that goes on
// in a corner has its settled circuit at hand.
std::vector<detail::Job> jobs_of(const Plan& plan) {
    std::vector<detail::Job> jobs;
    const std::size_t corners = plan.corners.size();
    for (std::size_t corner = 0; corner < corners; ++corner) {
        for (std::size_t fault = 0; fault < plan.faults.size(); ++fault) {
            if (fault % faults_at_a_time == 0) {
                jobs.emplace_back();
            }
            jobs.back().push_back(static_cast<int>(fault * corners + corner));
        }
    }
    return jobs;
}

// The bench of each thread, with all faults asleep in it. What comes of a fault does not depend on
// what was tried before on the same bench: every run begins from the same snapshot.
class Benches {
public:
    Benches(const Subject& subject, const Plan& plan) : subject_(subject), plan_(plan) {}

    detail::FaultBench& of_this_thread(std::size_t corner, const detail::Interrupted& interrupted) {
        Own* own = nullptr;
        {
            const std::lock_guard lock(mutex_);
            own = &benches_[std::this_thread::get_id()];
        }
        if (!own->bench || own->corner != corner) {
            own->bench.reset();
            // Starting is hardest at the lowest supply.
            own->bench.emplace(
                subject_, plan_.corners[corner], plan_.faults, corner == 0, interrupted);
            own->corner = corner;
        }
        return *own->bench;
    }

private:
    struct Own {
        std::size_t corner = 0;
        std::optional<detail::FaultBench> bench;
    };
    const Subject& subject_;
    const Plan& plan_;
    std::mutex mutex_;
    std::map<std::thread::id, Own> benches_;
};

void do_job(const detail::Job& job,
            const detail::Emit& emit,
            const detail::Interrupted& interrupted,
            Benches& benches,
            std::size_t corners) {
    detail::FaultBench& bench =
        benches.of_this_thread(static_cast<std::size_t>(job.front()) % corners, interrupted);
    for (const int run : job) {
        const auto result = bench.run(static_cast<std::size_t>(run) / corners);
        if (!result) {
            return;
        }
        emit(run, detail::json_of(*result));
    }
}

}  // namespace

base::Result<FaultCampaign> run_faults(const circuit::Circuit& circuit,
                                       const dossier::Dossier& dossier,
                                       const std::vector<parts::RegisteredType>& types,
                                       const Tables& tables,
                                       const CampaignOptions& options) {
    const Subject subject{circuit, dossier, types, tables};
    const auto healthy = model_of(circuit, dossier, types, tables);
    if (!healthy) {
        return healthy.errors();
    }
    Plan plan;
    plan.corners = detail::corners_of(dossier, *healthy);
    plan.faults = single_faults(circuit);
    Benches benches(subject, plan);
    const detail::Work work = [&](const detail::Job& job,
                                  const detail::Emit& emit,
                                  const detail::Interrupted& interrupted) {
        do_job(job, emit, interrupted, benches, plan.corners.size());
    };
    const auto results = detail::run_jobs(
        jobs_of(plan), work, detail::job_options(options, "faults 3", subject, *healthy));
    FaultCampaign campaign;
    for (std::size_t run = 0; run < results.size(); ++run) {
        auto read = results[run] ? detail::fault_run_in(*results[run]) : std::nullopt;
        if (read) {
            ++campaign.done;
            campaign.runs.push_back(std::move(*read));
        } else {
            FaultRun missing;
            missing.fault = plan.faults[run / plan.corners.size()];
            missing.corner = plan.corners[run % plan.corners.size()].name;
            missing.verdict = "not run";
            missing.words = "The campaign was interrupted before.";
            campaign.runs.push_back(std::move(missing));
        }
    }
    return campaign;
}

}  // namespace etchback::behaviour
