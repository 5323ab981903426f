// Moving through time: steps, their length, and the first crossing in each.
#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>

#include "behaviour/detail/body.h"

namespace etchback::behaviour::detail {

namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();
// Probes that are only recorded may be met less finely than guards.
constexpr double kRecordSlack = 10.0;

// How far beyond its threshold a crossing is aimed, as a share of what it may be.
constexpr double kAim = 1e-3;
// A hump beyond a threshold by less than this share of what a crossing may be beyond it is let
// pass.
constexpr double kUnseen = 0.1;
constexpr int kMostRefinements = 60;
// A step may leave this share of a guard's distance to its threshold open.
constexpr double kOpenShare = 0.25;

// How much each row can change through each amplitude. A pair turns, so both its parts count in
// full.
std::vector<RowVector> amounts_of(const Modes& m, const std::vector<RowVector>& rows) {
    std::vector<RowVector> out(rows.size(), RowVector::Zero(m.size()));
    for (std::size_t r = 0; r < rows.size(); ++r) {
        for (int k = 0; k < m.own_reals; ++k) {
            out[r][m.real(k)] = std::abs(rows[r][m.real(k)]);
        }
        for (int k = 0; k < m.pairs; ++k) {
            out[r][m.re(k)] = out[r][m.im(k)] = std::hypot(rows[r][m.re(k)], rows[r][m.im(k)]);
        }
    }
    return out;
}

}  // namespace

Body::Body(StateSpace space,
           std::vector<std::unique_ptr<Machine>> machines,
           SimulationOptions options)
    : space_(std::move(space)),
      options_(std::move(options)),
      cache_(space_, options_.most_patterns),
      curves_(static_cast<int>(space_.curves().size())) {
    for (auto& m : machines) {
        players_.push_back({std::move(m), {}, {}});
    }
}

void Body::compile_guards(Pattern& p) {
    std::vector<RowVector> rows;
    p.low.clear();
    p.high.clear();
    p.scale.clear();
    for (int c = 0; c < curves_; ++c) {
        rows.push_back(p.modes.row(p.control_x.row(c), p.control_s.row(c)));
        const Curve& curve = space_.curve(c);
        const auto& corners = curve.current.corners;
        const auto segment = static_cast<std::size_t>(p.key[static_cast<std::size_t>(c)]);
        p.low.push_back(segment == 0 ? -kInfinity : corners[segment - 1]);
        p.high.push_back(segment == corners.size() ? kInfinity : corners[segment]);
        const double slope = std::abs(curve.current.slopes[segment]);
        p.scale.push_back(
            std::min(curve.threshold_scale, curve.current_scale_a / std::max(slope, 1e-300)));
    }
    for (const int probe : watched_) {
        rows.push_back(probe_row(p, probe));
        p.scale.push_back(network().probes()[static_cast<std::size_t>(probe)].scale);
    }
    p.guards.block.assign(rows, p.modes);
    // What is no curve never leaves a segment.
    p.low.resize(static_cast<std::size_t>(p.guards.block.stride()), -kInfinity);
    p.high.resize(static_cast<std::size_t>(p.guards.block.stride()), kInfinity);
    p.guards.amounts.assign(amounts_of(p.modes, rows), p.modes.size());
    p.guards.version = guard_version_;
}

void Body::compile(Pattern& p, CompiledRows& out, const std::vector<int>& probes, int version) {
    std::vector<RowVector> rows;
    for (const int probe : probes) {
        rows.push_back(probe_row(p, probe));
    }
    out.block.assign(rows, p.modes);
    out.amounts.assign(amounts_of(p.modes, rows), p.modes.size());
    out.need.assign(static_cast<std::size_t>(out.block.stride()), 0.0);
    for (std::size_t r = 0; r < probes.size(); ++r) {
        const double scale = network().probes()[static_cast<std::size_t>(probes[r])].scale;
        out.need[r] = 1.0 / (kRecordSlack * options_.tolerance * scale);
    }
    out.seen.assign(probes.size(), {});
    out.version = version;
}

const RowVector& Body::probe_row(Pattern& p, int probe) {
    const auto& probes = network().probes();
    if (p.probe_row.size() < probes.size()) {
        p.probe_row.resize(probes.size());
    }
    RowVector& row = p.probe_row[static_cast<std::size_t>(probe)];
    if (row.size() == 0) {
        const auto r = space_.probe(p.equations, p.key, probes[static_cast<std::size_t>(probe)]);
        row = p.modes.row(r.x, r.s);
    }
    return row;
}

// The guards' values alone: enough to see whether a crossing is met.
void Body::evaluate_values(Sample& s) {
    s.f.resize(static_cast<std::size_t>(3 * pattern_->guards.block.stride()));
    pattern_->guards.block.values(s.eta.data(), s.f.data());
    s.complete = false;
}

void Body::complete(Sample& s) {
    if (!s.complete) {
        evaluate(s);
    }
}

void Body::evaluate(Sample& s) {
    Pattern& p = *pattern_;
    if (p.guards.version != guard_version_) {
        compile_guards(p);
    }
    s.complete = true;
    s.f.resize(static_cast<std::size_t>(3 * p.guards.block.stride()));
    p.guards.block.jets(s.eta.data(), s.f.data());
}

double Body::watch_value(const Armed& w, const Sample& s, double lead_s) const {
    const double threshold = w.how.threshold + w.how.slope_per_s * lead_s;
    const double value = s.f[static_cast<std::size_t>(w.row)] - threshold;
    return w.how.edge == Edge::rising ? value : -value;
}

// The jet of what must reach zero for a watch to fire; `f` has the jets of all guards.
Jet Body::watch_jet(const Armed& w, const double* f, double value) const {
    const int stride = pattern_->guards.block.stride();
    const double sign = w.how.edge == Edge::rising ? 1.0 : -1.0;
    return {value, sign * (f[stride + w.row] - w.how.slope_per_s), sign * f[2 * stride + w.row]};
}

// Watches in force.
const std::vector<Snapshot::Armed*>& Body::live() {
    if (live_stale_) {
        live_stale_ = false;
        live_.clear();
        for (Player& player : players_) {
            for (Armed& w : player.watches) {
                if (w.armed) {
                    live_.push_back(&w);
                }
            }
        }
    }
    return live_;
}

// First instant in (0, h] at which a curve leaves its segment or a watch fires. `unsure` where the
// step was too long to tell.
std::optional<double> Body::earliest_crossing(double h, bool& unsure) {
    const Pattern& p = *pattern_;
    const double* a = dropped_.empty() ? here_.f.data() : calm_here_.data();
    const double* b = dropped_.empty() ? there_.f.data() : calm_there_.data();
    const auto rows = static_cast<std::size_t>(p.guards.block.stride());
    hull_low_.resize(rows);
    hull_high_.resize(rows);
    const bool near = reaches(a,
                              b,
                              h,
                              sink_.data(),
                              lift_.data(),
                              strays_.data(),
                              p.low.data(),
                              p.high.data(),
                              static_cast<int>(rows),
                              hull_low_.data(),
                              hull_high_.data());
    double first = kInfinity;
    // A guard that is below zero at both ends and whose bounds come up to `top`.
    const auto look = [&](std::size_t row, const Jet& begin, const Jet& end, double top) {
        if (top >= 0.0 || end.f >= 0.0) {
            const double slack = kAim * options_.tolerance * p.scale[row];
            if (const auto t = first_crossing(begin, end, h, slack)) {
                first = std::min(first, *t);
                return;
            }
            if (begin.f >= 0.0 && end.f > 0.0) {
                // On the edge since it last moved, and now leaving for good.
                const double edge = on_corner(p.scale[row], p.scale[row]);
                first = std::min(first, h * std::min(1.0, 2.0 * edge / end.f));
                return;
            }
        }
        if (end.f < 0.0 && !unsure) {  // begins inside or on its edge, and is inside at the end
            const double fine = options_.tolerance * p.scale[row];
            unsure = top > kUnseen * fine || strays_[row] > std::max(-top, fine);
        }
    };
    for (std::size_t c = 0; near && c < static_cast<std::size_t>(curves_); ++c) {
        const double high = p.high[c], low = p.low[c];
        if (hull_high_[c] + strays_[c] >= high && high < kInfinity) {
            look(c,
                 {here_.f[c] - high, a[rows + c], a[2 * rows + c]},
                 {there_.f[c] - high, b[rows + c], b[2 * rows + c]},
                 hull_high_[c] - high);
        }
        if (hull_low_[c] - strays_[c] <= low && low > -kInfinity) {
            look(c,
                 {low - here_.f[c], -a[rows + c], -a[2 * rows + c]},
                 {low - there_.f[c], -b[rows + c], -b[2 * rows + c]},
                 low - hull_low_[c]);
        }
    }
    for (const Armed* watch : live()) {
        const Armed& w = *watch;
        const auto r = static_cast<std::size_t>(w.row);
        const double lead = seconds(now_ - w.at);
        const bool rising = w.how.edge == Edge::rising;
        const double begin_f = watch_value(w, here_, lead);
        const double end_f = watch_value(w, there_, lead + h);
        // A threshold that moves evenly moves the Bezier points evenly: its ends bound them.
        const double moved = w.how.slope_per_s * h;
        const double threshold = w.how.threshold + w.how.slope_per_s * lead;
        const double top = (rising ? hull_high_[r] - threshold - std::min(moved, 0.0)
                                   : threshold + std::max(moved, 0.0) - hull_low_[r]);
        if (begin_f >= 0.0 && !w.ready) {
            // Must first be left: not to be seen leaving and coming back in one step.
            const double drop = rising ? hull_low_[r] - threshold - std::max(moved, 0.0)
                                       : threshold + std::min(moved, 0.0) - hull_high_[r];
            unsure = unsure || (end_f >= 0.0 && drop < -options_.tolerance * p.scale[r]);
            continue;
        }
        if (top + strays_[r] >= 0.0 || end_f >= 0.0) {
            look(r, watch_jet(w, a, begin_f), watch_jet(w, b, end_f), top);
        }
    }
    if (first < kInfinity) {
        return first;
    }
    return std::nullopt;
}

// How far the guard that is farthest beyond its threshold is beyond it, in units of what it may be;
// negative where none is.
double Body::overshoot(Sample& s, Ticks at) {
    const Pattern& p = *pattern_;
    double worst = -1.0;
    const auto see = [&](double beyond, std::size_t row) {
        if (beyond >= 0.0) {
            worst = std::max(worst, beyond / (options_.tolerance * p.scale[row]));
        }
    };
    const bool outside =
        any_outside(s.f.data(), p.low.data(), p.high.data(), p.guards.block.stride());
    for (std::size_t c = 0; outside && c < static_cast<std::size_t>(curves_); ++c) {
        const double above = s.f[c] - p.high[c], below = p.low[c] - s.f[c];
        if (above < 0.0 && below < 0.0) {
            continue;
        }
        // On the edge and on its way back counts as inside.
        const double edge = on_corner(p.scale[c], s.f[c]);
        if (std::max(above, below) >= 0.0 && std::max(above, below) <= edge) {
            complete(s);
        }
        if (above > edge || (above >= 0.0 && slope(s, c) > 0.0)) {
            see(above, c);
        } else if (below > edge || (below >= 0.0 && slope(s, c) < 0.0)) {
            see(below, c);
        }
    }
    for (const Armed* w : live()) {
        if (w->ready) {
            see(watch_value(*w, s, seconds(at - w->at)), static_cast<std::size_t>(w->row));
        }
    }
    return worst;
}

// One step, at most to `limit`; ends at the first crossing if there is one. True where something is
// due at its end.
bool Body::step(Ticks limit) {
    complete(here_);
    const Ticks before = now_, most = std::min(limit, expected_exit()) - now_;
    const Ticks usual = usual_step();
    Ticks whole = std::min(usual > 0 ? usual : largest_step(most), most);
    bool tried = usual == 0, aimed = false, first = true;
    const auto go = [&](Ticks step) {
        there_.eta.resize(here_.eta.size());
        pattern_->propagator.advance(here_.eta.data(), there_.eta.data(), step);
    };
    const auto look = [&](Ticks step) {
        go(step);
        evaluate(there_);
        follow(seconds(step), first);
        first = false;
    };
    const auto take = [&](Ticks step, bool due) {
        commit(step);
        return due || now_ == limit;
    };
    look(whole);
    for (int round = 0;; ++round) {
        bool unsure = false;
        const auto crossing = earliest_crossing(seconds(whole), unsure);
        const auto at = crossing ? static_cast<Ticks>(std::ceil(*crossing * 0x1p40)) : whole;
        if (unsure && at < whole && !aimed) {
            aimed = true;  // what is beyond the crossing need not be known
            whole = at;
            look(whole);
            continue;
        }
        if (unsure && (!tried || !dropped_.empty())) {
            tried = true;  // not as usual, and nothing left out
            first = true;
            all_followed_ = all_followed_ || !dropped_.empty();
            const Ticks other = std::min(largest_step(most), most);
            if (other < whole) {
                whole = other;
                look(whole);
                continue;
            }
        }
        if (unsure && whole >= 4) {
            whole = std::clamp<Ticks>(at, 1, whole / 4);
            look(whole);
            continue;
        }
        if (!crossing) {
            return take(whole, false);
        }
        const Ticks longer = whole;
        whole = std::clamp<Ticks>(at, 1, longer);
        if (whole < longer) {
            std::swap(there_, far_);
            go(whole);
            evaluate_values(there_);
        }
        const double beyond = overshoot(there_, now_ + whole);
        if (beyond >= 0.0 && (beyond <= 1.0 || whole == 1 || round >= kMostRefinements)) {
            habits_->exit = now_ + whole - stay_since_;
            return take(whole, true);
        }
        if (beyond < 0.0 && whole < longer && now_ == before) {
            // The interpolation was early. Go on from here to the end that is known.
            complete(there_);
            commit(whole);
            std::swap(there_, far_);
            whole = longer - whole;
            tried = true;
            follow(seconds(whole), true);
        } else if (beyond < 0.0) {
            return take(whole, false);
        } else if (whole == longer) {  // the interpolation sees no better end: halve
            whole = std::max<Ticks>(whole / 2, 1);
            look(whole);
            if (overshoot(there_, now_ + whole) < 0.0) {
                return take(whole, false);
            }
        } else {
            complete(there_);
            follow(seconds(whole), false);
        }
    }
}

// When the last stay that began like this one was ended by a crossing, a little later than that:
// ticks. A crossing is met best by a step that just reaches it.
Ticks Body::expected_exit() const {
    const Ticks left = habits_->exit - (now_ - stay_since_);
    if (left <= 0) {
        return std::numeric_limits<Ticks>::max();
    }
    const Ticks later = left + left / 64 + 1;
    const int cut =
        std::max(0, static_cast<int>(std::bit_width(static_cast<std::uint64_t>(later))) - 7);
    return now_ + (((later >> cut) + 1) << cut);  // of few bits
}

// Takes the step whose end is there_.
void Body::commit(Ticks step) {
    now_ += step;
    ++steps_;
    ++steps_in_stay_;
    std::swap(here_, there_);
    see_edges();
}

// An edge can fire once it was seen from the other side.
void Body::see_edges() {
    for (Armed* w : live()) {
        if (!w->ready && watch_value(*w, here_, seconds(now_ - w->at)) < 0.0) {
            w->ready = true;
        }
    }
}

Ticks Body::next_limit(Ticks end) const {
    Ticks next = std::min(end, next_table_break());
    next = std::min(next, recorder_.next_boundary(now_));
    for (const Player& player : players_) {
        for (const auto& timer : player.timers) {
            if (timer) {
                next = std::min(next, *timer);
            }
        }
    }
    return std::max(next, now_);
}

Ending Body::run_to(double t_s) {
    if (gave_up_ || (!started_ && !begin())) {
        return Ending::gave_up;
    }
    end_ = ticks(t_s);
    std::int64_t turns = 0;
    while (true) {
        if (!settle_instant()) {
            gave_up_ = true;
            return Ending::gave_up;
        }
        if (recorder_.begins_or_ends_at(now_) && stay_since_ < now_) {
            close_stay();
            open_stay();
        }
        if (now_ >= end_) {
            return Ending::reached;
        }
        const Ticks limit = next_limit(end_);
        while (!step(limit) && ++turns % 4096 != 0) {
        }
        if (++turns >= 4096) {
            turns = 0;
            if (options_.interrupted && options_.interrupted()) {
                return Ending::interrupted;
            }
            if (options_.progress) {
                options_.progress(now_s());
            }
        }
    }
}

}  // namespace etchback::behaviour::detail
