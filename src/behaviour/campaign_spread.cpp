// All tolerances at once, sampled.
#include <fmt/format.h>

#include <algorithm>

#include "behaviour/campaign.h"
#include "behaviour/detail/campaign_inputs.h"
#include "behaviour/detail/campaign_json.h"
#include "behaviour/detail/campaign_sampling.h"

namespace etchback::behaviour {

namespace {

using detail::SampleRun;
using detail::Subject;

// Settled use at the nominal supply: what a tolerance does to a figure is a matter of that.
Scenario scenario_of_samples() {
    Scenario scenario;
    scenario.id = "spread";
    scenario.title = "Normal use";
    scenario.span_s = 1.0;
    scenario.measure_s = 0.04;
    scenario.steady_at_end = true;
    return scenario;
}

// Those that have two ends, and of assumed ones only where they are asked for: the range of a guess
// is no tolerance. The supply is left as it is: its range is no tolerance of the item, and would
// hide what the parts do.
std::vector<Parameter> varied(const Model& nominal,
                              const circuit::Circuit& circuit,
                              bool assumed_too) {
    std::vector<Parameter> all;
    std::ranges::copy_if(
        nominal.parameters, std::back_inserter(all), [&](const Parameter& parameter) {
            const auto part = circuit.part(parameter.part);
            const bool supply = part && circuit[*part].kind.family == "source";
            return parameter.high > parameter.low && !supply && (assumed_too || !parameter.assumed);
        });
    return all;
}

// Sample 0 is the nominal circuit.
std::vector<double> values_of(const std::vector<Parameter>& parameters,
                              std::uint64_t seed,
                              int sample) {
    std::vector<double> values;
    for (std::size_t i = 0; i < parameters.size(); ++i) {
        const double share = detail::uniform(seed, static_cast<std::uint64_t>(sample), i);
        values.push_back(sample == 0 ? parameters[i].nominal
                                     : detail::sampled(parameters[i], share));
    }
    return values;
}

// Nothing where it was interrupted.
std::optional<SampleRun> run_sample(const Subject& subject,
                                    const std::vector<Parameter>& parameters,
                                    const std::vector<double>& values,
                                    const detail::Interrupted& interrupted) {
    ModelOptions how;
    for (std::size_t i = 0; i < parameters.size(); ++i) {
        how.values[parameters[i].part + "." + parameters[i].name] = values[i];
    }
    OutcomeOptions what;
    what.plots = false;
    what.stress = false;
    what.interrupted = interrupted;
    const auto outcome = run_scenario(subject.circuit,
                                      subject.dossier,
                                      subject.types,
                                      subject.tables,
                                      scenario_of_samples(),
                                      how,
                                      what);
    if (outcome && outcome->ending == Ending::interrupted) {
        return std::nullopt;
    }
    SampleRun run;
    run.failed = !outcome || outcome->ending != Ending::reached || !outcome->ledger.in_order();
    if (!run.failed) {
        std::ranges::copy_if(
            outcome->figures, std::back_inserter(run.figures), [](const FigureRow& row) {
                return !row.id.starts_with("dissipation.");
            });
    }
    return run;
}

SpreadFigure figure_of(const FigureRow& nominal,
                       const std::vector<Parameter>& parameters,
                       const std::vector<std::vector<double>>& values,
                       const std::vector<double>& figure) {
    SpreadFigure spread;
    spread.nominal = nominal;
    if (figure.empty()) {
        return spread;
    }
    std::vector<double> sorted = figure;
    std::ranges::sort(sorted);
    spread.p05 = detail::quantile(sorted, 0.05);
    spread.p50 = detail::quantile(sorted, 0.50);
    spread.p95 = detail::quantile(sorted, 0.95);
    spread.least = sorted.front();
    spread.largest = sorted.back();
    for (const auto& [column, share] : detail::variance_shares(values, figure)) {
        const Parameter& parameter = parameters[static_cast<std::size_t>(column)];
        spread.shares.push_back({parameter.part + "." + parameter.name, share});
    }
    return spread;
}

// Of each figure of the nominal circuit, what became of it in the samples that have it.
SpreadCampaign summed(const std::vector<Parameter>& parameters,
                      const std::vector<std::optional<SampleRun>>& runs,
                      std::uint64_t seed) {
    SpreadCampaign campaign;
    campaign.seed = seed;
    for (std::size_t i = 1; i < runs.size(); ++i) {
        campaign.samples += runs[i] ? 1 : 0;
        campaign.failed += runs[i] && runs[i]->failed ? 1 : 0;
    }
    if (runs.empty() || !runs.front()) {
        return campaign;
    }
    for (const FigureRow& nominal : runs.front()->figures) {
        std::vector<std::vector<double>> values;
        std::vector<double> figure;
        for (std::size_t i = 1; i < runs.size(); ++i) {
            if (!runs[i]) {
                continue;
            }
            const auto found = std::ranges::find(runs[i]->figures, nominal.id, &FigureRow::id);
            if (found != runs[i]->figures.end()) {
                values.push_back(values_of(parameters, seed, static_cast<int>(i)));
                figure.push_back(found->value);
            }
        }
        campaign.figures.push_back(figure_of(nominal, parameters, values, figure));
    }
    return campaign;
}

}  // namespace

base::Result<SpreadCampaign> run_spread(const circuit::Circuit& circuit,
                                        const dossier::Dossier& dossier,
                                        const std::vector<parts::RegisteredType>& types,
                                        const Tables& tables,
                                        const SpreadOptions& spread,
                                        const CampaignOptions& options) {
    const Subject subject{circuit, dossier, types, tables};
    const auto nominal = model_of(circuit, dossier, types, tables);
    if (!nominal) {
        return nominal.errors();
    }
    const std::vector<Parameter> parameters = varied(*nominal, circuit, spread.assumed);
    std::vector<detail::Job> jobs;
    for (int sample = 0; sample <= spread.samples; ++sample) {
        jobs.push_back({sample});
    }
    const detail::Work work = [&](const detail::Job& job,
                                  const detail::Emit& emit,
                                  const detail::Interrupted& interrupted) {
        for (const int sample : job) {
            const auto run = run_sample(
                subject, parameters, values_of(parameters, spread.seed, sample), interrupted);
            if (run) {
                emit(sample, detail::json_of(*run));
            }
        }
    };
    // A sample depends on the seed and its number alone, so that a longer campaign goes on from a
    // shorter one's journal.
    const auto results = detail::run_jobs(
        jobs,
        work,
        detail::job_options(
            options,
            fmt::format("spread 2, seed {}{}", spread.seed, spread.assumed ? ", assumed" : ""),
            subject,
            *nominal));
    std::vector<std::optional<SampleRun>> runs;
    for (const auto& result : results) {
        runs.push_back(result ? detail::sample_run_in(*result) : std::nullopt);
    }
    return summed(parameters, runs, spread.seed);
}

}  // namespace etchback::behaviour
