#include "bench/mains.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <optional>

#include "bench/detail/harmonic_fit.h"

namespace etchback::bench {
namespace {

using detail::HarmonicFit;
using Eigen::VectorXd;

constexpr std::size_t kMostSamples = 20'000;
constexpr std::size_t kCyclePoints = 512;

// Everything that figures are computed from, so that each can be shifted by its uncertainty.
struct State {
    VectorXd v, i;  // coefficients, in the circuit's units; empty without the channel
    double v_ripple2 = 0.0, i_ripple2 = 0.0;
    double omega = 0.0;
    double skew_s = 0.0;  // of the current, on top of what is corrected
};

double harmonic_square(const VectorXd& c, int from, int to) {
    double sum = 0.0;
    for (int h = from; h <= to && 2 * h < c.size(); ++h) {
        sum += 0.5 * (c[2 * h - 1] * c[2 * h - 1] + c[2 * h] * c[2 * h]);
    }
    return sum;
}

int orders_of(const VectorXd& c) {
    return static_cast<int>(c.size() / 2);
}

double rms_of(const VectorXd& c, double ripple2) {
    return std::sqrt(c[0] * c[0] + harmonic_square(c, 1, orders_of(c)) + ripple2);
}

double thd_of(const VectorXd& c, double ripple2) {  // IEEE: all but the fundamental
    const double one = harmonic_square(c, 1, 1);
    return one > 0.0
               ? std::sqrt((c[0] * c[0] + harmonic_square(c, 2, orders_of(c)) + ripple2) / one)
               : 0.0;
}
double thd_40_of(const VectorXd& c) {
    const double one = harmonic_square(c, 1, 1);
    return one > 0.0 ? std::sqrt(harmonic_square(c, 2, 40) / one) : 0.0;
}

// V·I* of order h: real part P_h, imaginary part Q_h (positive where the current lags).
struct Power {
    double p = 0.0, q = 0.0;
};
Power power_of(const State& s, int h) {
    const double turn = h * s.omega * s.skew_s;
    const double va = s.v[2 * h - 1], vb = s.v[2 * h];
    const double a = s.i[2 * h - 1], b = s.i[2 * h];
    const double ia = a * std::cos(turn) + b * std::sin(turn);
    const double ib = b * std::cos(turn) - a * std::sin(turn);
    return {0.5 * (va * ia + vb * ib), 0.5 * (va * ib - vb * ia)};
}
double power_w(const State& s) {
    double sum = s.v[0] * s.i[0];
    for (int h = 1; h <= std::min(orders_of(s.v), orders_of(s.i)); ++h) {
        sum += power_of(s, h).p;
    }
    return sum;
}
double apparent(const State& s) {
    return rms_of(s.v, s.v_ripple2) * rms_of(s.i, s.i_ripple2);
}
double fundamental_apparent(const State& s) {
    return std::sqrt(harmonic_square(s.v, 1, 1) * harmonic_square(s.i, 1, 1));
}

using FigureOf = std::function<double(const State&)>;

// What is uncertain, with its standard uncertainty: systematic parts one by one, coefficients with
// their covariance.
class Spread {
public:
    Spread(State state, const MainsSetup& setup, const HarmonicFit* v, const HarmonicFit* i)
        : state_(std::move(state)) {
        const auto channel = [&](const ChannelSetup& with,
                                 const HarmonicFit* fit,
                                 VectorXd State::*coefficients,
                                 double State::*ripple2) {
            if (fit == nullptr) {
                return;
            }
            shifts_.push_back([=](State& s) {
                s.*coefficients *= 1.0 + with.u_gain;
                s.*ripple2 *= (1.0 + with.u_gain) * (1.0 + with.u_gain);
            });
            shifts_.push_back([=](State& s) { (s.*coefficients)[0] += with.u_offset; });
        };
        channel(setup.voltage, v, &State::v, &State::v_ripple2);
        channel(setup.current, i, &State::i, &State::i_ripple2);
        const double skew = std::hypot(setup.voltage.u_delay_s, setup.current.u_delay_s);
        shifts_.push_back([=](State& s) { s.skew_s += skew; });
        const double clock = setup.u_clock;
        shifts_.push_back([=](State& s) { s.omega *= 1.0 + clock; });
        const HarmonicFit* timed = v != nullptr ? v : i;
        const double u_omega = std::sqrt(timed->omega_variance);
        const double v_scale = setup.voltage.scale, i_scale = setup.current.scale;
        shifts_.push_back([=](State& s) {
            s.omega += u_omega;
            if (i != nullptr && i != timed) {
                s.i += u_omega * i_scale * i->by_omega;
            }
            if (v != nullptr) {
                s.v += u_omega * v_scale * v->by_omega;
            }
        });
        random(v, v_scale, &State::v);
        random(i, i_scale, &State::i);
    }

    Estimate of(const FigureOf& figure) const {
        const double value = figure(state_);
        double variance = 0.0;
        for (const auto& shift : shifts_) {
            State moved = state_;
            shift(moved);
            const double d = figure(moved) - value;
            variance += d * d;
        }
        for (const Random& part : random_) {
            State moved = state_;
            VectorXd& c = moved.*part.coefficients;
            VectorXd slope(c.size());
            for (Eigen::Index k = 0; k < c.size(); ++k) {
                const double kept = c[k];
                const double step = std::max(0.1 * std::sqrt(part.covariance(k, k)), 1e-12);
                c[k] = kept + step;
                const double up = figure(moved);
                c[k] = kept - step;
                slope[k] = (up - figure(moved)) / (2.0 * step);
                c[k] = kept;
            }
            variance += std::max(0.0, slope.dot(part.covariance * slope));
        }
        return {value, std::sqrt(variance)};
    }

    const State& state() const { return state_; }
    // Standard deviation of coefficient k.
    double coefficient_u(VectorXd State::*of, Eigen::Index k) const {
        for (const Random& part : random_) {
            if (part.coefficients == of) {
                return std::sqrt(part.covariance(k, k));
            }
        }
        return 0.0;
    }

private:
    struct Random {
        VectorXd State::*coefficients;
        Eigen::MatrixXd covariance;
    };
    void random(const HarmonicFit* fit, double scale, VectorXd State::*coefficients) {
        if (fit != nullptr) {
            random_.push_back(
                {coefficients, fit->inverse * (fit->variance * fit->stretch * scale * scale)});
        }
    }
    State state_;
    std::vector<std::function<void(State&)>> shifts_;
    std::vector<Random> random_;
};

struct Fitted {
    HarmonicFit fit;
    double ripple2 = 0.0;
};

Fitted fit_channel(std::span<const double> samples,
                   double dt_s,
                   double omega,
                   int orders,
                   bool fit_omega,
                   const ChannelSetup& with) {
    std::size_t by = 1;
    const std::vector<double> few = detail::thinned(samples, kMostSamples, by);
    Fitted result{detail::fit_harmonics(
                      few, dt_s * static_cast<double>(by), omega, orders, fit_omega, by > 1),
                  0.0};
    HarmonicFit& fit = result.fit;
    // Of all samples what is left, against one cycle that is kept as a table.
    constexpr std::size_t kTable = 4096;
    std::vector<double> table(kTable + 1);
    for (std::size_t k = 0; k <= kTable; ++k) {
        table[k] = fit.at(2.0 * std::numbers::pi / fit.omega * static_cast<double>(k) / kTable);
    }
    double squares = 0.0, rough = 0.0, before = 0.0, before2 = 0.0;
    std::size_t n = 0;
    for (std::size_t k = 0; by > 1 && k < samples.size(); ++k) {
        if (std::isnan(samples[k])) {
            continue;
        }
        double turn = fit.omega *
                      (static_cast<double>(k) * dt_s - fit.middle_s -
                       0.5 * (static_cast<double>(by) - 1.0) * dt_s) /
                      (2.0 * std::numbers::pi);
        turn = (turn - std::floor(turn)) * kTable;
        const std::size_t cell = std::min<std::size_t>(static_cast<std::size_t>(turn), kTable - 1);
        const double r =
            samples[k] - std::lerp(table[cell], table[cell + 1], turn - static_cast<double>(cell));
        squares += r * r;
        if (n > 1) {
            const double d = r - 2.0 * before + before2;
            rough += d * d;
        }
        before2 = before;
        before = r;
        ++n;
    }
    const double variance = by > 1 && n > 2 ? squares / static_cast<double>(n) : fit.variance;
    const double noise =
        by > 1 && n > 2 ? rough / (6.0 * static_cast<double>(n - 2)) : fit.noise_variance;
    const double count = static_cast<double>(by > 1 ? n : fit.used);
    result.ripple2 = variance - noise > 5.0 * noise / std::sqrt(count) ? variance - noise : 0.0;
    fit.noise_variance = noise;
    // To the circuit's units, and the delay taken out.
    fit.c *= with.scale;
    fit.c[0] -= with.scale * with.offset;
    result.ripple2 *= with.scale * with.scale;
    for (int h = 1; h <= orders; ++h) {
        const double turn = h * fit.omega * with.delay_s;
        const double a = fit.c[2 * h - 1], b = fit.c[2 * h];
        fit.c[2 * h - 1] = a * std::cos(turn) + b * std::sin(turn);
        fit.c[2 * h] = b * std::cos(turn) - a * std::sin(turn);
    }
    return result;
}

// Where the voltage's fundamental rises through zero, as a phase of the fit.
double zero_phase(const VectorXd& c) {
    return -std::atan2(c[1], c[2]);
}

void describe(FittedChannel& channel,
              const Spread& spread,
              VectorXd State::*of,
              double State::*ripple2,
              double zero,
              double noise_variance,
              double scale) {
    channel.present = true;
    const auto figure = [&](auto f) { return spread.of(f); };
    channel.rms = figure([=](const State& s) { return rms_of(s.*of, s.*ripple2); });
    channel.mean = figure([=](const State& s) { return (s.*of)[0]; });
    channel.thd = figure([=](const State& s) { return thd_of(s.*of, s.*ripple2); });
    channel.thd_40 = figure([=](const State& s) { return thd_40_of(s.*of); });
    channel.noise_rms = std::sqrt(noise_variance) * std::abs(scale);
    channel.ripple_rms = std::sqrt(spread.state().*ripple2);
    const VectorXd& c = spread.state().*of;
    const int orders = orders_of(c);
    channel.harmonics.push_back({0, channel.mean, 0.0});
    for (int h = 1; h <= orders; ++h) {
        Harmonic harmonic{h, {}, 0.0};
        harmonic.rms =
            figure([=](const State& s) { return std::sqrt(harmonic_square(s.*of, h, h)); });
        // Noise alone gives an amplitude; below it, what is there may be nothing.
        const double u =
            std::hypot(spread.coefficient_u(of, 2 * h - 1), spread.coefficient_u(of, 2 * h)) / 2.0;
        if (harmonic.rms.value < 3.0 * u) {
            harmonic.rms.u = std::max(harmonic.rms.u, 1.25 * u);
        }
        harmonic.phase_rad = std::remainder(
            std::atan2(-c[2 * h], c[2 * h - 1]) + h * (zero + std::numbers::pi / 2.0),
            2.0 * std::numbers::pi);
        channel.harmonics.push_back(harmonic);
    }
    double most = 0.0, at = 0.0;
    const auto value = [orders](const VectorXd& k, double p) {
        double sum = k[0];
        for (int h = 1; h <= orders; ++h) {
            sum += k[2 * h - 1] * std::cos(h * p) + k[2 * h] * std::sin(h * p);
        }
        return sum;
    };
    for (std::size_t k = 0; k < kCyclePoints; ++k) {
        const double p = zero + 2.0 * std::numbers::pi * static_cast<double>(k) / kCyclePoints;
        channel.cycle.push_back(value(c, p));
        if (std::abs(channel.cycle.back()) > most) {
            most = std::abs(channel.cycle.back());
            at = p;
        }
    }
    channel.peak = figure([=](const State& s) { return std::abs(value(s.*of, at)); });
    channel.crest_factor = figure([=](const State& s) {
        const double rms = rms_of(s.*of, s.*ripple2);
        return rms > 0.0 ? std::abs(value(s.*of, at)) / rms : 0.0;
    });
}

std::size_t missing_in(std::span<const double> samples) {
    return static_cast<std::size_t>(
        std::count_if(samples.begin(), samples.end(), [](double v) { return std::isnan(v); }));
}

void add_powers(MainsFigures& figures, const Spread& spread) {
    figures.power_w = spread.of(power_w);
    figures.apparent_va = spread.of(apparent);
    figures.non_active_var = spread.of([](const State& s) {
        const double p = power_w(s), a = apparent(s);
        return std::sqrt(std::max(0.0, a * a - p * p));
    });
    figures.fundamental_power_w = spread.of([](const State& s) { return power_of(s, 1).p; });
    figures.fundamental_reactive_var = spread.of([](const State& s) { return power_of(s, 1).q; });
    figures.fundamental_apparent_va = spread.of(fundamental_apparent);
    figures.power_factor = spread.of([](const State& s) {
        const double a = apparent(s);
        return a > 0.0 ? power_w(s) / a : 0.0;
    });
    figures.displacement_factor = spread.of([](const State& s) {
        const double a = fundamental_apparent(s);
        return a > 0.0 ? power_of(s, 1).p / a : 0.0;
    });
    // Near one the cosine is level, and what counts is the square of the angle's uncertainty: the
    // term of second order (GUM, note to 5.1.2).
    const Estimate angle =
        spread.of([](const State& s) { return std::atan2(power_of(s, 1).q, power_of(s, 1).p); });
    figures.displacement_factor.u = std::hypot(
        figures.displacement_factor.u, 0.3 * std::abs(std::cos(angle.value)) * angle.u * angle.u);
    figures.distortion_factor = spread.of([](const State& s) {
        const double i = rms_of(s.i, s.i_ripple2);
        return i > 0.0 ? std::sqrt(harmonic_square(s.i, 1, 1)) / i : 0.0;
    });
}

}  // namespace

bool looks_clipped(std::span<const double> samples) {
    double low = 1e308, high = -1e308;
    for (const double v : samples) {
        low = v < low ? v : low;
        high = v > high ? v : high;
    }
    const double band = (high - low) / 250.0;
    if (!(band > 0.0)) {
        return false;
    }
    // In the outermost band and in the three next, which at the top of a sine hold more.
    std::size_t top = 0, below = 0, bottom = 0, above = 0;
    for (const double v : samples) {
        top += v > high - 0.5 * band;
        below += v <= high - 0.5 * band && v > high - 3.5 * band;
        bottom += v < low + 0.5 * band;
        above += v >= low + 0.5 * band && v < low + 3.5 * band;
    }
    const std::size_t enough = 5 + samples.size() / 200;
    // Rest at nothing, as between the pulses of a half-wave rectifier, is no rail.
    const double nothing = 0.02 * (high - low);
    return (top > enough && top > 6 * below && high > nothing) ||
           (bottom > enough && bottom > 6 * above && low < -nothing);
}

MainsFigures analyse_mains(std::span<const double> voltage,
                           std::span<const double> current,
                           double dt_s,
                           const MainsSetup& setup) {
    MainsFigures figures;
    const bool has_v = !voltage.empty(), has_i = !current.empty();
    const std::span<const double> timed = has_v ? voltage : current;
    const double rough =
        timed.size() < 16 ? 0.0 : detail::rough_omega(timed, dt_s, 35.0, has_v ? 450.0 : 70.0);
    if (!(rough > 0.0)) {
        figures.warnings.push_back(
            "No frequency of a mains supply was found: there must be more than one cycle of it.");
        return figures;
    }
    const double per_cycle = 2.0 * std::numbers::pi / (rough * dt_s);
    const double thinned_per_cycle =
        per_cycle *
        std::min(1.0, static_cast<double>(kMostSamples) / static_cast<double>(timed.size()));
    const int orders =
        std::clamp(static_cast<int>(
                       std::min(thinned_per_cycle / 2.5, static_cast<double>(timed.size()) / 6.0)),
                   1,
                   setup.orders);
    std::optional<Fitted> v, i;
    double omega = rough;
    if (has_v) {
        v = fit_channel(voltage, dt_s, omega, orders, true, setup.voltage);
        omega = v->fit.omega;
    }
    if (has_i) {
        i = fit_channel(current, dt_s, omega, orders, !has_v, setup.current);
        omega = i->fit.omega;
    }
    figures.cycles = static_cast<double>(timed.size()) * dt_s * omega / (2.0 * std::numbers::pi);
    State state;
    state.omega = omega;
    if (v) {
        state.v = v->fit.c;
        state.v_ripple2 = v->ripple2;
    }
    if (i) {
        state.i = i->fit.c;
        state.i_ripple2 = i->ripple2;
    }
    const Spread spread(state, setup, v ? &v->fit : nullptr, i ? &i->fit : nullptr);
    figures.frequency_hz =
        spread.of([](const State& s) { return s.omega / (2.0 * std::numbers::pi); });
    const double zero = zero_phase(v ? v->fit.c : i->fit.c);
    const auto flags = [&](FittedChannel& channel,
                           std::span<const double> samples,
                           const char* name) {
        channel.missing = missing_in(samples);
        channel.clipped = looks_clipped(samples);
        if (channel.clipped) {
            figures.warnings.push_back(fmt::format(
                "The {} is clipped: its peak is larger than recorded, and its figures are wrong.",
                name));
        }
        if (channel.missing > 0) {
            figures.warnings.push_back(
                fmt::format("Of the {}, {} samples are missing.", name, channel.missing));
        }
    };
    if (v) {
        describe(figures.voltage,
                 spread,
                 &State::v,
                 &State::v_ripple2,
                 zero,
                 v->fit.noise_variance,
                 setup.voltage.scale);
        flags(figures.voltage, voltage, "voltage");
    }
    if (i) {
        describe(figures.current,
                 spread,
                 &State::i,
                 &State::i_ripple2,
                 zero,
                 i->fit.noise_variance,
                 setup.current.scale);
        flags(figures.current, current, "current");
    }
    if (v && i) {
        add_powers(figures, spread);
    }
    if (figures.cycles < 1.0) {
        figures.warnings.push_back(
            "Less than one cycle was recorded: harmonics cannot be told apart.");
    }
    if (orders < 40) {
        figures.warnings.push_back(
            fmt::format("Sampling is too coarse for 40 harmonics: {} are known.", orders));
    }
    return figures;
}

}  // namespace etchback::bench
