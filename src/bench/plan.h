// What to do at the bench before and after power is applied, in order, for one dossier.
//
// The steps and cautions are common practice of the trade for a bare board on the mains. They
// replace no training and no rule: local codes and whoever holds the licence decide.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "dossier/dossier.h"

namespace etchback::bench {

struct PlanStep {
    std::string title;
    std::vector<std::string> doing;     // sentences
    std::vector<std::string> cautions;  // likewise
    std::vector<std::string> expected;  // "input power: 16.4 W (simulated)"
    std::string stop;                   // when not to go on; may be empty
};

// `simulated`: figures of the scenario "normal" by id, empty where it was not run.
struct SimulatedValue {
    double value = 0.0;
    base::Unit unit = base::Unit::none;
};
std::vector<PlanStep> bench_plan(const dossier::Dossier& dossier,
                                 const std::map<std::string, SimulatedValue>& simulated);

}  // namespace etchback::bench
