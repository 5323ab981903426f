// A simulation that is measured stretch by stretch, with books over all of it.
#pragma once

#include <functional>
#include <vector>

#include "behaviour/models.h"
#include "behaviour/simulation.h"

namespace etchback::behaviour::detail {

// What figures are made of.
struct Stretch {
    Measured measured;
    std::vector<Simulation::Harmonic> current;  // of the supply's current; empty where not asked
    std::vector<Simulation::Count> counts;
    Ledger ledger;
};

class StretchedRun {
public:
    // What to measure: terminals and what is notable; limits that have a rating as well; or those
    // without one, too. More probes cost more time. The model must have given its network and
    // machines to `simulation`.
    enum class Measuring { outlines, ratings, everything };
    StretchedRun(Simulation& simulation,
                 const Model& model,
                 Measuring measuring = Measuring::everything);

    // Goes on to `to_s` and measures on the way. After an Ending other than `reached`, last() has
    // what was measured up to then. At `pause_s` the caller may look at what was counted so far
    // and ask for recordings.
    using Pause = std::function<void(const std::vector<Simulation::Count>&)>;
    Ending run_to(double to_s, double pause_s = 0.0, const Pause& pause = {});
    const Stretch& last() const { return last_; }

    // Over all stretches so far: extremes of probes, and the ledger.
    bool measures(ProbeId probe) const;
    double least(ProbeId probe) const { return least_[at(probe)]; }
    double largest(ProbeId probe) const { return largest_[at(probe)]; }
    const Ledger& ledger() const { return ledger_; }
    void forget();  // begins the books anew
    // From the next stretch on, harmonics of an alternating supply's current are taken, too. They
    // cost as much as all the rest.
    void want_harmonics();
    // From the next stretch on, these probes are measured, too.
    void want(const std::vector<ProbeId>& more);

    // Of the last stretch.
    double mean(ProbeId probe) const { return last_.measured.mean[at(probe)]; }
    double rms(ProbeId probe) const { return last_.measured.rms[at(probe)]; }
    double last_least(ProbeId probe) const { return last_.measured.least[at(probe)]; }
    double last_largest(ProbeId probe) const { return last_.measured.largest[at(probe)]; }
    // Mean power that an owner's branches take, watts.
    double power(OwnerId owner) const;

    Simulation& simulation() { return simulation_; }
    const Network& network() const { return simulation_.network(); }
    const std::vector<ProbeId>& probes() const { return probes_; }

private:
    std::size_t at(ProbeId probe) const;
    void book();

    Simulation& simulation_;
    const Model& model_;
    bool has_harmonics_ = false;
    std::vector<ProbeId> probes_;  // rising
    std::vector<double> least_, largest_;
    Stretch last_;
    Ledger ledger_;
};

// The ledger of two stretches in a row.
Ledger sum_of(const Ledger& a, const Ledger& b);

}  // namespace etchback::behaviour::detail
