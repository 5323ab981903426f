// One scenario on one model, from its beginning to its outcome.
#pragma once

#include <memory>

#include "behaviour/detail/net_figures.h"
#include "behaviour/detail/plots_record.h"
#include "behaviour/detail/scenario_deeds.h"
#include "behaviour/detail/scenario_settle.h"
#include "behaviour/scenario.h"

namespace etchback::behaviour::detail {

class ScenarioRun {
public:
    // `plan` is the one that the simulation's deed machine looks at, and holds the scenario's acts.
    ScenarioRun(Simulation& simulation,
                const Model& model,
                const Scenario& scenario,
                std::shared_ptr<DeedPlan> plan,
                const OutcomeOptions& options,
                std::vector<NetProbes> nets = {});

    Outcome outcome();

    // The longest that a run settles before a scenario that begins in the steady state.
    static constexpr double longest_settling_s = 1.5;

private:
    void run();
    bool settle_until(double until_s);
    void last_stretch(double end_s);
    void record_switching(double end_s, const std::vector<Simulation::Count>& counts);
    double crest_s(double end_s) const;
    void tell(Outcome& outcome) const;
    void add_start(std::vector<FigureRow>& figures) const;
    void add_crest_frequency(std::vector<FigureRow>& figures) const;
    void add_controller_start(Outcome& outcome) const;

    Simulation& simulation_;
    const Model& model_;
    const Scenario& scenario_;
    std::shared_ptr<DeedPlan> plan_;
    const OutcomeOptions& options_;
    std::vector<NetProbes> nets_;  // to be told of; empty: not asked for
    StretchedRun stretches_;
    PlotRecorder recorder_;
    double period_s_;
    double phase_rad_;
    Ending ending_ = Ending::reached;
    bool measured_ = false;  // the last stretch was run to its end
    Settling settling_;
};

// The whole of it: adds the machines that act and watch, simulates, and sums up.
base::Result<Outcome> run_on(Model model, const Scenario& scenario, const OutcomeOptions& options);

// Why a run is not to be relied on, as sentences.
base::Errors trouble_of(const Simulation& simulation, Ending ending, const Ledger& ledger);
// Adds a sentence where an RMS figure came out below its mean.
void doubt_rms_values(Outcome& outcome);

}  // namespace etchback::behaviour::detail
