#include "bench/lay_over.h"

#include <algorithm>
#include <cmath>

namespace etchback::bench {
namespace {

constexpr std::size_t kPoints = 512;

void set_figures(LaidOver& both) {
    double squares = 0.0, of_simulated = 0.0, sum = 0.0;
    for (std::size_t k = 0; k < both.t_s.size(); ++k) {
        const double difference = both.measured[k] - both.simulated[k];
        squares += difference * difference;
        of_simulated += both.simulated[k] * both.simulated[k];
        sum += difference;
        both.measured_peak = std::max(both.measured_peak, std::abs(both.measured[k]));
        both.simulated_peak = std::max(both.simulated_peak, std::abs(both.simulated[k]));
    }
    const double n = static_cast<double>(both.t_s.size());
    both.rms = std::sqrt(squares / n);
    both.mean = sum / n;
    both.rms_share = of_simulated > 0.0 ? std::sqrt(squares / of_simulated) : 0.0;
}

// The least of a parabola through three values around the middle one: -0.5 ... 0.5.
double vertex(double before, double at, double after) {
    const double bend = before - 2.0 * at + after;
    return bend > 0.0 ? std::clamp(0.5 * (before - after) / bend, -0.5, 0.5) : 0.0;
}

double around(std::span<const double> cycle, double turn) {
    const double at = (turn - std::floor(turn)) * static_cast<double>(cycle.size());
    const auto cell = static_cast<std::size_t>(at) % cycle.size();
    return std::lerp(cycle[cell], cycle[(cell + 1) % cycle.size()], at - std::floor(at));
}

// Mean square of the difference where `simulated` is moved to begin at `at_s` of the record.
double misfit(const Curve& measured, const Curve& simulated, double at_s, std::size_t points) {
    const double span = simulated.end_s() - simulated.start_s();
    double sum = 0.0;
    for (std::size_t k = 0; k < points; ++k) {
        const double t = span * static_cast<double>(k) / static_cast<double>(points - 1);
        const double d = measured.at(at_s + t) - simulated.at(simulated.start_s() + t);
        sum += d * d;
    }
    return sum;
}

}  // namespace

double Curve::at(double t) const {
    const auto after = std::lower_bound(t_s.begin(), t_s.end(), t);
    if (after == t_s.begin()) {
        return value.front();
    }
    if (after == t_s.end()) {
        return value.back();
    }
    const auto k = static_cast<std::size_t>(after - t_s.begin());
    const double step = t_s[k] - t_s[k - 1];
    return step > 0.0 ? std::lerp(value[k - 1], value[k], (t - t_s[k - 1]) / step) : value[k];
}

Curve curve_of(std::span<const double> samples, double dt_s, double start_s) {
    Curve curve;
    for (std::size_t k = 0; k < samples.size(); ++k) {
        if (!std::isnan(samples[k])) {
            curve.t_s.push_back(start_s + dt_s * static_cast<double>(k));
            curve.value.push_back(samples[k]);
        }
    }
    return curve;
}

std::optional<LaidOver> lay_over_cycle(std::span<const double> measured,
                                       std::span<const double> simulated,
                                       double period_s) {
    if (measured.size() < 8 || simulated.size() < 8 || !(period_s > 0.0)) {
        return std::nullopt;
    }
    LaidOver both;
    for (std::size_t k = 0; k < kPoints; ++k) {
        const double turn = static_cast<double>(k) / kPoints;
        both.t_s.push_back(turn * period_s);
        both.measured.push_back(around(measured, turn));
        both.simulated.push_back(around(simulated, turn));
    }
    set_figures(both);
    // A shift of at most a tenth of a turn either way.
    constexpr int most = static_cast<int>(kPoints) / 10;
    std::vector<double> sums;
    for (int shift = -most; shift <= most; ++shift) {
        double sum = 0.0;
        for (int k = 0; k < static_cast<int>(kPoints); ++k) {
            const auto from = static_cast<std::size_t>((k - shift + 2 * static_cast<int>(kPoints)) %
                                                       static_cast<int>(kPoints));
            const double d = both.measured[static_cast<std::size_t>(k)] - both.simulated[from];
            sum += d * d;
        }
        sums.push_back(sum);
    }
    const auto least =
        static_cast<std::size_t>(std::min_element(sums.begin(), sums.end()) - sums.begin());
    const double part = least > 0 && least + 1 < sums.size()
                            ? vertex(sums[least - 1], sums[least], sums[least + 1])
                            : 0.0;
    both.later_s = (static_cast<double>(least) - most + part) * period_s / kPoints;
    return both;
}

std::optional<LaidOver> lay_over_best(const Curve& measured, const Curve& simulated) {
    if (measured.empty() || simulated.empty()) {
        return std::nullopt;
    }
    const double span = simulated.end_s() - simulated.start_s();
    const double room = measured.end_s() - measured.start_s() - span;
    if (!(span > 0.0 && room > 0.0)) {
        return std::nullopt;
    }
    // First in steps of two samples with few points, then finely around the best.
    const double dt =
        (measured.end_s() - measured.start_s()) / static_cast<double>(measured.t_s.size() - 1);
    const auto points =
        static_cast<std::size_t>(std::clamp(span / dt, 64.0, static_cast<double>(kPoints)));
    const auto steps =
        std::clamp<std::size_t>(static_cast<std::size_t>(room / (2.0 * dt)), 1, 4000);
    double best_s = measured.start_s(), least = misfit(measured, simulated, best_s, points);
    for (std::size_t k = 1; k <= steps; ++k) {
        const double at =
            measured.start_s() + room * static_cast<double>(k) / static_cast<double>(steps);
        const double sum = misfit(measured, simulated, at, points);
        if (sum < least) {
            least = sum;
            best_s = at;
        }
    }
    for (double step = room / static_cast<double>(steps) / 2.0; step > dt / 32.0; step /= 2.0) {
        for (const double at : {best_s - step, best_s + step}) {
            if (at < measured.start_s() || at > measured.start_s() + room) {
                continue;
            }
            const double sum = misfit(measured, simulated, at, points);
            if (sum < least) {
                least = sum;
                best_s = at;
            }
        }
    }
    LaidOver both;
    const std::size_t shown = 2 * kPoints;
    for (std::size_t k = 0; k < shown; ++k) {
        const double t = span * static_cast<double>(k) / static_cast<double>(shown - 1);
        both.t_s.push_back(t);
        both.measured.push_back(measured.at(best_s + t));
        both.simulated.push_back(simulated.at(simulated.start_s() + t));
    }
    set_figures(both);
    both.later_s = best_s;
    return both;
}

std::optional<LaidOver> lay_over_start(const Curve& measured, const Curve& simulated) {
    if (measured.empty() || simulated.empty()) {
        return std::nullopt;
    }
    const double span =
        std::min(measured.end_s() - measured.start_s(), simulated.end_s() - simulated.start_s());
    if (!(span > 0.0)) {
        return std::nullopt;
    }
    LaidOver both;
    for (std::size_t k = 0; k < kPoints; ++k) {
        const double t = span * static_cast<double>(k) / (kPoints - 1);
        both.t_s.push_back(t);
        both.measured.push_back(measured.at(measured.start_s() + t));
        both.simulated.push_back(simulated.at(simulated.start_s() + t));
    }
    set_figures(both);
    double least = -1.0;
    for (int shift = -64; shift <= 64; ++shift) {  // of an eighth of the span at most
        const double by = span * shift / 512.0;
        double sum = 0.0;
        for (std::size_t k = 64; k + 64 < kPoints; ++k) {
            const double d =
                both.measured[k] - simulated.at(simulated.start_s() + both.t_s[k] - by);
            sum += d * d;
        }
        if (least < 0.0 || sum < least) {
            least = sum;
            both.later_s = by;
        }
    }
    return both;
}

}  // namespace etchback::bench
