// What is read off a run: means, energies, extremes, harmonics, snapshots.
#include <algorithm>
#include <cmath>

#include "behaviour/detail/body.h"

namespace etchback::behaviour::detail {

namespace {

bool is_source(const Element& e) {
    return std::holds_alternative<VoltageSource>(e) || std::holds_alternative<CurrentSource>(e);
}

}  // namespace

double Body::stored_energy() {
    const Eigen::Map<const Vector> eta(here_.eta.data(), pattern_->modes.size());
    const Vector values = space_.stored(pattern_->modes.x_of(eta), pattern_->modes.s_of(eta));
    double energy = 0.0;
    const auto& branches = network().branches();
    for (std::size_t b = 0; b < branches.size(); ++b) {
        const double v = values[static_cast<Eigen::Index>(b)];
        if (const auto* c = std::get_if<Capacitance>(&branches[b].element)) {
            energy += 0.5 * c->farad * v * v;
        } else if (const auto* w = std::get_if<Winding>(&branches[b].element)) {
            energy += 0.5 * w->henry * v * v;
        }
    }
    for (const Coupling& c : network().couplings()) {
        energy += c.henry * values[c.first.index] * values[c.second.index];
    }
    return energy;
}

void Body::record(std::vector<ProbeId> probes, double start_s, double end_s) {
    recorder_.add_window(probes, std::max(ticks(start_s), now_), ticks(end_s));
}

void Body::envelope(std::vector<ProbeId> probes, double start_s, double end_s, int cells) {
    recorder_.add_envelope(probes, std::max(ticks(start_s), now_), ticks(end_s), cells);
}

void Body::measure(std::vector<ProbeId> probes) {
    if (!started_ && !begin()) {
        gave_up_ = true;
        return;
    }
    close_stay();
    ++epoch_;
    open_stay();
    epoch_start_ = now_;
    epoch_stored_ = stored_energy();
    measure_probes_.clear();
    for (const ProbeId p : probes) {
        measure_probes_.push_back(p.index);
    }
    ++measure_version_;
    measuring_ = true;
    least_.assign(probes.size(), std::numeric_limits<double>::infinity());
    largest_.assign(probes.size(), -std::numeric_limits<double>::infinity());
    logbook_.reset_counts();
    if (spectrum_) {
        spectrum_->reset();
    }
}

void Body::harmonics(ProbeId probe, double base_hz, int orders) {
    spectrum_.emplace(probe.index, base_hz, orders);
}

const Recorder& Body::recorder() {
    if (pattern_ != nullptr) {
        close_stay();
        open_stay();
    }
    return recorder_;
}

std::vector<Simulation::Harmonic> Body::harmonics() {
    if (!spectrum_) {
        return {};
    }
    close_stay();
    open_stay();
    return spectrum_->harmonics();
}

Measured Body::measured() {
    Measured m;
    if (pattern_ == nullptr) {
        return m;
    }
    close_stay();
    m.start_s = seconds(epoch_start_);
    m.end_s = now_s();
    const double span = std::max(m.span_s(), 1e-300);
    const auto& branches = network().branches();
    const std::size_t nb = branches.size();
    m.mean.assign(measure_probes_.size(), 0.0);
    m.rms.assign(measure_probes_.size(), 0.0);
    m.branch_joule.assign(nb, 0.0);
    m.branch_rms_a.assign(nb, 0.0);
    m.branch_mean_a.assign(nb, 0.0);
    for (Pattern* p : cache_.all()) {
        if (p->moments_epoch != epoch_ || p->moments.span_s() <= 0.0) {
            continue;
        }
        const bool ill = p->ill();
        const Matrix w = ill ? p->plain : p->moments.integral(p->modes);
        const Vector one = w.col(ill ? space_.states() : p->modes.source_at[0]);
        const auto row_of = [&](const StateSpace::Row& r) {
            RowVector row = ill ? RowVector(w.cols()) : p->modes.row(r.x, r.s);
            if (ill) {
                row << r.x, r.s;
            }
            return row;
        };
        for (std::size_t i = 0; i < measure_probes_.size(); ++i) {
            const RowVector row = row_of(
                space_.probe(p->equations,
                             p->key,
                             network().probes()[static_cast<std::size_t>(measure_probes_[i])]));
            m.mean[i] += row.dot(one);
            m.rms[i] += row * w * row.transpose();
        }
        for (std::size_t b = 0; b < nb; ++b) {
            const auto amps = space_.branch_amps(p->equations, p->key, static_cast<int>(b));
            const RowVector i = row_of(amps);
            const RowVector iw = i * w;
            const double square = iw.dot(i);
            m.branch_mean_a[b] += i.dot(one);
            m.branch_rms_a[b] += square;
            if (std::holds_alternative<Capacitance>(branches[b].element)) {
                continue;
            }
            if (const auto* winding = std::get_if<Winding>(&branches[b].element)) {
                m.branch_joule[b] += winding->ohm * square;
                continue;
            }
            const auto volts = space_.branch_volts(p->equations, static_cast<int>(b));
            m.branch_joule[b] += iw.dot(row_of(volts));
        }
    }
    const auto root = [&](double& x) { x = std::sqrt(std::max(x / span, 0.0)); };
    for (std::size_t i = 0; i < m.mean.size(); ++i) {
        m.mean[i] /= span;
        root(m.rms[i]);
    }
    for (std::size_t b = 0; b < nb; ++b) {
        m.branch_mean_a[b] /= span;
        root(m.branch_rms_a[b]);
    }
    m.least = least_;
    m.largest = largest_;
    open_stay();
    return m;
}

Ledger Body::ledger() {
    Ledger l;
    if (pattern_ == nullptr) {
        return l;
    }
    const Measured m = measured();
    const auto& branches = network().branches();
    for (std::size_t b = 0; b < branches.size(); ++b) {
        // A source that is charged is a load.
        const double joule = m.branch_joule[b];
        if (is_source(branches[b].element) && joule < 0.0) {
            l.delivered_j -= joule;
        } else {
            l.absorbed_j += joule;
        }
    }
    l.stored_change_j = stored_energy() - epoch_stored_;
    // A circuit that only swings has no throughput; then what it holds is the measure.
    l.throughput_j = std::max({std::abs(l.delivered_j),
                               std::abs(l.absorbed_j),
                               std::abs(l.stored_change_j),
                               1e-6 * std::max(most_stored_, epoch_stored_),
                               1e-18});
    l.worst_kirchhoff_a = worst_kirchhoff_;
    l.worst_node = network().nodes()[static_cast<std::size_t>(worst_node_)];
    return l;
}

std::vector<double> Body::stored() {
    if (!started_ && !begin()) {
        gave_up_ = true;
    }
    if (pattern_ == nullptr) {
        return {};
    }
    const Eigen::Map<const Vector> eta(here_.eta.data(), pattern_->modes.size());
    const Vector values = space_.stored(pattern_->modes.x_of(eta), pattern_->modes.s_of(eta));
    return {values.data(), values.data() + values.size()};
}

void Body::set_stored(const std::vector<double>& values) {
    if ((!started_ && !begin()) || pattern_ == nullptr) {
        gave_up_ = true;
        return;
    }
    const Eigen::Map<const Vector> eta(here_.eta.data(), pattern_->modes.size());
    const Vector s = pattern_->modes.s_of(eta);
    const Vector x = space_.state_of(
        Eigen::Map<const Vector>(values.data(), static_cast<Eigen::Index>(values.size())), s);
    PatternKey key = key_;
    close_stay();
    if (!agree(key, x, s) || !enter(key, x, s)) {
        gave_up_ = true;
        return;
    }
    // What was measured before belongs to another state.
    measure({});
    measuring_ = false;
}

std::shared_ptr<const Snapshot> Body::snapshot() {
    if (!started_ && !begin()) {
        gave_up_ = true;
    }
    auto snap = std::make_shared<Snapshot>();
    if (pattern_ == nullptr) {
        return snap;
    }
    const Eigen::Map<const Vector> eta(here_.eta.data(), pattern_->modes.size());
    snap->now = now_;
    snap->key = key_;
    snap->x = pattern_->modes.x_of(eta);
    snap->s = pattern_->modes.s_of(eta);
    snap->logbook = logbook_;
    for (const Player& p : players_) {
        snap->players.push_back({p.machine->clone(), p.watches, p.timers});
    }
    return snap;
}

void Body::restore(const Snapshot& snap) {
    if (snap.key.empty() && snap.x.size() == 0) {
        return;
    }
    close_stay();
    cache_.forget_habits();
    now_ = snap.now;
    crowd_since_ = now_;
    crowd_ = 0;
    flipped_at_.assign(static_cast<std::size_t>(curves_), -1);
    gave_up_ = false;
    trouble_.clear();
    started_ = true;
    logbook_ = snap.logbook;
    players_.clear();
    live_stale_ = true;
    for (const Player& p : snap.players) {
        players_.push_back({p.machine->clone(), p.watches, p.timers});
    }
    Vector s = snap.s;
    sources_at(s);
    if (!enter(snap.key, snap.x, s)) {
        gave_up_ = true;
        return;
    }
    measure({});
    measuring_ = false;
}

Effort Body::effort() const {
    Effort e;
    e.events = events_;
    e.steps = steps_;
    e.patterns = static_cast<std::int64_t>(cache_.size());
    e.states = space_.states();
    e.worst_condition = cache_.worst_condition();
    e.note = space_.note();
    return e;
}

const std::vector<StoryLine>& Body::story() {
    story_ = logbook_.story();
    return story_;
}

}  // namespace etchback::behaviour::detail
