#include "report/behaviour_run.h"

#include <algorithm>
#include <atomic>
#include <mutex>
#include <numeric>

#include "base/file.h"
#include "base/side_by_side.h"
#include "report/net_voltages.h"

namespace etchback::report {
namespace {

using behaviour::Scenario;

// The longest scenario of the examples asks some 2000 times, which is 20 seconds of one core.
constexpr int usual_patience = 2500;

// Enough to see how it starts, lives and fails; the others take as long again and show less.
constexpr const char* of_a_report[] = {"normal", "cold-start", "load-open", "output-short"};

const Scenario* find(const std::vector<Scenario>& all, std::string_view id) {
    const auto found = std::ranges::find(all, id, &Scenario::id);
    return found == all.end() ? nullptr : &*found;
}

// Those asked for, in that order; of a report also the dossier's own.
std::vector<Scenario> chosen(const std::vector<Scenario>& all,
                             const std::vector<std::string>& wanted,
                             const dossier::Dossier& dossier) {
    std::vector<std::string> ids = wanted;
    if (ids.empty()) {
        ids.assign(std::begin(of_a_report), std::end(of_a_report));
        for (const dossier::Scenario& own : dossier.scenarios) {
            if (std::ranges::find(ids, own.id.value) == ids.end()) {
                ids.push_back(own.id.value);
            }
        }
    }
    std::vector<Scenario> scenarios;
    for (const std::string& id : ids) {
        if (const Scenario* scenario = find(all, id)) {
            scenarios.push_back(*scenario);
        }
    }
    return scenarios;
}

// Shares of the scenarios, gathered from their threads.
class Progress {
public:
    Progress(const std::vector<Scenario>& scenarios,
             const std::function<void(const Scenario&, double)>& told)
        : scenarios_(scenarios), told_(told), shares_(scenarios.size(), 0.0) {}

    void tell(std::size_t scenario, double share) {
        if (!told_) {
            return;
        }
        const std::lock_guard guard(mutex_);
        shares_[scenario] = share;
        const double sum = std::accumulate(shares_.begin(), shares_.end(), 0.0);
        told_(scenarios_[scenario], sum / static_cast<double>(shares_.size()));
    }

private:
    const std::vector<Scenario>& scenarios_;
    const std::function<void(const Scenario&, double)>& told_;
    std::vector<double> shares_;
    std::mutex mutex_;
};

base::Error too_long(const Scenario& scenario) {
    return {{},
            "the scenario '" + scenario.id + "' takes more steps than a report waits for",
            "etchback simulate DOSSIER --scenario " + scenario.id + " shows it"};
}

// The same reason for every scenario is one reason.
void add_reasons(base::Errors& all, const base::Errors& more) {
    for (const base::Error& error : more) {
        if (std::ranges::find(all, error) == all.end()) {
            all.push_back(error);
        }
    }
}

}  // namespace

base::Result<SimulationData> load_simulation_data(const Data& data) {
    auto types = parts::load_types(data.folder / "parts" / "types.toml", data.catalogue);
    auto tables = behaviour::load_tables(data.folder);
    auto scenarios = behaviour::load_scenarios(data.folder / "behaviour" / "scenarios.toml");
    base::Errors errors;
    const auto note = [&](const auto& result) {
        if (!result) {
            errors.insert(errors.end(), result.errors().begin(), result.errors().end());
        }
    };
    note(types);
    note(tables);
    note(scenarios);
    if (!errors.empty()) {
        return errors;
    }
    return SimulationData{*std::move(types), *std::move(tables), *std::move(scenarios)};
}

Behaviour simulate(const circuit::Circuit& circuit,
                   const dossier::Dossier& dossier,
                   const SimulationData& data,
                   const SimulateOptions& options) {
    const std::vector<Scenario> scenarios =
        chosen(behaviour::scenarios_for(data.scenarios, dossier), options.scenarios, dossier);
    behaviour::ModelOptions model;
    model.supply_v_rms = options.supply_v_rms;
    Progress progress(scenarios, options.progress);
    std::vector<std::optional<base::Result<behaviour::Outcome>>> slots(scenarios.size());
    base::side_by_side(
        scenarios.size(),
        [&](std::size_t i) {
            int asked = 0;
            behaviour::OutcomeOptions how;
            how.interrupted = [&options, &asked] {
                return (options.interrupted && options.interrupted()) ||
                       (options.patience > 0 && ++asked > options.patience);
            };
            how.nets = scenarios[i].id == options.nets_of;
            how.progress = [&progress, i](double share) { progress.tell(i, share); };
            if (!options.interrupted || !options.interrupted()) {
                slots[i] = behaviour::run_scenario(
                    circuit, dossier, data.types, *data.tables, scenarios[i], model, how);
                if (options.patience > 0 && asked > options.patience) {
                    slots[i] = too_long(scenarios[i]);
                }
            }
        },
        static_cast<std::size_t>(std::max(0, options.threads)));
    Behaviour result;
    for (auto& slot : slots) {
        if (slot && *slot) {
            result.outcomes.push_back(**std::move(slot));
        } else if (slot) {
            add_reasons(result.why_not, slot->errors());
        }
    }
    return result;
}

Behaviour simulate(const Study& study, const Data& data, const SimulateOptions& options) {
    try {
        const auto tables = load_simulation_data(data);
        if (!tables) {
            return {.outcomes = {}, .why_not = tables.errors()};
        }
        SimulateOptions patient = options;
        patient.patience = options.patience > 0 ? options.patience : usual_patience;
        patient.nets_of = study.sheet_words.voltages ? scenario_of_voltages : "";
        return simulate(study.circuit, study.dossier, *tables, patient);
    } catch (const base::FileError& error) {
        return {.outcomes = {}, .why_not = {{{}, error.what(), "install the data folder anew"}}};
    }
}

std::vector<std::string> unknown_scenarios(const std::vector<std::string>& wanted,
                                           const dossier::Dossier& dossier,
                                           const SimulationData& data) {
    const std::vector<Scenario> all = behaviour::scenarios_for(data.scenarios, dossier);
    std::vector<std::string> unknown;
    for (const std::string& id : wanted) {
        if (find(all, id) == nullptr) {
            unknown.push_back(id);
        }
    }
    return unknown;
}

}  // namespace etchback::report
