#include "bench/events.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace etchback::bench {
namespace {

std::vector<double> without_gaps(std::span<const double> samples) {
    std::vector<double> out(samples.begin(), samples.end());
    double last = 0.0;
    for (double& v : out) {
        last = v = std::isnan(v) ? last : v;
    }
    return out;
}

double quantile(std::vector<double> values, double share) {
    const auto at =
        static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1) + 0.5);
    std::nth_element(values.begin(), values.begin() + at, values.end());
    return values[static_cast<std::size_t>(at)];
}

// Levels of a signal with two: medians on either side of the middle of its range.
struct Levels {
    double low, high;
    double middle() const { return 0.5 * (low + high); }
};
Levels levels_of(const std::vector<double>& y) {
    double middle = 0.5 * (quantile(y, 0.002) + quantile(y, 0.998));
    std::vector<double> low, high;
    for (const double v : y) {
        (v > middle ? high : low).push_back(v);
    }
    if (low.empty() || high.empty()) {
        return {y.front(), y.front()};
    }
    return {quantile(std::move(low), 0.5), quantile(std::move(high), 0.5)};
}

double mean_of(std::span<const double> y) {
    double sum = 0.0;
    for (const double v : y) {
        sum += v;
    }
    return y.empty() ? 0.0 : sum / static_cast<double>(y.size());
}

// The step of the converter, or the least difference that there is; zero where all are alike.
double quantum_of(const std::vector<double>& y) {
    double least = 0.0;
    for (std::size_t k = 1; k < y.size(); ++k) {
        const double step = std::abs(y[k] - y[k - 1]);
        least = step > 0.0 && (least == 0.0 || step < least) ? step : least;
    }
    return least;
}

// Noise of single samples, from how a curve departs from the straight line of its neighbours; steps
// and steep slopes are outnumbered. Quantisation that hides the noise counts as its own.
double noise_of(const std::vector<double>& y) {
    std::vector<double> bends;
    for (std::size_t k = 1; k + 1 < y.size(); ++k) {
        bends.push_back(std::abs(y[k - 1] - 2.0 * y[k] + y[k + 1]));
    }
    if (bends.empty()) {
        return 0.0;
    }
    // 1.48 times the median of a normal spread is its r.m.s.; three samples make the square root of
    // six of one.
    return std::max(1.48 * quantile(std::move(bends), 0.5) / std::sqrt(6.0),
                    quantum_of(y) / std::sqrt(12.0));
}

struct Edges {
    std::vector<double> rises, falls;  // in samples
    double u = 0.0;                    // of one of them, r.m.s., in samples
    double u_middle = 0.0;             // of all of them together, by the middle between the levels
};
Edges edges_of(const std::vector<double>& y, const Levels& levels) {
    Edges edges;
    const double noise = noise_of(y), coarse = 1.0 / std::sqrt(12.0);
    double steepness = 0.0, squares = 0.0, of_middle = 0.0;
    const double u_level = quantum_of(y) / std::sqrt(24.0);  // of the mean of two rounded levels
    const double reach = 0.1 * (levels.high - levels.low), middle = levels.middle();
    bool high = y.front() > middle;
    double crossing = -1.0;
    for (std::size_t k = 1; k < y.size(); ++k) {
        if ((y[k - 1] <= middle) != (y[k] <= middle)) {
            crossing = static_cast<double>(k - 1) + (middle - y[k - 1]) / (y[k] - y[k - 1]);
            steepness = std::abs(y[k] - y[k - 1]);
        }
        const bool rises = !high && y[k] > middle + reach;
        if (rises || (high && y[k] < middle - reach)) {
            high = rises;
            (rises ? edges.rises : edges.falls).push_back(crossing);
            // An edge within one step lies anywhere in it; of a slower one, noise moves the
            // crossing: between two samples by 0.8 of what it does to one.
            const bool sudden = steepness > 0.9 * (levels.high - levels.low);
            const double u = sudden ? coarse : std::min(coarse, 0.8 * noise / steepness);
            squares += u * u;
            of_middle += sudden ? 0.0 : u_level / steepness;
        }
    }
    const auto count = static_cast<double>(edges.rises.size() + edges.falls.size());
    edges.u = count > 0.0 ? std::sqrt(squares / count) : coarse;
    edges.u_middle = count > 0.0 ? of_middle / count : 0.0;
    return edges;
}

// Where a curve passes a level near sample `near`, with its uncertainty, in samples. A parabola is
// fitted to the stretch that lies within a twentieth of the level on either side, of three samples
// at the least; without noise the crossing of the straight line between two samples stays.
struct Crossing {
    double at = 0.0, u = 0.0;
};
Crossing crossing_near(const std::vector<double>& y, std::size_t near, double level) {
    const double reach = 0.05 * std::abs(level), noise = noise_of(y);
    std::size_t from = near, to = near;
    const auto inside = [&](std::size_t k) {
        // A mean of three, so that one sample of noise does not end the stretch.
        const std::size_t a = k > 0 ? k - 1 : k, b = std::min(k + 1, y.size() - 1);
        return std::abs((y[a] + y[k] + y[b]) / 3.0 - level) < reach;
    };
    while (from > 0 && near - from < 400 && inside(from - 1)) {
        --from;
    }
    while (to + 1 < y.size() && to - near < 400 && inside(to + 1)) {
        ++to;
    }
    const std::size_t n = to - from + 1;
    if (n < 6) {
        const double step = near > 0 ? std::abs(y[near] - y[near - 1]) : 0.0;
        const double part = step > 0.0 ? std::abs(level - y[near]) / step : 0.0;
        return {static_cast<double>(near) - std::min(1.0, part),
                std::min(1.0 / std::sqrt(12.0), step > 0.0 ? noise / step : 1.0)};
    }
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    const double middle = 0.5 * static_cast<double>(from + to);
    for (std::size_t k = from; k <= to; ++k) {
        const double t = static_cast<double>(k) - middle;
        const Eigen::Vector3d x(1.0, t, t * t);
        normal += x * x.transpose();
        right += x * (y[k] - level);
    }
    const Eigen::Vector3d c = normal.ldlt().solve(right);
    double t = static_cast<double>(near) - middle;
    for (int round = 0; round < 20; ++round) {
        const double slope = c[1] + 2.0 * c[2] * t;
        t -= slope != 0.0 ? (c[0] + c[1] * t + c[2] * t * t) / slope : 0.0;
        t = std::clamp(t, -0.5 * static_cast<double>(n), 0.5 * static_cast<double>(n));
    }
    const double slope = c[1] + 2.0 * c[2] * t;
    double squares = 0.0;
    for (std::size_t k = from; k <= to; ++k) {
        const double s = static_cast<double>(k) - middle;
        const double rest = y[k] - level - c[0] - c[1] * s - c[2] * s * s;
        squares += rest * rest;
    }
    const Eigen::Vector3d x(1.0, t, t * t);
    const double variance = std::max(squares / (static_cast<double>(n) - 3.0), noise * noise) *
                            (x.transpose() * normal.inverse() * x)(0, 0);
    return {middle + t, slope != 0.0 ? std::sqrt(variance) / std::abs(slope) : 1.0};
}

}  // namespace

std::optional<Switching> find_switching(std::span<const double> samples, double dt_s) {
    if (samples.size() < 8) {
        return std::nullopt;
    }
    const std::vector<double> y = without_gaps(samples);
    const Levels levels = levels_of(y);
    if (!(levels.high > levels.low)) {
        return std::nullopt;
    }
    const Edges edges = edges_of(y, levels);
    if (edges.rises.size() < 3) {
        return std::nullopt;
    }
    Switching result;
    result.low = levels.low;
    result.high = levels.high;
    std::vector<double> periods;
    for (std::size_t k = 1; k < edges.rises.size(); ++k) {
        periods.push_back((edges.rises[k] - edges.rises[k - 1]) * dt_s);
    }
    const double n = static_cast<double>(periods.size());
    const double span = (edges.rises.back() - edges.rises.front()) * dt_s;
    const double u_edge = edges.u * dt_s;  // of both ends of the span
    result.frequency_hz = {n / span, n / span * std::sqrt(2.0) * u_edge / span};
    result.least_hz = 1.0 / quantile(periods, 0.99);
    result.largest_hz = 1.0 / quantile(periods, 0.01);
    double above = 0.0;
    std::size_t fall = 0;
    for (std::size_t k = 0; k + 1 < edges.rises.size(); ++k) {
        while (fall < edges.falls.size() && edges.falls[fall] < edges.rises[k]) {
            ++fall;
        }
        if (fall < edges.falls.size()) {
            above += std::min(edges.falls[fall], edges.rises[k + 1]) - edges.rises[k];
        }
    }
    // Single edges are wrong each for itself; a middle that lies too high makes all of them so.
    result.duty = {above * dt_s / span,
                   std::hypot(std::sqrt(2.0 * n) * u_edge, 2.0 * n * edges.u_middle * dt_s) / span};
    for (const double rise : edges.rises) {
        result.rises_s.push_back(rise * dt_s);
    }
    return result;
}

std::optional<Ringing> find_ringing(std::span<const double> samples, double dt_s) {
    using Vector5 = Eigen::Matrix<double, 5, 1>;
    const std::vector<double> y = without_gaps(samples);
    if (y.size() < 16) {
        return std::nullopt;
    }
    const double level = mean_of(std::span(y).subspan(y.size() / 2));
    std::vector<double> crossings;
    double most = 0.0;
    for (std::size_t k = 0; k < y.size(); ++k) {
        most = std::max(most, std::abs(y[k] - level));
    }
    bool high = y.front() > level;
    double last = 0.0;
    const double reach = std::max(0.05 * most, 4.0 * noise_of(y));
    for (std::size_t k = 1; k < y.size(); ++k) {
        if ((y[k - 1] <= level) != (y[k] <= level)) {
            last = static_cast<double>(k - 1) + (level - y[k - 1]) / (y[k] - y[k - 1]);
        }
        if ((high && y[k] < level - reach) || (!high && y[k] > level + reach)) {
            high = !high;
            crossings.push_back(last);
        }
    }
    if (crossings.size() < 4) {
        return std::nullopt;
    }
    // The median: noise may make a late crossing, far behind the others.
    std::vector<double> halves;
    for (std::size_t k = 1; k < crossings.size(); ++k) {
        halves.push_back(crossings[k] - crossings[k - 1]);
    }
    const double half = quantile(std::move(halves), 0.5);
    double w = std::numbers::pi / (half * dt_s);
    // Decay from the energy of the two halves of what rings.
    const auto end = std::min(y.size(), static_cast<std::size_t>(crossings.back() + half));
    double first = 0.0, second = 0.0;
    for (std::size_t k = 0; k < end; ++k) {
        (2 * k < end ? first : second) += (y[k] - level) * (y[k] - level);
    }
    double decay = first > 1.02 * second && second > 0.0
                       ? std::log(first / second) / (static_cast<double>(end) * dt_s)
                       : 0.1 / (static_cast<double>(end) * dt_s);
    // Linear in a, b and c; Gauss-Newton for decay and w.
    Eigen::Matrix<double, 5, 5> normal;
    Vector5 solution = Vector5::Zero();
    double rest = 0.0;
    for (int round = 0; round < 60; ++round) {
        Eigen::Matrix3d linear = Eigen::Matrix3d::Zero();
        Eigen::Vector3d right = Eigen::Vector3d::Zero();
        for (std::size_t k = 0; k < y.size(); ++k) {
            const double t = static_cast<double>(k) * dt_s, e = std::exp(-decay * t);
            const Eigen::Vector3d x(e * std::cos(w * t), e * std::sin(w * t), 1.0);
            linear += x * x.transpose();
            right += y[k] * x;
        }
        const Eigen::Vector3d c = linear.ldlt().solve(right);
        normal.setZero();
        Vector5 gradient = Vector5::Zero();
        rest = 0.0;
        for (std::size_t k = 0; k < y.size(); ++k) {
            const double t = static_cast<double>(k) * dt_s, e = std::exp(-decay * t);
            const double co = e * std::cos(w * t), si = e * std::sin(w * t);
            Vector5 x;
            x << co, si, 1.0, -t * (c[0] * co + c[1] * si), t * (c[1] * co - c[0] * si);
            const double r = y[k] - c[0] * co - c[1] * si - c[2];
            normal += x * x.transpose();
            gradient += r * x;
            rest += r * r;
        }
        const Vector5 step = normal.ldlt().solve(gradient);
        solution << c[0], c[1], c[2], decay, w;
        decay = std::clamp(decay + std::clamp(step[3], -0.5 * decay, decay), 1e-9 * w, w);
        w += std::clamp(step[4], -0.1 * w, 0.1 * w);
        if (std::abs(step[4]) < 1e-10 * w && std::abs(step[3]) < 1e-8 * decay) {
            break;
        }
    }
    // The search may end elsewhere: at no decay, or far from where the crossings were.
    const double begun = std::numbers::pi / (half * dt_s);
    if (std::abs(w - begun) > 0.3 * begun || decay < 1e-6 * w || decay > 0.5 * w) {
        return std::nullopt;
    }
    const double amplitude = std::hypot(solution[0], solution[1]);
    const double sigma2 = rest / std::max(1.0, static_cast<double>(y.size()) - 5.0);
    if (amplitude < 2.0 * std::sqrt(sigma2)) {
        return std::nullopt;
    }
    const Eigen::Matrix<double, 5, 5> covariance = normal.inverse() * sigma2;
    Ringing result;
    result.frequency_hz = {w / (2.0 * std::numbers::pi),
                           std::sqrt(covariance(4, 4)) / (2.0 * std::numbers::pi)};
    result.decay_s = {1.0 / decay, std::sqrt(covariance(3, 3)) / (decay * decay)};
    result.amplitude = {amplitude, std::sqrt(std::max(covariance(0, 0), covariance(1, 1)))};
    result.damping_ratio = decay / std::hypot(decay, w);
    result.level = solution[2];
    return result;
}

Resonance resonance_of(const Estimate& alone_hz, const Estimate& with_hz, const Estimate& added_f) {
    const std::array<Estimate, 3> inputs = {alone_hz, with_hz, added_f};
    const Model capacitance = [](std::span<const double> x) {
        const double ratio = x[0] / x[1];
        return x[2] / (ratio * ratio - 1.0);
    };
    const Model inductance = [capacitance](std::span<const double> x) {
        const double w = 2.0 * std::numbers::pi * x[0];
        return 1.0 / (w * w * capacitance(x));
    };
    return {propagate(capacitance, inputs), propagate(inductance, inputs)};
}

std::optional<Estimate> start_up_time(std::span<const double> samples, double dt_s, double share) {
    if (samples.size() < 8) {
        return std::nullopt;
    }
    const std::vector<double> y = without_gaps(samples);
    const double last = mean_of(std::span(y).last(y.size() / 8));
    const double first = y.front(), threshold = share * last;
    if (!(std::abs(last) > 0.0) || std::abs(first) >= share * std::abs(last)) {
        return std::nullopt;
    }
    const double sign = last > 0.0 ? 1.0 : -1.0;
    // It "stays" if its mean over a hundredth of the record does: ripple may dip below.
    const std::size_t stretch = std::max<std::size_t>(1, y.size() / 100);
    std::size_t reached = y.size();
    double sum = 0.0;
    for (std::size_t k = y.size(); k-- > 0;) {
        sum += y[k];
        if (k + stretch < y.size()) {
            sum -= y[k + stretch];
        }
        const double n = static_cast<double>(std::min(stretch, y.size() - k));
        if (sign * sum / n < sign * threshold) {
            break;
        }
        reached = k;
    }
    if (reached == y.size() || reached == 0) {
        return std::nullopt;
    }
    while (reached < y.size() && sign * y[reached] < sign * threshold) {
        ++reached;
    }
    const Crossing crossing = crossing_near(y, reached, threshold);
    return Estimate{crossing.at * dt_s, crossing.u * dt_s};
}

std::optional<Estimate> hold_up_time(std::span<const double> supply,
                                     std::span<const double> output,
                                     double dt_s,
                                     double share) {
    if (supply.size() != output.size() || supply.size() < 16) {
        return std::nullopt;
    }
    const std::vector<double> s = without_gaps(supply), o = without_gaps(output);
    double most = 0.0;
    for (const double v : s) {
        most = std::max(most, std::abs(v));
    }
    std::size_t off = s.size();
    while (off > 0 && std::abs(s[off - 1]) <= 0.1 * most) {
        --off;
    }
    if (off == 0 || off == s.size()) {
        return std::nullopt;
    }
    const double before = mean_of(std::span(o).first(off));
    // For good, or for longer than noise does: three in a row.
    int below = 0;
    for (std::size_t k = off; k < o.size(); ++k) {
        below = std::abs(o[k]) < share * std::abs(before) ? below + 1 : 0;
        if (below == 3) {
            const Crossing crossing = crossing_near(o, k - 2, share * before);
            // The supply went between the last sample that showed it and the next.
            const double lost = static_cast<double>(off) - 0.5;
            return Estimate{(crossing.at - lost) * dt_s,
                            std::hypot(crossing.u, 1.0 / std::sqrt(12.0)) * dt_s};
        }
    }
    return std::nullopt;
}

std::optional<Inrush> find_inrush(std::span<const double> current, double dt_s, double u_gain) {
    const std::vector<double> y = without_gaps(current);
    const auto at = std::max_element(
        y.begin(), y.end(), [](double a, double b) { return std::abs(a) < std::abs(b); });
    if (at == y.end() || *at == 0.0) {
        return std::nullopt;
    }
    const double peak = std::abs(*at);
    auto from = at, to = at;
    while (from != y.begin() && std::abs(*(from - 1)) >= 0.1 * peak) {
        --from;
    }
    while (to != y.end() && std::abs(*to) >= 0.1 * peak) {
        ++to;
    }
    double sum = 0.0;
    for (auto k = from; k != to; ++k) {
        sum += *k * *k * dt_s;
    }
    const double fast = static_cast<double>(to - from);  // a short pulse is known by few samples
    const double noise = noise_of(y) / peak;  // the largest sample is one that noise has raised
    return Inrush{{peak, peak * std::hypot(u_gain, 0.3 / fast, noise)},
                  {sum, sum * std::hypot(2.0 * u_gain, 0.5 / fast)},
                  static_cast<double>(at - y.begin()) * dt_s};
}

std::optional<Estimate> hiccup_period(std::span<const double> samples, double dt_s) {
    if (samples.size() < 200) {
        return std::nullopt;
    }
    const std::vector<double> y = without_gaps(samples);
    // The envelope: largest value in each two-hundredth of the record.
    constexpr std::size_t kCells = 200;
    std::vector<double> envelope(kCells, -1e308);
    for (std::size_t k = 0; k < y.size(); ++k) {
        double& cell = envelope[k * kCells / y.size()];
        cell = std::max(cell, y[k]);
    }
    const double cell_s = dt_s * static_cast<double>(y.size()) / kCells;
    const Levels levels = levels_of(envelope);
    if (!(levels.high - levels.low > 0.2 * std::abs(levels.high))) {
        return std::nullopt;
    }
    const Edges edges = edges_of(envelope, levels);
    if (edges.rises.size() < 2) {
        return std::nullopt;
    }
    const double n = static_cast<double>(edges.rises.size() - 1);
    return Estimate{(edges.rises.back() - edges.rises.front()) * cell_s / n,
                    cell_s / std::sqrt(6.0) / n};
}

Ripple ripple_of(std::span<const double> samples) {
    std::vector<double> y;
    std::copy_if(samples.begin(), samples.end(), std::back_inserter(y), [](double v) {
        return !std::isnan(v);
    });
    if (y.empty()) {
        return {};
    }
    Ripple ripple;
    ripple.mean = mean_of(y);
    double squares = 0.0;
    for (const double v : y) {
        squares += (v - ripple.mean) * (v - ripple.mean);
    }
    ripple.rms = std::sqrt(squares / static_cast<double>(y.size()));
    ripple.peak_to_peak = quantile(y, 0.9995) - quantile(y, 0.0005);
    return ripple;
}

}  // namespace etchback::bench
