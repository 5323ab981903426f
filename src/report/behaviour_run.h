// Simulating what the report shows of behaviour.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "report/study.h"

namespace etchback::report {

// What the simulation needs besides the dossier, read once.
struct SimulationData {
    std::vector<parts::RegisteredType> types;
    std::shared_ptr<const behaviour::Tables> tables;
    std::vector<behaviour::Scenario> scenarios;  // the usual ones
};
base::Result<SimulationData> load_simulation_data(const Data& data);

struct SimulateOptions {
    std::vector<std::string> scenarios;  // ids; empty: those of a report
    std::optional<double> supply_v_rms;  // instead of the dossier's
    std::function<bool()> interrupted = {};
    // Told now and then: which scenario, and how much of it is done.
    std::function<void(const behaviour::Scenario&, double share)> progress = {};
};

// Runs scenarios one after the other. One that can't be run leaves its reasons in `why_not`. Ids
// must be known: see unknown_scenarios.
Behaviour simulate(const circuit::Circuit& circuit,
                   const dossier::Dossier& dossier,
                   const SimulationData& data,
                   const SimulateOptions& options = {});

// The same for a study, tables and all: what a report calls. Never fails: where tables can't be
// read, `why_not` says so.
Behaviour simulate(const Study& study, const Data& data, const SimulateOptions& options = {});

// Ids of `wanted` that neither the tables nor the dossier have.
std::vector<std::string> unknown_scenarios(const std::vector<std::string>& wanted,
                                           const dossier::Dossier& dossier,
                                           const SimulationData& data);

}  // namespace etchback::report
