// Every single fault at every corner of the supply.
#include <fmt/format.h>

#include <numbers>

#include "behaviour/campaign.h"
#include "behaviour/detail/campaign_bench.h"
#include "behaviour/detail/campaign_inputs.h"
#include "behaviour/detail/campaign_jobs.h"
#include "behaviour/detail/campaign_json.h"

namespace etchback::behaviour {

namespace {

using detail::Corner;
using detail::Subject;

// Faults that share a settled circuit. More would spare settling, fewer keep the circuit small
// (each sleeping fault is a switch in it) and the threads evenly busy to the end.
constexpr std::size_t faults_at_a_time = 12;

struct Plan {
    std::vector<std::vector<Fault>> groups;
    std::vector<Corner> corners;
    std::vector<Fault> faults;

    // A run's number: by fault, then by corner.
    std::size_t runs() const { return faults.size() * corners.size(); }
};

std::vector<detail::Job> jobs_of(const Plan& plan) {
    std::vector<detail::Job> jobs;
    const auto corners = static_cast<int>(plan.corners.size());
    int first = 0;
    for (const auto& group : plan.groups) {
        for (int corner = 0; corner < corners; ++corner) {
            detail::Job job;
            for (int i = 0; i < static_cast<int>(group.size()); ++i) {
                job.push_back((first + i) * corners + corner);
            }
            jobs.push_back(std::move(job));
        }
        first += static_cast<int>(group.size());
    }
    return jobs;
}

void do_job(const detail::Job& job,
            const detail::Emit& emit,
            const detail::Interrupted& interrupted,
            const Subject& subject,
            const Plan& plan) {
    const std::size_t corners = plan.corners.size();
    const auto first = static_cast<std::size_t>(job.front()) / corners;
    const std::size_t group = first / faults_at_a_time;
    // The whole group is built in even where part of it is done: the circuit must be the same.
    detail::FaultBench bench(subject,
                             plan.corners[static_cast<std::size_t>(job.front()) % corners],
                             plan.groups[group],
                             interrupted);
    for (const int run : job) {
        const std::size_t fault = static_cast<std::size_t>(run) / corners;
        const auto result = bench.run(fault - group * faults_at_a_time);
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
    for (std::size_t i = 0; i < plan.faults.size(); i += faults_at_a_time) {
        const auto end = std::min(plan.faults.size(), i + faults_at_a_time);
        plan.groups.emplace_back(plan.faults.begin() + static_cast<std::ptrdiff_t>(i),
                                 plan.faults.begin() + static_cast<std::ptrdiff_t>(end));
    }
    const detail::Work work = [&](const detail::Job& job,
                                  const detail::Emit& emit,
                                  const detail::Interrupted& interrupted) {
        do_job(job, emit, interrupted, subject, plan);
    };
    const auto results = detail::run_jobs(
        jobs_of(plan), work, detail::job_options(options, "faults 1", subject, *healthy));
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
