// Moving through time: steps, their length, and the first crossing in each.
#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <cmath>

#include "behaviour/detail/body.h"

namespace etchback::behaviour::detail {

namespace {

constexpr double kHermite = 46080.0;  // 6! * 4^3: the error bound of a quintic, see crossing.h
constexpr double kInfinity = std::numeric_limits<double>::infinity();
// Probes that are only recorded may be met less finely than guards.
constexpr double kRecordSlack = 10.0;

// Raises the weights to what this row asks for. A pair turns, so both its parts count in full.
void raise(const Pattern& p, const RowVector& row, double fine, std::vector<double>& weight) {
    for (int i = 0; i < p.modes.own_reals; ++i) {
        double& w = weight[static_cast<std::size_t>(i)];
        w = std::max(w, std::abs(row[i]) / fine);
    }
    for (int k = 0; k < p.modes.pairs; ++k) {
        const int re = p.modes.re(k), im = p.modes.im(k);
        const double both = std::hypot(row[re], row[im]) / fine;
        for (const int i : {re, im}) {
            double& w = weight[static_cast<std::size_t>(i)];
            w = std::max(w, both);
        }
    }
}

// From weights of amplitudes to weights of sixth derivatives.
void weigh(const Pattern& p, std::vector<double>& weight) {
    for (std::size_t i = 0; i < weight.size(); ++i) {
        weight[i] *= p.propagator.sixth_power()[i];
    }
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
    const double fine = options_.tolerance;
    const auto columns = static_cast<std::size_t>(p.modes.size());
    p.curve_weight.assign(columns, 0.0);
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
        raise(p, rows.back(), fine * p.scale.back(), p.curve_weight);
    }
    weigh(p, p.curve_weight);
    p.watch_weight.clear();
    for (const int probe : watched_) {
        rows.push_back(probe_row(p, probe));
        std::vector<double> weight(columns, 0.0);
        raise(p,
              rows.back(),
              fine * network().probes()[static_cast<std::size_t>(probe)].scale,
              weight);
        weigh(p, weight);
        p.watch_weight.push_back(std::move(weight));
    }
    p.guards.block.assign(rows, p.modes.size());
    p.guards.version = guard_version_;
}

void Body::compile(Pattern& p,
                   CompiledRows& out,
                   const std::vector<int>& probes,
                   int version,
                   std::vector<double>& weight) {
    std::vector<RowVector> rows;
    const auto columns = static_cast<std::size_t>(p.modes.size());
    weight.assign(columns, 0.0);
    for (const int probe : probes) {
        rows.push_back(probe_row(p, probe));
        const double scale = network().probes()[static_cast<std::size_t>(probe)].scale;
        raise(p, rows.back(), kRecordSlack * options_.tolerance * scale, weight);
    }
    weigh(p, weight);
    out.block.assign(rows, p.modes.size());
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

void Body::evaluate(Sample& s) {
    Pattern& p = *pattern_;
    if (p.guards.version != guard_version_) {
        compile_guards(p);
    }
    const auto rows = static_cast<std::size_t>(p.guards.block.stride());
    const auto columns = static_cast<std::size_t>(p.propagator.padded());
    s.d1.resize(columns);
    s.d2.resize(columns);
    s.f.resize(rows);
    s.f1.resize(rows);
    s.f2.resize(rows);
    p.propagator.derivatives(s.eta.data(), s.d1.data(), s.d2.data());
    p.guards.block.values3(
        s.eta.data(), s.d1.data(), s.d2.data(), s.f.data(), s.f1.data(), s.f2.data());
}

// Longest step whose interpolation meets the tolerance at every guard in force.
Ticks Body::largest_step() {
    Pattern& p = *pattern_;
    const int n = p.modes.size();
    double sixth = weighted_sum(p.curve_weight.data(), here_.eta.data(), n);
    for (const Player& player : players_) {
        for (const Armed& w : player.watches) {
            if (w.armed) {
                sixth +=
                    weighted_sum(p.watch_weight[static_cast<std::size_t>(w.row - curves_)].data(),
                                 here_.eta.data(),
                                 n);
            }
        }
    }
    if (recorder_.active(now_)) {
        if (p.record.version != recorder_.version()) {
            compile(p, p.record, recorder_.probes(), recorder_.version(), p.record_weight);
        }
        sixth += weighted_sum(p.record_weight.data(), here_.eta.data(), n);
    }
    if (measuring_) {
        if (p.measure.version != measure_version_) {
            compile(p, p.measure, measure_probes_, measure_version_, p.measure_weight);
        }
        sixth += weighted_sum(p.measure_weight.data(), here_.eta.data(), n);
    }
    constexpr Ticks longest = Ticks{1} << kTickBits;
    const double h = std::cbrt(std::sqrt(kHermite / sixth));
    if (!(h < 1.0)) {
        return longest;
    }
    const Ticks t = std::max<Ticks>(ticks(h), 1);
    // Two leading bits only: each bit of a step costs a multiplication.
    const int top = 63 - std::countl_zero(static_cast<std::uint64_t>(t));
    return top == 0 ? t : t & (Ticks{3} << (top - 1));
}

double Body::watch_value(const Armed& w, const Sample& s, double lead_s) const {
    const double threshold = w.how.threshold + w.how.slope_per_s * lead_s;
    const double value = s.f[static_cast<std::size_t>(w.row)] - threshold;
    return w.how.edge == Edge::rising ? value : -value;
}

Jet Body::watch_jet(const Armed& w, const Sample& s, double lead_s) const {
    const auto r = static_cast<std::size_t>(w.row);
    const double sign = w.how.edge == Edge::rising ? 1.0 : -1.0;
    return {watch_value(w, s, lead_s), sign * (s.f1[r] - w.how.slope_per_s), sign * s.f2[r]};
}

// First instant in (0, h] at which a curve leaves its segment or a watch fires.
std::optional<double> Body::earliest_crossing(const Sample& a, const Sample& b, double h) const {
    double first = kInfinity;
    const auto look = [&](const Jet& begin, const Jet& end) {
        if (end.f >= 0.0 || (begin.f1 > 0.0 && end.f1 < 0.0)) {
            if (const auto t = first_crossing(begin, end, h)) {
                first = std::min(first, *t);
            }
        }
    };
    for (std::size_t c = 0; c < static_cast<std::size_t>(curves_); ++c) {
        if (const double high = pattern_->high[c]; high < kInfinity) {
            look({a.f[c] - high, a.f1[c], a.f2[c]}, {b.f[c] - high, b.f1[c], b.f2[c]});
        }
        if (const double low = pattern_->low[c]; low > -kInfinity) {
            look({low - a.f[c], -a.f1[c], -a.f2[c]}, {low - b.f[c], -b.f1[c], -b.f2[c]});
        }
    }
    for (const Player& player : players_) {
        for (const Armed& w : player.watches) {
            if (w.armed) {
                const double lead = seconds(now_ - w.at);
                Jet begin = watch_jet(w, a, lead);
                if (begin.f >= 0.0 && !w.ready && begin.f1 >= 0.0) {
                    begin.f1 = -1e-300;  // an edge that must first be left
                }
                look(begin, watch_jet(w, b, lead + h));
            }
        }
    }
    if (first < kInfinity) {
        return first;
    }
    return std::nullopt;
}

bool Body::something_crossed(const Sample& s, Ticks at) const {
    for (std::size_t c = 0; c < static_cast<std::size_t>(curves_); ++c) {
        if ((s.f[c] >= pattern_->high[c] && s.f1[c] > 0.0) ||
            (s.f[c] <= pattern_->low[c] && s.f1[c] < 0.0)) {
            return true;
        }
    }
    for (const Player& player : players_) {
        for (const Armed& w : player.watches) {
            if (w.armed && w.ready && watch_value(w, s, seconds(at - w.at)) >= 0.0) {
                return true;
            }
        }
    }
    return false;
}

// One step, at most to `limit`; ends at the first crossing if there is one.
bool Body::step(Ticks limit) {
    const Ticks whole = std::min(largest_step(), limit - now_);
    there_.eta = here_.eta;
    pattern_->propagator.advance(there_.eta.data(), whole);
    evaluate(there_);
    const double h = seconds(whole);
    const auto crossing = earliest_crossing(here_, there_, h);
    if (!crossing) {
        commit(whole);
        return true;
    }
    Ticks at = std::clamp<Ticks>(
        static_cast<Ticks>(std::ceil(std::ldexp(*crossing, kTickBits))), 1, whole);
    // The interpolation may be a little early: go on until something has truly crossed.
    Ticks more = 1;
    while (at < whole) {
        there_.eta = here_.eta;
        pattern_->propagator.advance(there_.eta.data(), at);
        evaluate(there_);
        if (something_crossed(there_, now_ + at)) {
            break;
        }
        at = std::min(whole, at + more);
        more *= 4;
    }
    if (at == whole) {
        there_.eta = here_.eta;
        pattern_->propagator.advance(there_.eta.data(), whole);
        evaluate(there_);
    }
    commit(at);
    return true;
}

// Takes the step whose end is there_.
void Body::commit(Ticks step) {
    Pattern& p = *pattern_;
    const auto follow = [&](CompiledRows& rows, Jets& a, Jets& b, bool a_valid) {
        a.resize(rows.block.stride());
        b.resize(rows.block.stride());
        if (!a_valid) {
            rows.block.values3(here_.eta.data(),
                               here_.d1.data(),
                               here_.d2.data(),
                               a.f.data(),
                               a.f1.data(),
                               a.f2.data());
        }
        rows.block.values3(there_.eta.data(),
                           there_.d1.data(),
                           there_.d2.data(),
                           b.f.data(),
                           b.f1.data(),
                           b.f2.data());
    };
    // The end of one step is the beginning of the next, unless a pattern begins in between.
    const bool recording = recorder_.active(now_);
    if (recording) {
        follow(p.record, recorder_.here, recorder_.there, recorder_.here_valid);
        recorder_.step(network(), now_, now_ + step, recorder_.here, recorder_.there);
        std::swap(recorder_.here, recorder_.there);
    }
    recorder_.here_valid = recording;
    if (measuring_ && !measure_probes_.empty()) {
        follow(p.measure, measure_here_, measure_there_, measure_here_valid_);
        const double h = seconds(step);
        for (std::size_t i = 0; i < measure_probes_.size(); ++i) {
            const Jet a{measure_here_.f[i], measure_here_.f1[i], measure_here_.f2[i]};
            const Jet b{measure_there_.f[i], measure_there_.f1[i], measure_there_.f2[i]};
            least_[i] = std::min({least_[i], a.f, b.f});
            largest_[i] = std::max({largest_[i], a.f, b.f});
            // Looked for only where it could be a new extreme: it seldom is.
            const double reach = h * std::max(std::abs(a.f1), std::abs(b.f1)) +
                                 0.5 * h * h * std::max(std::abs(a.f2), std::abs(b.f2));
            if (std::max(a.f, b.f) + reach > largest_[i] ||
                std::min(a.f, b.f) - reach < least_[i]) {
                if (const auto inner = inner_extreme(a, b, h)) {
                    least_[i] = std::min(least_[i], *inner);
                    largest_[i] = std::max(largest_[i], *inner);
                }
            }
        }
        std::swap(measure_here_, measure_there_);
        measure_here_valid_ = true;
    }
    for (Player& player : players_) {
        for (Armed& w : player.watches) {
            if (w.armed && !w.ready && watch_value(w, there_, seconds(now_ + step - w.at)) < 0.0) {
                w.ready = true;
            }
        }
    }
    now_ += step;
    ++steps_;
    std::swap(here_, there_);
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
        if (now_ >= end_) {
            return Ending::reached;
        }
        step(next_limit(end_));
        if (++turns % 4096 == 0) {
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
