// The hand that does what a scenario or a campaign asks for: it opens and shorts loads, scales the
// supply, puts faults in. To the engine it is one more machine.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "behaviour/machine.h"
#include "behaviour/models.h"
#include "behaviour/scenario.h"

namespace etchback::behaviour::detail {

// Something done at once. Told in the story where it has a text.
struct Act {
    double at_s = 0.0;  // after the beginning of the plan
    std::vector<std::pair<SwitchId, bool>> switches;
    std::vector<std::pair<KnobId, double>> knobs;
    std::string key, text;
};

// What is to be done, handed over while the simulation stands still. It is the machine's and all
// its clones' in common; each notices it at its next look, a moment after the turn of a period.
struct DeedPlan {
    std::optional<double> begin_s;
    std::vector<Act> acts;
};

// `period_s` is how often it looks for a plan. A plan that has begun before the first instant is
// carried out without looking.
std::unique_ptr<Machine> make_deed_machine(std::shared_ptr<const DeedPlan> plan, double period_s);

// An act of a running plan is done at the earliest this much after the plan's beginning.
double first_act_s(double period_s);

// The acts of a scenario on a model. Fails where a deed names a load that there is none of, or the
// circuit has no load or no supply to act on.
base::Result<std::vector<Act>> acts_of(const Scenario& scenario, const Model& model);

}  // namespace etchback::behaviour::detail
