#include "bench/course.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace etchback::bench {
namespace {

constexpr std::size_t kLeastPeriods = 30;
constexpr double kLeastSamplesOfSwing = 8.0;

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

// Of a median of n values that scatter like this: 1.25 of the standard deviation of their mean,
// the scatter taken from the median distance to the median (times 1.48 for a normal spread).
double u_of_median(const std::vector<double>& values, double middle) {
    std::vector<double> away;
    for (const double v : values) {
        away.push_back(std::abs(v - middle));
    }
    return 1.25 * 1.48 * median(std::move(away)) / std::sqrt(static_cast<double>(values.size()));
}

struct Stretch {
    std::size_t from, to;
};

// Between an edge and the next crossing of the middle, whichever way.
std::vector<Stretch> stretches_of(std::span<const double> y, const Switching& s, After edge) {
    const double middle = 0.5 * (s.low + s.high), reach = 0.1 * (s.high - s.low);
    std::vector<Stretch> all;
    bool high = y.front() > middle;
    std::optional<std::size_t> open;
    for (std::size_t k = 1; k < y.size(); ++k) {
        const bool rises = !high && y[k] > middle + reach;
        const bool falls = high && y[k] < middle - reach;
        if (!rises && !falls) {
            continue;
        }
        if (open) {
            all.push_back({*open, k});
        }
        high = rises;
        open = rises == (edge == After::rise) ? std::optional(k) : std::nullopt;
    }
    return all;
}

// From the furthest swing after the edge on: until there something may hold it, such as a clamp.
// What rings at an edge has rung out, or is as good as that, after an eighth of a period; what
// comes later in it is something else.
std::span<const double> ringing_part(std::span<const double> y, const Stretch& s, double period) {
    const bool up = y[s.from] > y[s.from - 1];
    const std::size_t end =
        std::min(s.to - (s.to - s.from) / 50, s.from + static_cast<std::size_t>(period / 8.0));
    std::size_t from = s.from;
    for (std::size_t k = s.from; k < end; ++k) {
        from = (up ? y[k] > y[from] : y[k] < y[from]) ? k : from;
    }
    return from + 16 < end ? y.subspan(from, end - from) : std::span<const double>{};
}

}  // namespace

std::optional<FrequencyCourse> frequency_course(const Switching& switching, double dt_s) {
    const std::vector<double>& rises = switching.rises_s;
    if (rises.size() <= kLeastPeriods) {
        return std::nullopt;
    }
    const std::size_t per_stretch = std::max<std::size_t>(10, rises.size() / 100);
    FrequencyCourse course;
    course.span_s = rises.back() - rises.front();
    std::vector<double> u;
    for (std::size_t from = 0; from + per_stretch < rises.size(); from += per_stretch) {
        std::vector<double> periods;
        for (std::size_t k = from; k < from + per_stretch; ++k) {
            periods.push_back(rises[k + 1] - rises[k]);
        }
        // The middle six tenths: a missed or doubled edge lies outside them, and their mean is
        // finer than one sample.
        std::sort(periods.begin(), periods.end());
        const std::size_t cut = periods.size() / 5;
        double period = 0.0, squares = 0.0;
        const double kept = static_cast<double>(periods.size() - 2 * cut);
        for (std::size_t k = cut; k + cut < periods.size(); ++k) {
            period += periods[k] / kept;
        }
        for (std::size_t k = cut; k + cut < periods.size(); ++k) {
            squares += (periods[k] - period) * (periods[k] - period);
        }
        // Of the whole spread the middle shows about a third (of a normal one 0.36).
        const double spread = std::sqrt(squares / kept) / 0.36;
        if (spread > 0.15 * period) {
            continue;  // no frequency stands here: the mains passes through nothing
        }
        course.t_s.push_back(0.5 * (rises[from] + rises[from + per_stretch]));
        course.hz.push_back(1.0 / period);
        const double coarse = dt_s / std::sqrt(6.0 * kept);
        u.push_back(std::hypot(spread / std::sqrt(kept), coarse) / (period * period));
    }
    if (course.hz.empty()) {
        return std::nullopt;
    }
    const auto [least, largest] = std::minmax_element(course.hz.begin(), course.hz.end());
    const auto low = static_cast<std::size_t>(least - course.hz.begin());
    const auto high = static_cast<std::size_t>(largest - course.hz.begin());
    course.least_hz = {course.hz[low], u[low]};
    course.largest_hz = {course.hz[high], u[high]};
    course.least_at_s = course.t_s[low];
    course.largest_at_s = course.t_s[high];
    return course;
}

std::optional<RingingFound> ringing_after(std::span<const double> samples,
                                          double dt_s,
                                          After edge) {
    const auto switching = find_switching(samples, dt_s);
    if (!switching) {
        return std::nullopt;
    }
    std::vector<double> y(samples.begin(), samples.end());
    double last = switching->low;
    for (double& v : y) {
        last = v = std::isnan(v) ? last : v;
    }
    constexpr std::size_t most = 60;
    const std::vector<Stretch> stretches = stretches_of(y, *switching, edge);
    const std::size_t step = stretches.size() / most + 1;
    const double period = 1.0 / (switching->frequency_hz.value * dt_s);
    std::vector<Ringing> found;
    std::vector<double> begins;
    for (std::size_t k = 0; k < stretches.size(); k += step) {
        const auto part = ringing_part(y, stretches[k], period);
        const auto ringing = part.empty() ? std::nullopt : find_ringing(part, dt_s);
        if (ringing && 1.0 / (ringing->frequency_hz.value * dt_s) >= kLeastSamplesOfSwing &&
            ringing->decay_s.value > 0.0) {
            found.push_back(*ringing);
            begins.push_back(static_cast<double>(part.data() - y.data()) * dt_s);
        }
    }
    if (found.size() < 3) {
        return std::nullopt;
    }
    std::vector<double> all;
    for (const Ringing& one : found) {
        all.push_back(one.frequency_hz.value);
    }
    const double middle = median(all);
    std::vector<double> hz, decay, amplitude, damping;
    RingingFound result;
    for (std::size_t k = 0; k < found.size(); ++k) {
        if (std::abs(found[k].frequency_hz.value - middle) < 0.1 * middle) {
            hz.push_back(found[k].frequency_hz.value);
            decay.push_back(found[k].decay_s.value);
            amplitude.push_back(found[k].amplitude.value);
            damping.push_back(found[k].damping_ratio);
            result.at_s = hz.size() == 1 ? begins[k] : result.at_s;
        }
    }
    if (hz.size() < 3) {
        return std::nullopt;
    }
    result.frequency_hz.value = median(hz);
    result.frequency_hz.u = u_of_median(hz, result.frequency_hz.value);
    result.decay_s.value = median(decay);
    result.decay_s.u = u_of_median(decay, result.decay_s.value);
    result.damping_ratio = median(damping);
    result.amplitude = median(amplitude);
    result.stretches = hz.size();
    return result;
}

Estimate other_of_resonance(const Estimate& frequency_hz, const Estimate& known) {
    const double omega = 2.0 * std::numbers::pi * frequency_hz.value;
    const double other = 1.0 / (omega * omega * known.value);
    return {other,
            other * std::hypot(2.0 * frequency_hz.u / frequency_hz.value, known.u / known.value)};
}

}  // namespace etchback::bench
