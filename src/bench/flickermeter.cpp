#include "bench/flickermeter.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

namespace etchback::bench {
namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kSettling_s = 12.0;  // four time constants of the high pass
constexpr double kLeastSpan_s = 60.0;
constexpr double kWorkingRate_hz = 2000.0;

// (b0 + b1·s + b2·s²)/(a0 + a1·s + a2·s²).
struct Section {
    std::array<double, 3> b, a;
    std::complex<double> at(double omega) const {
        const std::complex<double> s(0.0, omega);
        return (b[0] + s * (b[1] + s * b[2])) / (a[0] + s * (a[1] + s * a[2]));
    }
};

// IEC 61000-4-15 for 230 V (from memory).
constexpr double kK = 1.74802;
constexpr double kLambda = 2.0 * kPi * 4.05981;
constexpr double kOmega1 = 2.0 * kPi * 9.15494;
constexpr double kOmega2 = 2.0 * kPi * 2.27979;
constexpr double kOmega3 = 2.0 * kPi * 1.22535;
constexpr double kOmega4 = 2.0 * kPi * 21.9;

const std::array<double, 3> kResonance = {kOmega1 * kOmega1, 2.0 * kLambda, 1.0};

std::vector<Section> voltage_weighting() {
    return {{{0.0, kK * kOmega1, 0.0}, kResonance},
            {{1.0, 1.0 / kOmega2, 0.0},
             {1.0, 1.0 / kOmega3 + 1.0 / kOmega4, 1.0 / (kOmega3 * kOmega4)}}};
}

// IEC TR 61547-1 (from memory): s·(0.041661·s³ + 44.758·s² + 2715.6·s + 29839) over the same poles.
// The cubic has the zero of the voltage's weighting, which is taken out of it here.
std::vector<Section> light_weighting() {
    constexpr double zero = kOmega2;
    constexpr double b2 = 0.041661, b1 = 44.758 - b2 * zero, b0 = 2715.6 - b1 * zero;
    return {{{0.0, zero, 1.0}, kResonance},
            {{b0, b1, b2}, {kOmega3 * kOmega4, kOmega3 + kOmega4, 1.0}}};
}

std::vector<Section> band() {
    std::vector<Section> sections = {
        {{0.0, 1.0, 0.0}, {2.0 * kPi * 0.05, 1.0, 0.0}},
    };
    const double w = 2.0 * kPi * 35.0;
    for (int k = 0; k < 3; ++k) {
        const double damping = 2.0 * std::cos(kPi * (2.0 * k + 1.0) / 12.0);
        sections.push_back({{w * w, 0.0, 0.0}, {w * w, damping * w, 1.0}});
    }
    return sections;
}

// In place, by the bilinear transform; beginning at rest.
void filter(std::vector<double>& y, double rate_hz, const Section& s) {
    const double c = 2.0 * rate_hz;
    const auto mapped = [&](const std::array<double, 3>& p) {
        return std::array<double, 3>{p[0] + p[1] * c + p[2] * c * c,
                                     2.0 * (p[0] - p[2] * c * c),
                                     p[0] - p[1] * c + p[2] * c * c};
    };
    const auto b = mapped(s.b), a = mapped(s.a);
    double z1 = 0.0, z2 = 0.0;
    for (double& v : y) {
        const double out = (b[0] * v + z1) / a[0];
        z1 = b[1] * v - a[1] * out + z2;
        z2 = b[2] * v - a[2] * out;
        v = out;
    }
}

// Level that `percent` of the time is exceeded, of ascending values.
double exceeded(const std::vector<double>& ascending, double percent) {
    const double at = (1.0 - percent / 100.0) * static_cast<double>(ascending.size() - 1);
    const auto cell = std::min(static_cast<std::size_t>(at), ascending.size() - 2);
    return std::lerp(ascending[cell], ascending[cell + 1], at - static_cast<double>(cell));
}

FlickerSeverity classified(std::vector<double> levels, double rate_hz) {
    std::sort(levels.begin(), levels.end());
    const auto mean_of = [&](std::initializer_list<double> percents) {
        double sum = 0.0;
        for (const double percent : percents) {
            sum += exceeded(levels, percent);
        }
        return sum / static_cast<double>(percents.size());
    };
    FlickerSeverity s;
    s.span_s = static_cast<double>(levels.size()) / rate_hz;
    s.p01 = exceeded(levels, 0.1);
    s.p1 = mean_of({0.7, 1.0, 1.5});
    s.p3 = mean_of({2.2, 3.0, 4.0});
    s.p10 = mean_of({6.0, 8.0, 10.0, 13.0, 17.0});
    s.p50 = mean_of({30.0, 50.0, 80.0});
    const double pst =
        std::sqrt(0.0314 * s.p01 + 0.0525 * s.p1 + 0.0657 * s.p3 + 0.28 * s.p10 + 0.08 * s.p50);
    s.pst = {pst, 0.025 * pst};  // the standard allows an instrument 5 %
    return s;
}

std::optional<FlickerSeverity> severity(std::span<const double> samples,
                                        double dt_s,
                                        const std::vector<Section>& weighting,
                                        double scale) {
    const double span = static_cast<double>(samples.size()) * dt_s;
    if (!(dt_s > 0.0) || span < kLeastSpan_s || dt_s > 1.0 / 400.0) {
        return std::nullopt;
    }
    // Averages of neighbours: all that matters lies far below the working rate.
    const auto by = static_cast<std::size_t>(std::max(1.0, 1.0 / (dt_s * kWorkingRate_hz)));
    const double rate = 1.0 / (dt_s * static_cast<double>(by));
    std::vector<double> y;
    double last = 0.0, sum = 0.0;
    for (std::size_t k = 0; k + by <= samples.size(); k += by) {
        double mean = 0.0, n = 0.0;
        for (std::size_t m = k; m < k + by; ++m) {
            mean += std::isnan(samples[m]) ? 0.0 : samples[m];
            n += std::isnan(samples[m]) ? 0.0 : 1.0;
        }
        last = n > 0.0 ? mean / n : last;
        y.push_back(last);
        sum += last;
    }
    const double mean = sum / static_cast<double>(y.size());
    if (!(mean > 0.0)) {
        return std::nullopt;
    }
    for (double& v : y) {
        v = v / mean - 1.0;
    }
    for (const Section& section : band()) {
        filter(y, rate, section);
    }
    for (const Section& section : weighting) {
        filter(y, rate, section);
    }
    for (double& v : y) {
        v *= v * scale;
    }
    filter(y, rate, {{1.0, 0.0, 0.0}, {1.0, 0.3, 0.0}});
    y.erase(y.begin(), y.begin() + static_cast<std::ptrdiff_t>(kSettling_s * rate));
    return classified(std::move(y), rate);
}

double weight(const std::vector<Section>& weighting, double frequency_hz) {
    std::complex<double> all = 1.0;
    for (const Section& section : weighting) {
        all *= section.at(2.0 * kPi * frequency_hz);
    }
    return std::abs(all);
}

// So that a sinusoidal change of 0.250 % of the voltage at 8.8 Hz, whose weight is one, is an
// instantaneous flicker of one at its peaks: IEC 61000-4-15, Table 1 (from memory). What a sine's
// square keeps of its ripple behind the last low pass counts.
double voltage_scale() {
    const double left = 1.0 / std::hypot(1.0, 2.0 * kPi * 17.6 * 0.3);
    double gain = detail::voltage_weight(8.8);
    for (const Section& section : band()) {
        gain *= std::abs(section.at(2.0 * kPi * 8.8));
    }
    const double peak = 0.0025 * gain;
    return 1.0 / (0.5 * (1.0 + left) * peak * peak);
}

constexpr double kLightScale = 1.101603155420234e6;  // IEC TR 61547-1 (from memory)

}  // namespace

std::optional<FlickerSeverity> light_flicker(std::span<const double> samples, double dt_s) {
    return severity(samples, dt_s, light_weighting(), kLightScale);
}

std::optional<FlickerSeverity> voltage_flicker(std::span<const double> squared_over_mean,
                                               double dt_s) {
    return severity(squared_over_mean, dt_s, voltage_weighting(), voltage_scale());
}

double detail::light_weight(double frequency_hz) {
    return weight(light_weighting(), frequency_hz);
}

double detail::voltage_weight(double frequency_hz) {
    return weight(voltage_weighting(), frequency_hz);
}

}  // namespace etchback::bench
