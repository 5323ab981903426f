// What happens at an instant: segments left, watches, timers, machines at work.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "behaviour/detail/body.h"

namespace etchback::behaviour::detail {

namespace {

constexpr int kTogetherRounds = 25;  // all strays at once; then the first stray alone
constexpr int kOneByOneRounds = 4000;
// So many events within a nanosecond are chatter.
constexpr int kCrowd = 2000;
constexpr Ticks kNanosecond = 1100;

double table_value(const Table& t, double at) {
    const auto after = std::upper_bound(t.t_s.begin(), t.t_s.end(), at);
    if (after == t.t_s.begin()) {
        return t.value.front();
    }
    const auto i = static_cast<std::size_t>(after - t.t_s.begin());
    if (after == t.t_s.end()) {
        return t.value.back();
    }
    const double share = (at - t.t_s[i - 1]) / (t.t_s[i] - t.t_s[i - 1]);
    return t.value[i - 1] + share * (t.value[i] - t.value[i - 1]);
}

struct TableState {
    double value = 0.0, slope = 0.0;
    Ticks next = std::numeric_limits<Ticks>::max();
};

// Value and slope from this instant on, and the next break.
TableState table_state(const Table& t, Ticks now) {
    const double half_tick = std::ldexp(0.5, -kTickBits);
    double at = seconds(now), base = 0.0;
    if (t.period_s) {
        base = std::floor((at + half_tick) / *t.period_s) * *t.period_s;
        at -= base;
    }
    TableState s;
    const auto after = std::upper_bound(t.t_s.begin(), t.t_s.end(), at + half_tick);
    const auto i = static_cast<std::size_t>(after - t.t_s.begin());
    if (after == t.t_s.end()) {
        s.value = t.value.back();
        if (t.period_s) {
            s.next = ticks(base + *t.period_s);
        }
    } else {
        s.next = ticks(base + *after);
        if (i == 0) {
            s.value = t.value.front();
        } else {
            s.slope = (t.value[i] - t.value[i - 1]) / (t.t_s[i] - t.t_s[i - 1]);
            s.value = table_value(t, std::max(at, t.t_s[i - 1]));
        }
    }
    s.next = std::max(s.next, now + 1);
    return s;
}

}  // namespace

// What a machine does through, while it is called.
class HandsOfBody final : public Hands {
public:
    HandsOfBody(Body& body, std::size_t player) : body_(body), player_(player) {}

    double now_s() const override { return body_.now_s(); }
    double value(ProbeId probe) const override { return body_.value(probe); }
    double knob(KnobId id) const override {
        return body_.wanted_s_[body_.space_.layout().knob(id.index)];
    }
    void set(SwitchId id, bool closed) override {
        auto& bit = body_.key_[static_cast<std::size_t>(body_.curves_ + id.index)];
        if (bit != static_cast<std::uint8_t>(closed)) {
            bit = static_cast<std::uint8_t>(closed);
            body_.dirty_ = true;
        }
    }
    void set(KnobId id, double value) override {
        double& knob = body_.wanted_s_[body_.space_.layout().knob(id.index)];
        if (knob != value) {
            knob = value;
            body_.dirty_ = true;
        }
    }
    void arm(int watch, const Watch& how) override {
        auto& all = player().watches;
        if (static_cast<int>(all.size()) <= watch) {
            all.resize(static_cast<std::size_t>(watch) + 1);
        }
        const int row = body_.watched_row(how.probe.index);
        auto& w = all[static_cast<std::size_t>(watch)];
        w = {true, true, how, body_.now_, row};
        body_.live_stale_ = true;
        if (!how.level) {
            const double v = value(how.probe) - how.threshold;
            w.ready = how.edge == Edge::rising ? v < 0.0 : v > 0.0;
        }
    }
    void disarm(int watch) override {
        auto& all = player().watches;
        if (watch < static_cast<int>(all.size())) {
            all[static_cast<std::size_t>(watch)].armed = false;
            body_.live_stale_ = true;
        }
    }
    void timer(int timer, double at_s) override {
        auto& all = player().timers;
        if (static_cast<int>(all.size()) <= timer) {
            all.resize(static_cast<std::size_t>(timer) + 1);
        }
        all[static_cast<std::size_t>(timer)] = std::max(ticks(at_s), body_.now_);
    }
    void cancel(int timer) override {
        auto& all = player().timers;
        if (timer < static_cast<int>(all.size())) {
            all[static_cast<std::size_t>(timer)].reset();
        }
    }
    void tell(std::string key, std::string text) override {
        body_.logbook_.tell(now_s(), player().machine->name(), std::move(key), std::move(text));
    }
    void count(const char* what) override {
        body_.logbook_.count(now_s(), player().machine->name(), what);
    }

private:
    Body::Player& player() { return body_.players_[player_]; }
    Body& body_;
    std::size_t player_;
};

bool Body::give_up(std::string what, std::string todo) {
    trouble_.push_back({{}, fmt::format("at {:.9g} s: {}", now_s(), what), std::move(todo)});
    return false;
}

int Body::watched_row(int probe) {
    auto found = std::find(watched_.begin(), watched_.end(), probe);
    if (found == watched_.end()) {
        watched_.push_back(probe);
        ++guard_version_;
        here_valid_ = false;
        found = watched_.end() - 1;
    }
    return curves_ + static_cast<int>(found - watched_.begin());
}

bool Body::begin() {
    started_ = true;
    flipped_at_.assign(static_cast<std::size_t>(curves_), -1);
    const auto& layout = space_.layout();
    wanted_s_ = Vector::Zero(layout.size());
    wanted_s_[0] = 1.0;
    for (int k = 0; k < layout.knobs; ++k) {
        wanted_s_[layout.knob(k)] = network().knobs()[static_cast<std::size_t>(k)].initial;
    }
    sources_at(wanted_s_);
    const auto& branches = network().branches();
    Vector stored = Vector::Zero(static_cast<Eigen::Index>(branches.size()));
    for (std::size_t b = 0; b < branches.size(); ++b) {
        if (const auto* c = std::get_if<Capacitance>(&branches[b].element)) {
            stored[static_cast<Eigen::Index>(b)] = c->initial_v;
        } else if (const auto* w = std::get_if<Winding>(&branches[b].element)) {
            stored[static_cast<Eigen::Index>(b)] = w->initial_a;
        }
    }
    key_.assign(static_cast<std::size_t>(curves_) + network().switches().size(), 0);
    for (int c = 0; c < curves_; ++c) {
        key_[static_cast<std::size_t>(c)] = static_cast<std::uint8_t>(segment_of(c, 0.0));
    }
    for (std::size_t i = 0; i < network().switches().size(); ++i) {
        key_[static_cast<std::size_t>(curves_) + i] =
            std::get<Switch>(network()[network().switches()[i]].element).closed ? 1 : 0;
    }
    const Vector x = space_.state_of(stored, wanted_s_);
    if (!agree(key_, x, wanted_s_) || !enter(key_, x, wanted_s_)) {
        return false;
    }
    epoch_stored_ = most_stored_ = stored_energy();
    for (std::size_t i = 0; i < players_.size(); ++i) {
        HandsOfBody hands(*this, i);
        players_[i].machine->start(hands);
        if (!apply()) {
            return false;
        }
    }
    return true;
}

// Sines and tables of this instant, into a vector of sources whose knobs are set.
void Body::sources_at(Vector& s) {
    const auto& layout = space_.layout();
    for (int k = 0; k < static_cast<int>(layout.sines.size()); ++k) {
        const SineSource& sine = layout.sines[static_cast<std::size_t>(k)];
        const double angle = sine.omega * now_s() + sine.phase;
        const double factor = sine.factor_knob < 0 ? 1.0 : s[layout.knob(sine.factor_knob)];
        s[layout.cosine(k)] = factor * std::cos(angle);
        s[layout.sine(k)] = factor * std::sin(angle);
    }
    table_next_.resize(layout.tables.size());
    for (int k = 0; k < static_cast<int>(layout.tables.size()); ++k) {
        const TableState t = table_state(layout.tables[static_cast<std::size_t>(k)], now_);
        s[layout.value(k)] = t.value;
        s[layout.slope(k)] = t.slope;
        table_next_[static_cast<std::size_t>(k)] = t.next;
    }
}

Ticks Body::next_table_break() const {
    return table_next_.empty() ? std::numeric_limits<Ticks>::max()
                               : *std::min_element(table_next_.begin(), table_next_.end());
}

int Body::segment_of(int curve, double u) const {
    const auto& corners = space_.curve(curve).current.corners;
    return static_cast<int>(std::upper_bound(corners.begin(), corners.end(), u) - corners.begin());
}

// Changes the key's segments until every control lies in its own. All strays move at once while
// that helps; a cycle is broken by moving only the first, one segment at a time, which ends for
// networks of rising curves (K. G. Murty, "Note on a Bard-type scheme for solving the
// complementarity problem", Opsearch 11, 1974).
bool Body::agree(PatternKey& key, const Vector& x, const Vector& s) {
    std::set<PatternKey> seen;
    int stray = -1;
    for (int round = 0; round < kOneByOneRounds; ++round) {
        Pattern* p = cache_.find(key);
        if (p == nullptr) {
            return give_up(cache_.why(), "check the circuit there for a short or an open loop");
        }
        if (p->guards.version != guard_version_) {
            compile_guards(*p);
        }
        const Vector u = p->control_x * x + p->control_s * s;
        if (!u.allFinite()) {
            return give_up("a voltage is not finite", "check the circuit's values");
        }
        const bool together = round < kTogetherRounds && seen.insert(key).second;
        stray = -1;
        PatternKey next = key;
        for (int c = 0; c < curves_ && (together || stray < 0); ++c) {
            const auto i = static_cast<std::size_t>(c);
            const double beyond = on_corner(p->scale[i], u[c]);
            if (u[c] > p->high[i] + beyond || u[c] < p->low[i] - beyond) {
                stray = c;
                const bool up = u[c] > p->high[i];
                next[i] = static_cast<std::uint8_t>(together ? segment_of(c, u[c])
                                                             : key[i] + (up ? 1 : -1));
            }
        }
        if (stray < 0) {
            return true;
        }
        key = std::move(next);
    }
    const auto branch = static_cast<std::size_t>(space_.curves()[static_cast<std::size_t>(stray)]);
    return give_up(fmt::format("no state of {} agrees with the rest of the circuit",
                               network().branches()[branch].name),
                   "a loop of amplification without any delay may be the cause: give its nodes "
                   "a capacitance");
}

void Body::open_stay() {
    Pattern& p = *pattern_;
    if (p.moments_epoch != epoch_) {
        p.moments.reset(p.modes);
        p.moments_epoch = epoch_;
        if (p.ill()) {
            const int size = space_.states() + space_.source_states();
            p.plain = Matrix::Zero(size, size);
        }
    }
    p.moments.enter(here_.eta.data());
    stay_since_ = now_;
    steps_in_stay_ = 0;
    all_followed_ = false;
}

void Body::close_stay() {
    if (pattern_ == nullptr) {
        return;
    }
    Pattern& p = *pattern_;
    observe_stay();
    if (p.ill()) {
        add_plain();
    }
    p.moments.leave(here_.eta.data(), seconds(now_ - stay_since_));
}

bool Body::enter(const PatternKey& key, const Vector& x, const Vector& s) {
    Pattern* p = cache_.find(key);
    if (p == nullptr) {
        return give_up(cache_.why(), "check the circuit there for a short or an open loop");
    }
    pattern_ = p;
    habits_ = &p->habits;
    key_ = key;
    wanted_s_ = known_s_ = s;
    dirty_ = false;
    const Vector eta = p->modes.eta_of(x, s);
    here_.eta.assign(static_cast<std::size_t>(p->propagator.padded()), 0.0);
    std::copy(eta.data(), eta.data() + eta.size(), here_.eta.begin());
    here_valid_ = false;
    open_stay();
    if (++events_ % 512 == 1 || p->kirchhoff_checked == 0.0) {
        watch_kirchhoff();
    }
    return true;
}

void Body::watch_kirchhoff() {
    Pattern& p = *pattern_;
    p.kirchhoff_checked = 1.0;
    const Eigen::Map<const Vector> eta(here_.eta.data(), p.modes.size());
    const Vector x = p.modes.x_of(eta), s = p.modes.s_of(eta);
    const Vector rest = p.equations.kirchhoff_x * x + p.equations.kirchhoff_s * s;
    int node = 0;
    const double worst = rest.cwiseAbs().maxCoeff(&node);
    if (worst > worst_kirchhoff_) {
        worst_kirchhoff_ = worst;
        worst_node_ = node;
    }
    most_stored_ = std::max(most_stored_, 0.5 * x.squaredNorm());
}

// Passes the state to another pattern by the map that is kept for the way.
void Body::hop_to(Pattern& to) {
    if (&to == pattern_) {
        habits_ = &to.habits;
        return;
    }
    Hop& hop = cache_.hop(*pattern_, to);
    habits_ = &hop.habits;
    hopped_.resize(static_cast<std::size_t>(to.propagator.padded()));
    hop.map.values(here_.eta.data(), hopped_.data());
    pattern_ = &to;
    std::swap(here_.eta, hopped_);
    here_valid_ = false;
}

// Puts knobs at what machines want. The state stays, so what answers to the knobs moves into the
// free amplitudes. False where more than knobs must change.
bool Body::turn_knobs() {
    const auto& layout = space_.layout();
    if (!layout.tables.empty()) {
        return false;
    }
    for (const SineSource& sine : layout.sines) {
        if (sine.factor_knob >= 0 &&
            wanted_s_[layout.knob(sine.factor_knob)] != known_s_[layout.knob(sine.factor_knob)]) {
            return false;
        }
    }
    const Modes& m = pattern_->modes;
    for (int k = 0; k < layout.knobs; ++k) {
        const int column = layout.knob(k);
        const double change = wanted_s_[column] - known_s_[column];
        if (change == 0.0) {
            continue;
        }
        known_s_[column] = wanted_s_[column];
        here_.eta[static_cast<std::size_t>(m.source_at[static_cast<std::size_t>(column)])] =
            wanted_s_[column];
        for (std::size_t i = 0; i < m.own_at.size(); ++i) {
            here_.eta[static_cast<std::size_t>(m.own_at[i])] -=
                m.forced(static_cast<Eigen::Index>(i), column) * change;
        }
        here_valid_ = false;
    }
    return true;
}

// Changes switches alone where the curves' segments still agree afterwards; false, and nothing is
// changed, where they do not.
bool Body::hop_where_it_agrees(const PatternKey& key) {
    Pattern* to = cache_.find(key);
    if (to == nullptr) {
        return false;
    }
    Pattern* from = pattern_;
    Habits* habits = habits_;
    kept_eta_ = here_.eta;
    hop_to(*to);
    evaluate(here_);
    here_valid_ = true;
    for (std::size_t c = 0; c < static_cast<std::size_t>(curves_); ++c) {
        const double u = here_.f[c], beyond = on_corner(to->scale[c], u);
        if (u > to->high[c] + beyond || u < to->low[c] - beyond) {
            pattern_ = from;
            habits_ = habits;
            here_.eta = kept_eta_;
            here_valid_ = false;
            return false;
        }
    }
    return true;
}

// Carries out what machines and tables want: the state passes, segments are found anew.
bool Body::apply() {
    if (!dirty_) {
        return true;
    }
    close_stay();
    if (turn_knobs() && hop_where_it_agrees(key_)) {
        dirty_ = false;
        ++events_;
        open_stay();
        return true;
    }
    const Eigen::Map<const Vector> eta(here_.eta.data(), pattern_->modes.size());
    const Vector x = pattern_->modes.x_of(eta);
    Vector s = wanted_s_;
    sources_at(s);
    PatternKey key = key_;
    if (!agree(key, x, s)) {
        open_stay();
        return false;
    }
    return enter(key, x, s);
}

// Moves each curve that has left its segment to the next one.
bool Body::flip_curves() {
    const Pattern& now = *pattern_;
    if (!any_outside(here_.f.data(), now.low.data(), now.high.data(), now.guards.block.stride())) {
        return false;
    }
    PatternKey& key = scratch_key_;
    key = key_;
    bool any = false, far = false;
    int flips = 0, flipped = 0;
    for (int c = 0; c < curves_; ++c) {
        const auto i = static_cast<std::size_t>(c);
        const double u = here_.f[i];
        if (u < now.high[i] && u > now.low[i]) {
            continue;
        }
        const double beyond = on_corner(pattern_->scale[i], u);
        // Crossings are met to within the tolerance; what is farther off has jumped.
        const double near = std::max(1e3 * beyond, 2.0 * options_.tolerance * pattern_->scale[i]);
        const double above = u - pattern_->high[i], below = pattern_->low[i] - u;
        if (const double worst = std::max(above, below); worst >= 0.0 && worst <= beyond) {
            complete(here_);  // its slope decides
        }
        // A curve that has moved at this instant moves again only where it is clearly astray:
        // two that turn off together would pass the last rounding error to and fro.
        const bool fresh = flipped_at_[i] != now_;
        if (above >= 0.0 && (above > beyond || (fresh && slope(here_, i) > 0.0))) {
            ++key[i];
            ++flips;
            flipped = 2 * c + 1;
            flipped_at_[i] = now_;
            any = true;
            far = far || above > near;
        } else if (below >= 0.0 && (below > beyond || (fresh && slope(here_, i) < 0.0))) {
            --key[i];
            ++flips;
            flipped = 2 * c;
            flipped_at_[i] = now_;
            any = true;
            far = far || below > near;
        }
    }
    if (!any) {
        return false;
    }
    if (!far) {
        Hop* way = flips == 1 ? pattern_->neighbours[static_cast<std::size_t>(flipped)] : nullptr;
        Pattern* to = way != nullptr ? way->to : cache_.find(key);
        if (to == nullptr) {
            gave_up_ = true;
            give_up(cache_.why(), "check the circuit there for a short or an open loop");
            return true;
        }
        Pattern* from = pattern_;
        close_stay();
        hop_to(*to);
        if (flips == 1 && way == nullptr) {
            from->neighbours[static_cast<std::size_t>(flipped)] = &cache_.hop(*from, *to);
        }
        key_ = key;
        open_stay();
        if (++events_ % 512 == 1 || to->kirchhoff_checked == 0.0) {
            watch_kirchhoff();
        }
        return true;
    }
    const Eigen::Map<const Vector> eta(here_.eta.data(), pattern_->modes.size());
    const Vector x = pattern_->modes.x_of(eta), s = pattern_->modes.s_of(eta);
    if (far && !agree(key, x, s)) {
        gave_up_ = true;
        return true;
    }
    close_stay();
    if (!enter(key, x, s)) {
        gave_up_ = true;
    }
    return true;
}

bool Body::fire_watches() {
    if (live().empty()) {
        return false;
    }
    for (std::size_t i = 0; i < players_.size(); ++i) {
        for (std::size_t w = 0; w < players_[i].watches.size(); ++w) {
            Armed& watch = players_[i].watches[w];
            if (!watch.armed || !watch.ready) {
                continue;
            }
            if (watch_value(watch, here_, seconds(now_ - watch.at)) >= 0.0) {
                watch.armed = false;
                live_stale_ = true;
                HandsOfBody hands(*this, i);
                players_[i].machine->crossed(hands, static_cast<int>(w));
                gave_up_ = gave_up_ || !apply();
                return true;
            }
        }
    }
    return false;
}

bool Body::fire_timers() {
    for (std::size_t i = 0; i < players_.size(); ++i) {
        for (std::size_t t = 0; t < players_[i].timers.size(); ++t) {
            auto& timer = players_[i].timers[t];
            if (timer && *timer <= now_) {
                timer.reset();
                HandsOfBody hands(*this, i);
                players_[i].machine->alarm(hands, static_cast<int>(t));
                gave_up_ = gave_up_ || !apply();
                return true;
            }
        }
    }
    return false;
}

// Sets tables that have reached a break on their new line.
bool Body::tables_due() {
    if (next_table_break() > now_) {
        return false;
    }
    dirty_ = true;
    gave_up_ = gave_up_ || !apply();
    return true;
}

// Works through all that is due now, until nothing more happens at this instant.
bool Body::settle_instant() {
    for (int round = 0;; ++round) {
        if (gave_up_) {
            return false;
        }
        if (!here_valid_) {
            evaluate(here_);
            here_valid_ = true;
            see_edges();  // a jump may have brought one to its other side
        }
        const bool busy = tables_due() || flip_curves() || fire_watches() || fire_timers();
        if (!busy) {
            if (round > 0 && !here_valid_) {
                continue;
            }
            break;
        }
        if (now_ - crowd_since_ > kNanosecond) {
            crowd_since_ = now_;
            crowd_ = 0;
        }
        if (round > options_.most_events_at_once || ++crowd_ > kCrowd) {
            std::string where;
            for (int c = 0; c < curves_; ++c) {
                const auto i = static_cast<std::size_t>(c);
                if (std::min(std::abs(here_.f[i] - pattern_->high[i]),
                             std::abs(here_.f[i] - pattern_->low[i])) <
                    1e-3 * space_.curve(c).threshold_scale) {
                    const auto branch = static_cast<std::size_t>(space_.curves()[i]);
                    where += (where.empty() ? "" : ", ") + network().branches()[branch].name;
                }
            }
            return give_up(fmt::format("events follow one another without end ({})",
                                       where.empty() ? "a controller or switch" : where),
                           "a device switches back and forth: give its nodes a capacitance or "
                           "the controller some hysteresis");
        }
    }
    return true;
}

double Body::value(ProbeId probe) {
    if (!started_ && !begin()) {
        gave_up_ = true;
    }
    if (pattern_ == nullptr) {
        return std::numeric_limits<double>::quiet_NaN();
    }
    if (dirty_ && !apply()) {
        gave_up_ = true;
    }
    const RowVector& row = probe_row(*pattern_, probe.index);
    return row.dot(Eigen::Map<const RowVector>(here_.eta.data(), row.size()));
}

}  // namespace etchback::behaviour::detail
