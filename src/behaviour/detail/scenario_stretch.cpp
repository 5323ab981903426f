#include "behaviour/detail/scenario_stretch.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

namespace etchback::behaviour::detail {

namespace {

constexpr int orders = 40;  // as meters and IEC 61000-3-2 count them

std::vector<ProbeId> probes_of(const Model& model, StretchedRun::Measuring measuring) {
    std::vector<ProbeId> probes = model.notable;
    const Terminals& ends = model.terminals;
    for (const auto& probe : {ends.mains_v, ends.mains_a}) {
        if (probe) {
            probes.push_back(*probe);
        }
    }
    for (const Terminals::Load& load : ends.loads) {
        probes.push_back(load.volts);
        probes.push_back(load.amps);
    }
    for (const Limit& limit : model.limits) {
        const bool wanted = measuring == StretchedRun::Measuring::everything ||
                            (measuring == StretchedRun::Measuring::ratings && limit.rating);
        if (limit.probe && wanted) {
            probes.push_back(*limit.probe);
        }
    }
    std::ranges::sort(probes);
    const auto rest = std::ranges::unique(probes);
    probes.erase(rest.begin(), rest.end());
    return probes;
}

}  // namespace

StretchedRun::StretchedRun(Simulation& simulation, const Model& model, Measuring measuring)
    : simulation_(simulation), model_(model), probes_(probes_of(model, measuring)) {
    forget();
}

void StretchedRun::want_harmonics() {
    const Terminals& ends = model_.terminals;
    if (ends.mains_a && ends.mains_hz > 0.0) {
        simulation_.harmonics(*ends.mains_a, ends.mains_hz, orders);
        has_harmonics_ = true;
    }
}

void StretchedRun::want(const std::vector<ProbeId>& more) {
    for (const ProbeId probe : more) {
        const auto place = std::ranges::lower_bound(probes_, probe);
        if (place != probes_.end() && *place == probe) {
            continue;
        }
        const auto index = place - probes_.begin();
        probes_.insert(place, probe);
        least_.insert(least_.begin() + index, std::numeric_limits<double>::infinity());
        largest_.insert(largest_.begin() + index, -std::numeric_limits<double>::infinity());
    }
}

void StretchedRun::forget() {
    least_.assign(probes_.size(), std::numeric_limits<double>::infinity());
    largest_.assign(probes_.size(), -std::numeric_limits<double>::infinity());
    ledger_ = {};
}

Ending StretchedRun::run_to(double to_s, double pause_s, const Pause& pause) {
    simulation_.measure(probes_);
    Ending ending = Ending::reached;
    if (pause) {
        ending = simulation_.run_to(pause_s);
        pause(simulation_.counts());
    }
    if (ending == Ending::reached) {
        ending = simulation_.run_to(to_s);
    }
    book();
    return ending;
}

void StretchedRun::book() {
    last_.measured = simulation_.measured();
    last_.counts = simulation_.counts();
    last_.ledger = simulation_.ledger();
    last_.current = has_harmonics_ ? simulation_.harmonics() : std::vector<Simulation::Harmonic>();
    for (std::size_t i = 0; i < probes_.size(); ++i) {
        least_[i] = std::min(least_[i], last_.measured.least[i]);
        largest_[i] = std::max(largest_[i], last_.measured.largest[i]);
    }
    ledger_ = sum_of(ledger_, last_.ledger);
}

bool StretchedRun::measures(ProbeId probe) const {
    return std::ranges::binary_search(probes_, probe);
}

std::size_t StretchedRun::at(ProbeId probe) const {
    const auto found = std::ranges::lower_bound(probes_, probe);
    assert(found != probes_.end() && *found == probe);
    return static_cast<std::size_t>(found - probes_.begin());
}

double StretchedRun::power(OwnerId owner) const {
    double joule = 0.0;
    const auto& branches = simulation_.network().branches();
    for (std::size_t i = 0; i < branches.size(); ++i) {
        if (branches[i].owner == owner) {
            joule += last_.measured.branch_joule[i];
        }
    }
    const double span_s = last_.measured.span_s();
    return span_s > 0.0 ? joule / span_s : 0.0;
}

Ledger sum_of(const Ledger& a, const Ledger& b) {
    Ledger sum = a.worst_kirchhoff_a >= b.worst_kirchhoff_a ? a : b;
    sum.delivered_j = a.delivered_j + b.delivered_j;
    sum.absorbed_j = a.absorbed_j + b.absorbed_j;
    sum.stored_change_j = a.stored_change_j + b.stored_change_j;
    sum.throughput_j = a.throughput_j + b.throughput_j;
    return sum;
}

}  // namespace etchback::behaviour::detail
