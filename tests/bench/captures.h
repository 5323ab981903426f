// Invented captures with a known truth, by seed.
#pragma once

#include <cmath>
#include <numbers>
#include <random>
#include <vector>

namespace etchback::bench {

struct Capture {
    double frequency_hz = 50.0;
    double cycles = 10.0;
    std::size_t per_cycle = 200;
    std::vector<double> v_rms = {0.0, 230.0};  // mean, fundamental, second ...
    std::vector<double> i_rms = {0.0, 0.2};
    std::vector<double> i_phase = {0.0, 0.0};  // lag of each order against a cosine
    double noise_v = 0.0, noise_i = 0.0;       // r.m.s.
    double lsb_v = 0.0, lsb_i = 0.0;           // of the converter
    double clip_i = 1e9;
    double jitter_s = 0.0;
    double missing = 0.0;  // share of samples
    double gain_v = 1.0, gain_i = 1.0;
    double skew_s = 0.0;  // how late the current's samples are
    unsigned seed = 1;
    std::vector<double> v, i;
    double dt_s() const { return 1.0 / (frequency_hz * static_cast<double>(per_cycle)); }

    static double wave(const std::vector<double>& rms,
                       const std::vector<double>& lag,
                       double turn) {
        double sum = rms.front();
        for (std::size_t h = 1; h < rms.size(); ++h) {
            const double p = h < lag.size() ? lag[h] : 0.0;
            sum += std::numbers::sqrt2 * rms[h] *
                   std::sin(static_cast<double>(h) * 2.0 * std::numbers::pi * turn - p);
        }
        return sum;
    }
    void make() {
        std::mt19937_64 random(seed);
        std::normal_distribution<double> normal;
        std::uniform_real_distribution<double> even;
        const auto n = static_cast<std::size_t>(cycles * static_cast<double>(per_cycle));
        const double start = even(random);
        v.clear();
        i.clear();
        const auto rounded = [](double x, double lsb) {
            return lsb > 0.0 ? lsb * std::round(x / lsb) : x;
        };
        for (std::size_t k = 0; k < n; ++k) {
            const double t = static_cast<double>(k) * dt_s() + jitter_s * normal(random);
            const double a =
                gain_v * wave(v_rms, {}, start + frequency_hz * t) + noise_v * normal(random);
            const double b = gain_i * wave(i_rms, i_phase, start + frequency_hz * (t - skew_s)) +
                             noise_i * normal(random);
            const bool gone = even(random) < missing;
            v.push_back(gone ? std::nan("") : rounded(a, lsb_v));
            i.push_back(gone ? std::nan("") : std::clamp(rounded(b, lsb_i), -clip_i, clip_i));
        }
    }
    double power() const {
        double sum = v_rms[0] * i_rms[0];
        for (std::size_t h = 1; h < std::min(v_rms.size(), i_rms.size()); ++h) {
            sum += v_rms[h] * i_rms[h] * std::cos(h < i_phase.size() ? i_phase[h] : 0.0);
        }
        return sum;
    }
    static double rms(const std::vector<double>& parts) {
        double sum = 0.0;
        for (const double part : parts) {
            sum += part * part;
        }
        return std::sqrt(sum);
    }
};

}  // namespace etchback::bench
