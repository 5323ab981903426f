#include "behaviour/detail/recorder.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "behaviour/detail/crossing.h"

namespace etchback::behaviour::detail {

namespace {

constexpr int kMostPieces = 64;
// Straight lines between samples may be off by this part of a probe's scale.
constexpr double kStraightness = 0.2;
constexpr int kHalvings = 24;
// A stay that reaches beyond a cell's range by less than this share of it shows nothing new.
constexpr double kNothingNew = 2e-3;

// Least and largest of a step: ends and, where the slope turns, what lies between.
std::pair<double, double> range(const Jet& a, const Jet& b, double h) {
    double low = std::min(a.f, b.f), high = std::max(a.f, b.f);
    if (const auto inner = inner_extreme(a, b, h)) {
        low = std::min(low, *inner);
        high = std::max(high, *inner);
    }
    return {low, high};
}

// The same of a stretch within a step.
std::pair<double, double> range(const Quintic& q, double from, double to) {
    const double begin = q(from), end = q(to);
    double low = std::min(begin, end), high = std::max(begin, end);
    if ((q.slope(from) > 0.0) != (q.slope(to) > 0.0)) {
        const bool rises_first = q.slope(from) > 0.0;
        double left = from, right = to;
        for (int i = 0; i < kHalvings; ++i) {
            const double t = 0.5 * (left + right);
            ((q.slope(t) > 0.0) == rises_first ? left : right) = t;
        }
        low = std::min(low, q(left));
        high = std::max(high, q(left));
    }
    return {low, high};
}

// Gauss and Legendre's rule of three points is exact for a quintic.
double integral(const Quintic& q, double from, double to) {
    const double middle = 0.5 * (from + to), half = 0.5 * (to - from);
    const double out = half * std::sqrt(0.6);
    return half / 9.0 * (5.0 * q(middle - out) + 8.0 * q(middle) + 5.0 * q(middle + out));
}

}  // namespace

int Recorder::row_of(int probe) {
    const auto found = std::find(probes_.begin(), probes_.end(), probe);
    if (found != probes_.end()) {
        return static_cast<int>(found - probes_.begin());
    }
    probes_.push_back(probe);
    ++version_;
    return static_cast<int>(probes_.size()) - 1;
}

void Recorder::add_window(const std::vector<ProbeId>& probes, Ticks start, Ticks end) {
    Window w{start, end, {}, traces_.size(), false};
    for (const ProbeId p : probes) {
        w.rows.push_back(row_of(p.index));
        traces_.push_back({p, {}, {}});
    }
    windows_.push_back(std::move(w));
}

void Recorder::add_envelope(const std::vector<ProbeId>& probes, Ticks start, Ticks end, int cells) {
    Window w{start, end, {}, envelopes_.size(), true};
    const double cell = seconds(end - start) / std::max(cells, 1);
    for (const ProbeId p : probes) {
        w.rows.push_back(row_of(p.index));
        const auto n = static_cast<std::size_t>(std::max(cells, 1));
        Envelope e{p, seconds(start), cell, {}, {}, {}};
        e.low.assign(n, std::numeric_limits<double>::infinity());
        e.high.assign(n, -std::numeric_limits<double>::infinity());
        e.mean.assign(n, 0.0);
        envelopes_.push_back(std::move(e));
    }
    windows_.push_back(std::move(w));
}

bool Recorder::active(Ticks now) const {
    return std::any_of(windows_.begin(), windows_.end(), [&](const Window& w) {
        return w.start <= now && now < w.end;
    });
}

Ticks Recorder::next_boundary(Ticks now) const {
    Ticks next = std::numeric_limits<Ticks>::max();
    for (const Window& w : windows_) {
        if (w.start > now) {
            next = std::min(next, w.start);
        }
        if (w.end > now) {
            next = std::min(next, w.end);
        }
    }
    return next;
}

bool Recorder::begins_or_ends_at(Ticks now) const {
    return std::any_of(windows_.begin(), windows_.end(), [&](const Window& w) {
        return w.start == now || w.end == now;
    });
}

std::size_t Recorder::cell_of(const Envelope& e, double t) const {
    const auto cells = static_cast<double>(e.low.size());
    return static_cast<std::size_t>(std::clamp((t - e.start_s) / e.cell_s, 0.0, cells - 1.0));
}

bool Recorder::holds(const Line& line,
                     double t0,
                     double span_s,
                     double low,
                     double high,
                     CompiledRows::Seen& seen) const {
    if (!line.cells) {
        return false;
    }
    const Envelope& e = envelopes_[line.at];
    const std::size_t cell = cell_of(e, t0);
    if (cell != cell_of(e, t0 + span_s)) {
        return false;
    }
    if (seen.cell != cell) {
        seen = {};
        seen.cell = cell;
    }
    const double slack = kNothingNew * (e.high[cell] - e.low[cell]);
    if (std::min(e.low[cell], seen.low) - slack <= low &&
        high <= std::max(e.high[cell], seen.high) + slack) {
        return true;
    }
    seen.low = std::min(seen.low, low);
    seen.high = std::max(seen.high, high);
    return false;
}

void Recorder::add_mean(const Line& line, double t0, double integral) {
    Envelope& e = envelopes_[line.at];
    e.mean[cell_of(e, t0)] += integral / e.cell_s;
}

void Recorder::step(
    const Line& line, double scale, double t0, double h, const Jet& a, const Jet& b) {
    line.cells ? into_cells(line, t0, h, a, b) : into_trace(line, scale, t0, h, a, b);
}

void Recorder::into_trace(
    const Line& line, double scale, double t0, double h, const Jet& a, const Jet& b) {
    Trace& trace = traces_[line.at];
    const auto put = [&](double t, double value) {
        trace.t_s.push_back(t);
        trace.value.push_back(value);
    };
    if (trace.t_s.empty() || trace.t_s.back() != t0 || trace.value.back() != a.f) {
        put(t0, a.f);
    }
    const double bend =
        std::max({std::abs(a.f2), std::abs(b.f2), std::abs(b.f1 - a.f1) / h}) * h * h / 8.0;
    const int pieces = std::clamp(
        static_cast<int>(std::ceil(std::sqrt(bend / (kStraightness * scale)))), 1, kMostPieces);
    if (pieces > 1) {
        const Quintic q(a, b, h);
        for (int k = 1; k < pieces; ++k) {
            put(t0 + h * k / pieces, q(h * k / pieces));
        }
    }
    put(t0 + h, b.f);
}

void Recorder::into_cells(const Line& line, double t0, double h, const Jet& a, const Jet& b) {
    Envelope& e = envelopes_[line.at];
    const Quintic q(a, b, h);
    const std::size_t first = cell_of(e, t0), last = cell_of(e, t0 + h);
    if (first == last) {
        const auto [low, high] = range(a, b, h);
        e.low[first] = std::min(e.low[first], low);
        e.high[first] = std::max(e.high[first], high);
        // Integral of the quintic between its ends.
        e.mean[first] += (0.5 * h * (a.f + b.f) + h * h / 10.0 * (a.f1 - b.f1) +
                          h * h * h / 120.0 * (a.f2 + b.f2)) /
                         e.cell_s;
        return;
    }
    for (std::size_t cell = first; cell <= last; ++cell) {
        const double begins = e.start_s + static_cast<double>(cell) * e.cell_s - t0;
        const double from = std::max(0.0, begins);
        const double to = cell == last ? h : std::clamp(begins + e.cell_s, from, h);
        const auto [low, high] = range(q, from, to);
        e.low[cell] = std::min(e.low[cell], low);
        e.high[cell] = std::max(e.high[cell], high);
        e.mean[cell] += integral(q, from, to) / e.cell_s;
    }
}

}  // namespace etchback::behaviour::detail
