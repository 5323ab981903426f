#include "reference/ida/figures.h"

#include <cmath>
#include <complex>
#include <numbers>

namespace etchback::ida {

double band_rms(std::span<const double> charge, double cell_s, double base_hz, int orders) {
    const std::size_t cells = charge.size() - 1;
    const double span_s = cell_s * static_cast<double>(cells);
    double square = std::pow((charge[cells] - charge[0]) / span_s, 2.0);
    for (int order = 1; order <= orders; ++order) {
        const double turn = 2.0 * std::numbers::pi * base_hz * order * cell_s;
        std::complex<double> sum = 0.0;
        for (std::size_t k = 0; k < cells; ++k) {
            sum += (charge[k + 1] - charge[k]) *
                   std::polar(1.0, -turn * (static_cast<double>(k) + 0.5));
        }
        // The mean over a cell is smaller than the current at its middle by the sine over its arc.
        const double narrowing = std::sin(turn / 2.0) / (turn / 2.0);
        const double peak = 2.0 * std::abs(sum) / (span_s * narrowing);
        square += peak * peak / 2.0;
    }
    return std::sqrt(square);
}

Figures figures_of(const Course& course,
                   double cell_s,
                   double begin_s,
                   double end_s,
                   double supply_v_rms,
                   double supply_hz) {
    const auto first = static_cast<std::size_t>(std::lround(begin_s / cell_s));
    const auto last = static_cast<std::size_t>(std::lround(end_s / cell_s));
    const double span_s = cell_s * static_cast<double>(last - first);
    const auto mean = [&](std::size_t which) {
        const std::vector<double>& s = course.samples.at(which);
        return (s.at(last) - s.at(first)) / span_s;
    };
    Figures f;
    f.input_w = mean(1);
    f.input_a_rms = std::sqrt(mean(2));
    f.load_a = mean(3);
    if (supply_hz > 0.0) {
        f.power_factor = f.input_w / (supply_v_rms * f.input_a_rms);
        const std::span<const double> charge(course.samples[0].data() + first, last - first + 1);
        f.power_factor_40 = f.input_w / (supply_v_rms * band_rms(charge, cell_s, supply_hz, 40));
    }
    f.peak_v = course.largest.empty() ? 0.0 : course.largest[0];
    return f;
}

}  // namespace etchback::ida
