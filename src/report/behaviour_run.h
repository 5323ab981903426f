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
    int threads = 0;                     // 0: as many as the machine has
    // How often the engine may ask whether to go on (every few thousand steps) before a scenario is
    // left out as too long, so that a report does not take minutes. 0: without end. A count, not a
    // time, so that the same dossier gives the same report on every machine.
    int patience = 0;
    std::string nets_of = {};  // voltages of all nets are measured in this scenario; empty: in none
    std::function<bool()> interrupted = {};
    // Told now and then, by any thread but by one at a time: what is being run, and how much of all
    // is done.
    std::function<void(const behaviour::Scenario&, double share)> progress = {};
};

// Runs scenarios, side by side on threads; the outcomes are in the scenarios' order and the same
// whatever the number of threads. One that can't be run leaves its reasons in `why_not`. Ids that
// are not known are passed over: see unknown_scenarios.
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
