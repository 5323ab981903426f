// What is recorded of a stay, once it has ended. A stay is a sum of exponentials from its beginning
// to its end, so it can be looked at again as finely as wanted, and only where something new can be
// seen: bounds from the amplitudes tell.
#include <algorithm>
#include <cmath>

#include "behaviour/detail/body.h"

namespace etchback::behaviour::detail {

namespace {

// Extremes within this share of the known ones are not looked for again.
constexpr double kNewExtreme = 1e-3;
// An amplitude that turns or fades by less than this over a stay (radians, or powers of e) is slow.
constexpr double kSlow = 0.3;
// What is looked at again is followed to within this share of its size over the stay.
constexpr double kFollow = 1e-3;

}  // namespace

// Calls f(t, h, jet at t, jet at t + h) for steps that follow the row within its need; t counts
// from the stay's beginning, seconds.
template <typename F>
void Body::walk(
    Pattern& p, const CompiledRows& rows, int row, const double* begin, Ticks span, F&& f) {
    const int n = p.modes.size(), stride = rows.block.stride();
    const auto padded = static_cast<std::size_t>(p.propagator.padded());
    walk_eta_.assign(begin, begin + n);
    walk_eta_.resize(padded, 0.0);
    walk_next_.resize(padded);
    const auto jet = [&] {
        Jet j;
        for (int c = 0; c < n; ++c) {
            const double* column = rows.block.column(c) + row;
            const double eta = walk_eta_[static_cast<std::size_t>(c)];
            j.f += column[0] * eta;
            j.f1 += column[stride] * eta;
            j.f2 += column[2 * stride] * eta;
        }
        return j;
    };
    const auto& sixth_power = p.propagator.sixth_power();
    // Small quantities are followed by their own size.
    const auto r = static_cast<std::size_t>(row);
    const double size = std::max(std::abs(stay_begin_[r]), std::abs(stay_end_[r])) + stay_stray_[r];
    const double coarsest = 1.0 / rows.need[r];
    const double need = 1.0 / std::clamp(kFollow * size, 1e-4 * coarsest, coarsest);
    Jet here = jet();
    for (Ticks done = 0; done < span;) {
        double sixth = 0.0;
        for (int c = 0; c < n; ++c) {
            const auto i = static_cast<std::size_t>(c);
            const double share = need * rows.amounts.column(c)[row] * std::abs(walk_eta_[i]);
            sixth += followed(share, 0.25 / n) * sixth_power[i];
        }
        const Ticks step = std::min(step_for(sixth), span - done);
        p.propagator.advance(walk_eta_.data(), walk_next_.data(), step);
        std::swap(walk_eta_, walk_next_);
        const Jet there = jet();
        f(seconds(done), seconds(step), here, there);
        here = there;
        done += step;
    }
}

// Values of all rows at both ends of a stay, and by how much they may stray between them.
void Body::bound_stay(
    Pattern& p, const CompiledRows& rows, const double* begin, const double* end, double span_s) {
    const auto count = static_cast<std::size_t>(rows.block.stride());
    for (auto* v : {&stay_begin_, &stay_end_, &stay_stray_}) {
        v->resize(count);
    }
    rows.block.values(begin, stay_begin_.data());
    rows.block.values(end, stay_end_.data());
    const auto& rates = p.propagator.speed();
    stray_weight_.resize(rates.size());
    for (std::size_t i = 0; i < rates.size(); ++i) {
        const double turn = rates[i] * span_s;
        stray_weight_[i] = std::abs(begin[i]) * (turn > kSlow ? 2.0 : turn * turn / 8.0);
    }
    rows.amounts.values(stray_weight_.data(), stay_stray_.data());
}

void Body::observe_extremes(Pattern& p, const double* begin, Ticks span) {
    if (p.measure.version != measure_version_) {
        compile(p, p.measure, measure_probes_, measure_version_);
    }
    bound_stay(p, p.measure, begin, here_.eta.data(), seconds(span));
    for (std::size_t i = 0; i < measure_probes_.size(); ++i) {
        const double low = std::min(stay_begin_[i], stay_end_[i]);
        const double high = std::max(stay_begin_[i], stay_end_[i]);
        least_[i] = std::min(least_[i], low);
        largest_[i] = std::max(largest_[i], high);
        const double slack =
            std::max(kNewExtreme * std::max(-least_[i], largest_[i]), 1.0 / p.measure.need[i]);
        CompiledRows::Seen& seen = p.measure.seen[i];
        const double bound_high = high + stay_stray_[i], bound_low = low - stay_stray_[i];
        if (bound_high <= std::max(largest_[i], seen.high) + slack &&
            bound_low >= std::min(least_[i], seen.low) - slack) {
            continue;
        }
        seen.high = std::max(seen.high, bound_high);
        seen.low = std::min(seen.low, bound_low);
        walk(
            p,
            p.measure,
            static_cast<int>(i),
            begin,
            span,
            [&](double, double h, const Jet& a, const Jet& b) {
                double lower = std::min(a.f, b.f), upper = std::max(a.f, b.f);
                double floor = 0.0, ceiling = 0.0;
                hull_of(a, b, h, floor, ceiling);
                const bool perhaps = ceiling > largest_[i] || floor < least_[i];
                if (const auto inner = perhaps ? inner_extreme(a, b, h) : std::optional<double>()) {
                    lower = std::min(lower, *inner);
                    upper = std::max(upper, *inner);
                }
                least_[i] = std::min(least_[i], lower);
                largest_[i] = std::max(largest_[i], upper);
            });
    }
}

void Body::observe_recorded(Pattern& p, const double* begin, Ticks span) {
    if (p.record.version != recorder_.version()) {
        compile(p, p.record, recorder_.probes(), recorder_.version());
    }
    const double t0 = seconds(stay_since_), span_s = seconds(span);
    bound_stay(p, p.record, begin, here_.eta.data(), span_s);
    recorder_.each_active(stay_since_, [&](const Recorder::Line& line) {
        const auto r = static_cast<std::size_t>(line.row);
        const double low = std::min(stay_begin_[r], stay_end_[r]) - stay_stray_[r];
        const double high = std::max(stay_begin_[r], stay_end_[r]) + stay_stray_[r];
        const std::size_t known = 2 * line.at + (line.cells ? 1 : 0);
        if (p.record.seen.size() <= known) {
            p.record.seen.resize(known + 1);
        }
        if (recorder_.holds(line, t0, span_s, low, high, p.record.seen[known])) {
            const RowVector& row =
                probe_row(p, recorder_.probes()[static_cast<std::size_t>(line.row)]);
            recorder_.add_mean(
                line, t0, integral_of_row(p.modes, row, begin, here_.eta.data(), span_s));
            return;
        }
        const double scale = network()
                                 .probes()[static_cast<std::size_t>(
                                     recorder_.probes()[static_cast<std::size_t>(line.row)])]
                                 .scale;
        walk(p,
             p.record,
             line.row,
             begin,
             span,
             [&](double t, double h, const Jet& a, const Jet& b) {
                 recorder_.step(line, scale, t0 + t, h, a, b);
             });
    });
}

void Body::observe_stay() {
    Pattern& p = *pattern_;
    const Ticks span = now_ - stay_since_;
    if (span <= 0) {
        return;
    }
    // Padded as all amplitudes are: bounds are taken of them four at a time.
    stay_start_.assign(p.moments.begin(), p.moments.begin() + p.propagator.padded());
    const double* begin = stay_start_.data();
    if (spectrum_) {
        spectrum_->stay(p.modes,
                        probe_row(p, spectrum_->probe()),
                        begin,
                        here_.eta.data(),
                        seconds(stay_since_),
                        now_s());
    }
    if (measuring_ && !measure_probes_.empty()) {
        observe_extremes(p, begin, span);
    }
    if (recorder_.active(stay_since_)) {
        observe_recorded(p, begin, span);
    }
}

// Amplitudes of modes that are nearly alike are large and cancel one another; their products have
// no digits left. The state itself has. Its products are integrated by the trapezoidal rule with
// Euler and Maclaurin's first correction, on steps that follow every state.
void Body::add_plain() {
    Pattern& p = *pattern_;
    const Ticks span = now_ - stay_since_;
    const int n = space_.states(), size = n + space_.source_states(), modes = p.modes.size();
    const Matrix& source = space_.source_matrix();
    walk_eta_.assign(p.moments.begin(), p.moments.begin() + modes);
    walk_eta_.resize(static_cast<std::size_t>(p.propagator.padded()), 0.0);
    walk_next_.resize(walk_eta_.size());
    Vector z(size), slope(size);
    const auto look = [&] {
        const Eigen::Map<const Vector> eta(walk_eta_.data(), modes);
        z << p.modes.x_of(eta), p.modes.s_of(eta);
        slope << p.equations.f * z.head(n) + p.equations.g * z.tail(size - n),
            source * z.tail(size - n);
    };
    look();
    for (Ticks done = 0; done < span;) {
        const double size_of_state = z.head(n).norm() + 1e-12;
        double sixth = 0.0;
        for (std::size_t k = 0; k < p.modes.own_at.size(); ++k) {
            const auto at = static_cast<std::size_t>(p.modes.own_at[k]);
            const double share = std::abs(walk_eta_[at]) / (kFollow * size_of_state);
            sixth += followed(share, 0.25 / modes) * p.propagator.sixth_power()[at];
        }
        const Ticks step = std::min(std::max<Ticks>(step_for(sixth) / 8, 1), span - done);
        const double h = seconds(step);
        const Vector z0 = z, slope0 = slope;
        p.propagator.advance(walk_eta_.data(), walk_next_.data(), step);
        std::swap(walk_eta_, walk_next_);
        look();
        const Matrix turn = slope0 * z0.transpose() - slope * z.transpose();
        p.plain += 0.5 * h * (z0 * z0.transpose() + z * z.transpose()) +
                   h * h / 12.0 * (turn + turn.transpose());
        done += step;
    }
}

}  // namespace etchback::behaviour::detail
