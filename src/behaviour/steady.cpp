#include "behaviour/steady.h"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <deque>

namespace etchback::behaviour {

namespace {

using Vector = Eigen::VectorXd;

constexpr double kLeastVolt = 0.05;
// A capacitor is slow when a thousandth of the period moves it by less than this share, wherever in
// the period that is, and all of it by less than the other.
constexpr double kSlowShare = 0.02, kSwingShare = 0.5;
constexpr int kSlices = 1000, kSamples = 12;
// Switching that does not keep step with the mains leaves a little noise. So many periods in a row
// within it count as steady too where no slow voltage has a trend: the mean of its changes is
// within this share of their RMS value, or a few times the tolerance.
constexpr double kNoise = 1e-2;
constexpr std::size_t kNoisyPeriods = 6;
constexpr double kTrend = 0.6, kDrift = 2.5;
// Steps that change a voltage by more than this share of itself are cut down.
constexpr double kBoldest = 0.5;

double size_of(double volt) {
    return std::max(std::abs(volt), kLeastVolt);
}

// Branches whose voltages are mixed: capacitors that a switching cycle hardly moves.
class SlowSet {
public:
    SlowSet(Simulation& simulation, double period_s) {
        const auto& branches = simulation.network().branches();
        std::vector<double> moved(branches.size(), 0.0);
        std::vector<double> least = simulation.stored(), largest = least;
        const double from = simulation.now_s();
        for (int i = 0; i < kSamples && ending_ == Ending::reached; ++i) {
            const double at = from + period_s * i / kSamples;
            ending_ = simulation.run_to(at);
            const auto before = simulation.stored();
            if (ending_ == Ending::reached) {
                ending_ = simulation.run_to(at + period_s / kSlices);
            }
            const auto now = simulation.stored();
            for (std::size_t b = 0; b < branches.size(); ++b) {
                moved[b] = std::max(moved[b], std::abs(now[b] - before[b]) / size_of(now[b]));
                least[b] = std::min(least[b], now[b]);
                largest[b] = std::max(largest[b], now[b]);
            }
        }
        for (std::size_t b = 0; b < branches.size(); ++b) {
            const double size = size_of(std::max(-least[b], largest[b]));
            if (std::holds_alternative<Capacitance>(branches[b].element) && moved[b] < kSlowShare &&
                largest[b] - least[b] < kSwingShare * size) {
                slow_.push_back(b);
            }
        }
    }

    Ending ending() const { return ending_; }
    const std::vector<std::size_t>& branches() const { return slow_; }

    Vector pick(const std::vector<double>& stored) const {
        Vector v(static_cast<Eigen::Index>(slow_.size()));
        for (std::size_t i = 0; i < slow_.size(); ++i) {
            v[static_cast<Eigen::Index>(i)] = stored[slow_[i]];
        }
        return v;
    }

    void put(const Vector& v, std::vector<double>& stored) const {
        for (std::size_t i = 0; i < slow_.size(); ++i) {
            stored[slow_[i]] = v[static_cast<Eigen::Index>(i)];
        }
    }

private:
    std::vector<std::size_t> slow_;
    Ending ending_ = Ending::reached;
};

// Anderson's mixing over the last few pairs of starting point and outcome, in units of each
// voltage's size.
class Mixer {
public:
    explicit Mixer(int memory) : memory_(static_cast<std::size_t>(memory)) {}

    void forget() { pairs_.clear(); }

    Vector next(const Vector& x, const Vector& g) {
        const Vector scale = g.unaryExpr([](double v) { return 1.0 / size_of(v); });
        pairs_.push_back({x, g});
        if (pairs_.size() > memory_ + 1) {
            pairs_.pop_front();
        }
        const auto m = static_cast<Eigen::Index>(pairs_.size()) - 1;
        if (m == 0) {
            return g;
        }
        const Vector f = (g - x).cwiseProduct(scale);
        Eigen::MatrixXd df(x.size(), m), dg(x.size(), m);
        for (Eigen::Index i = 0; i < m; ++i) {
            const auto& a = pairs_[static_cast<std::size_t>(i)];
            const auto& b = pairs_[static_cast<std::size_t>(i) + 1];
            df.col(i) = ((b.g - b.x) - (a.g - a.x)).cwiseProduct(scale);
            dg.col(i) = b.g - a.g;
        }
        auto solver = df.completeOrthogonalDecomposition();
        solver.setThreshold(1e-3);  // directions within the noise of switching are left out
        const Vector gamma = solver.solve(f);
        Vector step = -dg * gamma;
        const double boldness = (step.cwiseProduct(scale)).cwiseAbs().maxCoeff();
        if (boldness > kBoldest) {
            step *= kBoldest / boldness;
        }
        return g + step;
    }

private:
    struct Pair {
        Vector x, g;
    };
    std::size_t memory_;
    std::deque<Pair> pairs_;
};

// The last few periods' changes, each as a share of its voltage.
class Noise {
public:
    void add(Vector shares) {
        changes_.push_back(std::move(shares));
        if (changes_.size() > kNoisyPeriods) {
            changes_.pop_front();
        }
    }

    // Largest change of any voltage in these periods.
    double largest() const {
        double most = 0.0;
        for (const Vector& change : changes_) {
            most = std::max(most, change.cwiseAbs().maxCoeff());
        }
        return most;
    }

    // Whether it is all to and fro.
    bool alone(double tolerance) const {
        if (changes_.size() < kNoisyPeriods || largest() > kNoise) {
            return false;
        }
        const auto n = static_cast<double>(changes_.size());
        Vector sum = Vector::Zero(changes_.front().size()), squares = sum;
        for (const Vector& change : changes_) {
            sum += change;
            squares += change.cwiseAbs2();
        }
        const Vector mean = sum.cwiseAbs() / n, rms = (squares / n).cwiseSqrt();
        return (mean.array() <= (kTrend * rms.array()).max(kDrift * tolerance)).all();
    }

private:
    std::deque<Vector> changes_;
};

}  // namespace

Steady find_steady(Simulation& simulation, const SteadyOptions& options) {
    Steady result;
    const double origin = simulation.now_s();
    const auto period_end = [&](int k) { return origin + k * options.period_s; };
    const auto stop = [&](Ending ending) {
        result.ending = ending;
        return ending != Ending::reached;
    };
    for (; result.periods < options.plain_periods; ++result.periods) {
        if (stop(simulation.run_to(period_end(result.periods + 1)))) {
            return result;
        }
    }
    std::vector<double> stored = simulation.stored();
    // The search for slow voltages is part of the next period.
    std::vector<double> start = stored;
    const SlowSet slow(simulation, options.period_s);
    if (stop(slow.ending())) {
        return result;
    }
    Mixer mixer(options.memory);
    double best = std::numeric_limits<double>::infinity();
    Noise noise;
    int calm = 0;
    bool noisy = false;
    while (result.periods < options.most_periods) {
        if (stop(simulation.run_to(period_end(result.periods + 1)))) {
            return result;
        }
        ++result.periods;
        stored = simulation.stored();
        const Vector x = slow.pick(start), g = slow.pick(stored);
        result.change = 0.0;
        Vector shares(g.size());
        for (Eigen::Index i = 0; i < g.size(); ++i) {
            shares[i] = (g[i] - x[i]) / size_of(g[i]);
            if (std::abs(shares[i]) > result.change) {
                result.change = std::abs(shares[i]);
                result.of = simulation.network()
                                .branches()[slow.branches()[static_cast<std::size_t>(i)]]
                                .name;
            }
        }
        calm = result.change <= options.tolerance ? calm + 1 : 0;
        if (g.size() > 0) {
            noise.add(std::move(shares));
            noisy = noise.alone(options.tolerance);
        }
        if (calm >= 2 || noisy) {
            result.found = true;
            break;
        }
        start = stored;
        if (options.mix && calm == 0) {
            if (result.change > 3.0 * best) {
                mixer.forget();  // the map has changed: a limit or another way of working
                best = result.change;
            }
            best = std::min(best, result.change);
            slow.put(mixer.next(x, g), start);
            simulation.set_stored(start);
            start = simulation.stored();
        }
    }
    if (noisy && calm < 2) {
        result.words = fmt::format(
            "Steady after {} periods of {:g} ms but for switching that does not keep step with "
            "them: in the last {} no slow voltage moved by more than {:.2g} % a period, to and fro "
            "and without a trend.",
            result.periods,
            options.period_s * 1e3,
            kNoisyPeriods,
            noise.largest() * 100.0);
        return result;
    }
    result.words =
        result.found ? fmt::format(
                           "The periodic steady state was found in {} periods of {:g} ms; over the "
                           "last one nothing slow changed by more than {:.2g} %.",
                           result.periods,
                           options.period_s * 1e3,
                           result.change * 100.0)
                     : fmt::format(
                           "No periodic steady state was found in {} periods of {:g} ms: {} still "
                           "changes by {:.2g} % a period.",
                           result.periods,
                           options.period_s * 1e3,
                           result.of,
                           result.change * 100.0);
    return result;
}

}  // namespace etchback::behaviour
