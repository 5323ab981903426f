#include "bench/light.h"

#include <fftw3.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numbers>

#include "bench/detail/harmonic_fit.h"

namespace etchback::bench {
namespace {

constexpr std::size_t kMostBins = 400;

// All periods laid over each other: mean of each bin of phase, and the variance of that mean.
struct Folded {
    std::vector<double> mean;
    double variance = 0.0;  // typical, of one bin
};
Folded fold(std::span<const double> y, double per_cycle) {
    const std::size_t bins =
        std::clamp<std::size_t>(static_cast<std::size_t>(per_cycle), 8, kMostBins);
    std::vector<double> sum(bins), squares(bins), n(bins);
    const double cycles = std::floor(static_cast<double>(y.size()) / per_cycle);
    const auto end = static_cast<std::size_t>(std::max(1.0, cycles) * per_cycle);
    for (std::size_t k = 0; k < std::min(end, y.size()); ++k) {
        if (std::isnan(y[k])) {
            continue;
        }
        const double turn = static_cast<double>(k) / per_cycle;
        const double part = (turn - std::floor(turn)) * static_cast<double>(bins);
        const std::size_t bin = std::min(static_cast<std::size_t>(part), bins - 1);
        sum[bin] += y[k];
        squares[bin] += y[k] * y[k];
        n[bin] += 1.0;
    }
    Folded folded;
    double variance = 0.0, of = 0.0;
    for (std::size_t b = 0; b < bins; ++b) {
        if (n[b] < 1.0) {
            continue;
        }
        const double mean = sum[b] / n[b];
        folded.mean.push_back(mean);
        if (n[b] > 1.5) {
            variance += std::max(0.0, squares[b] / n[b] - mean * mean) / (n[b] - 1.0);
            of += 1.0;
        }
    }
    folded.variance = of > 0.0 ? variance / of : 0.0;
    return folded;
}

double percent_of(const std::vector<double>& cycle) {
    const auto [low, high] = std::minmax_element(cycle.begin(), cycle.end());
    const double sum = *high + *low;
    return sum > 0.0 ? 100.0 * (*high - *low) / sum : 0.0;
}

double mean_of(const std::vector<double>& cycle) {
    double sum = 0.0;
    for (const double v : cycle) {
        sum += v;
    }
    return sum / static_cast<double>(cycle.size());
}

double index_of(const std::vector<double>& cycle) {
    const double mean = mean_of(cycle);
    double above = 0.0, all = 0.0;
    for (const double v : cycle) {
        above += std::max(0.0, v - mean);
        all += v;
    }
    return all > 0.0 ? above / all : 0.0;
}

// Amplitudes over the mean, of a record cut to whole periods; gaps are bridged by straight lines.
struct Line {
    double frequency_hz, amplitude;
};
std::vector<Line> lines_of(std::span<const double> y, double dt_s, double per_cycle) {
    std::vector<double> whole(y.begin(), y.end());
    double last = 0.0;
    for (double& v : whole) {
        last = v = std::isnan(v) ? last : v;
    }
    const double cycles = std::floor((static_cast<double>(whole.size()) - 1.0) / per_cycle);
    const double span = cycles * per_cycle;  // in samples
    const auto n = static_cast<std::size_t>(std::lround(span));
    if (cycles < 1.0 || n < 16) {
        return {};
    }
    const std::unique_ptr<double, void (*)(void*)> in(fftw_alloc_real(n), fftw_free);
    const std::unique_ptr<fftw_complex, void (*)(void*)> out(fftw_alloc_complex(n / 2 + 1),
                                                             fftw_free);
    const fftw_plan plan =
        fftw_plan_dft_r2c_1d(static_cast<int>(n), in.get(), out.get(), FFTW_ESTIMATE);
    for (std::size_t k = 0; k < n; ++k) {
        const double at = span * static_cast<double>(k) / static_cast<double>(n);
        const auto cell = std::min(static_cast<std::size_t>(at), whole.size() - 2);
        in.get()[k] = std::lerp(whole[cell], whole[cell + 1], at - static_cast<double>(cell));
    }
    fftw_execute(plan);
    fftw_destroy_plan(plan);
    const double mean = out.get()[0][0];
    std::vector<Line> lines;
    for (std::size_t k = 1; k <= n / 2 && mean > 0.0; ++k) {
        lines.push_back({static_cast<double>(k) / (span * dt_s),
                         2.0 * std::hypot(out.get()[k][0], out.get()[k][1]) / mean});
    }
    return lines;
}

double svm_of(const std::vector<Line>& lines) {
    double sum = 0.0;
    for (const Line& line : lines) {
        if (line.frequency_hz >= 80.0 && line.frequency_hz <= 2000.0) {
            sum += std::pow(line.amplitude / svm_threshold(line.frequency_hz), 3.7);
        }
    }
    return std::pow(sum, 1.0 / 3.7);
}

void set_region(LightFigures& figures) {
    const double f = figures.frequency_hz.value, percent = figures.percent_flicker.value;
    figures.low_risk_percent = low_risk_percent(f);
    figures.no_effect_percent = no_effect_percent(f);
    figures.region = percent <= figures.no_effect_percent  ? "no observable effect"
                     : percent <= figures.low_risk_percent ? "low risk"
                                                           : "beyond low risk";
}

}  // namespace

double low_risk_percent(double f) {
    return f < 90.0 ? 0.025 * f : f <= 1250.0 ? 0.08 * f : 100.0;
}
double no_effect_percent(double f) {
    return f < 90.0 ? 0.01 * f : f <= 3000.0 ? 0.0333 * f : 100.0;
}
double svm_threshold(double f) {
    return 1.0 / (1.0 + std::exp(-0.00518 * (f - 306.6))) + 20.0 * std::exp(-f / 10.0);
}

LightFigures analyse_light(std::span<const double> samples, double dt_s, double u_dark) {
    LightFigures figures;
    const double rough =
        samples.size() < 16 ? 0.0 : detail::rough_omega(samples, dt_s, 20.0, 25'000.0);
    std::vector<double> all;
    std::copy_if(samples.begin(), samples.end(), std::back_inserter(all), [](double v) {
        return !std::isnan(v);
    });
    if (all.empty() || mean_of(all) <= 0.0) {
        figures.warnings.push_back("There is no light: the mean of the samples is not above zero.");
        return figures;
    }
    const double mean = mean_of(all);
    double omega = rough;
    if (rough > 0.0) {
        std::size_t by = 1;
        const std::vector<double> few = detail::thinned(samples, 20'000, by);
        const double dt = dt_s * static_cast<double>(by);
        const int orders =
            std::clamp(static_cast<int>(2.0 * std::numbers::pi / (rough * dt) / 2.5), 1, 8);
        const auto fit = detail::fit_harmonics(few, dt, rough, orders, true, by > 1);
        omega = fit.omega;
        figures.periodic = true;
        figures.frequency_hz = {omega / (2.0 * std::numbers::pi),
                                std::sqrt(fit.omega_variance) / (2.0 * std::numbers::pi)};
    } else {
        figures.warnings.push_back("The light has no period that stands out of its noise.");
    }
    const double per_cycle =
        omega > 0.0 ? 2.0 * std::numbers::pi / (omega * dt_s) : static_cast<double>(samples.size());
    const Folded folded = fold(samples, per_cycle);
    figures.cycle = folded.mean;
    const auto [low, high] = std::minmax_element(folded.mean.begin(), folded.mean.end());
    const double sum = *high + *low;
    // Of (H - L)/(H + L): both ends with their noise, and the dark that shifts both.
    const double u_noise =
        std::sqrt(2.0 * folded.variance) * std::hypot(*high, *low) / (sum * sum) * 2.0;
    const double u_zero = 2.0 * (*high - *low) / (sum * sum) * u_dark;
    figures.percent_flicker = {percent_of(folded.mean),
                               100.0 * std::hypot(u_noise / std::sqrt(2.0), u_zero)};
    const double bins = static_cast<double>(folded.mean.size());
    const double index = index_of(folded.mean);
    figures.flicker_index = {
        index, std::hypot(0.65 * std::sqrt(folded.variance / bins) / mean, index * u_dark / mean)};
    for (double& v : figures.cycle) {
        v /= mean;
    }
    if (figures.periodic && dt_s <= 1.0 / 4000.0) {
        const auto lines = lines_of(samples, dt_s, per_cycle);
        const double svm = svm_of(lines);
        const double span = static_cast<double>(samples.size()) * dt_s;
        if (span < 0.99) {
            figures.warnings.push_back(
                fmt::format("SVM asks for 1 s of light, this record is {:.3g} s long.", span));
        }
        const double white = folded.variance * bins * per_cycle > 0.0
                                 ? std::sqrt(folded.variance / bins) / mean * 1.5
                                 : 0.0;
        figures.svm = Estimate{svm,
                               std::hypot(svm * u_dark / mean,
                                          white / svm_threshold(std::clamp(
                                                      figures.frequency_hz.value, 80.0, 2000.0)))};
    } else if (figures.periodic) {
        figures.warnings.push_back("SVM asks for 4000 samples a second or more.");
    }
    if (figures.periodic) {
        set_region(figures);
    }
    return figures;
}

}  // namespace etchback::bench
