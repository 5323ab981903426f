#include "behaviour/detail/scenario_settle.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "behaviour/steady.h"

namespace etchback::behaviour::detail {

namespace {

constexpr double period_of_direct_supply_s = 0.01;

// What must stop changing: currents and voltages of loads, the supply's current.
std::vector<double> quantities(const StretchedRun& run, const Model& model) {
    std::vector<double> all;
    for (const Terminals::Load& load : model.terminals.loads) {
        all.push_back(run.mean(load.amps));
        all.push_back(run.mean(load.volts));
    }
    if (model.terminals.mains_a) {
        all.push_back(run.rms(*model.terminals.mains_a));
    }
    for (const ProbeId probe : model.notable) {
        all.push_back(run.mean(probe));
    }
    return all;
}

class Comparison {
public:
    void add(std::vector<double> now) {
        if (scale_.empty()) {
            scale_.assign(now.size(), 0.0);
        }
        for (std::size_t i = 0; i < now.size(); ++i) {
            scale_[i] = std::max(scale_[i], std::abs(now[i]));
        }
        before_last_ = std::move(last_);
        last_ = std::move(now_);
        now_ = std::move(now);
    }

    bool has_three() const { return !before_last_.empty(); }

    // Largest relative change between the last two.
    double change() const {
        return largest([&](std::size_t i) { return std::abs(step(i)); });
    }

    // How far the end still is, if each change goes on to shrink as it did: d * r / (1 - r).
    double distance() const {
        return largest([&](std::size_t i) {
            const double d = std::abs(step(i));
            const double earlier = std::abs(last_[i] - before_last_[i]);
            // A change as large as the one before may go on for ever, or swing: no end in sight.
            const double r = earlier > 0.0 ? std::min(d / earlier, 0.999) : 0.0;
            return std::max(d, d * r / (1.0 - r));
        });
    }

private:
    double step(std::size_t i) const { return now_[i] - last_[i]; }

    template <typename Of>
    double largest(Of of) const {
        double most = 0.0;
        for (std::size_t i = 0; i < now_.size(); ++i) {
            if (scale_[i] > 0.0) {
                most = std::max(most, of(i) / scale_[i]);
            }
        }
        return most;
    }

    std::vector<double> scale_, before_last_, last_, now_;
};

Settling broken_off(Ending ending) {
    return {.ending = ending, .words = "broken off before it had settled"};
}

std::string how_far(const Simulation& simulation, const Comparison& comparison) {
    return fmt::format("{}; the last two periods differ by {:.2g} %",
                       base::to_engineering(simulation.now_s(), base::Unit::second),
                       100.0 * comparison.change());
}

Settling search(Simulation& simulation, double period_s, double until_s) {
    Settling settling;
    settling.searched_from_s = simulation.now_s();
    SteadyOptions options;
    options.period_s = period_s;
    options.most_periods =
        std::max(8, static_cast<int>(std::floor((until_s - simulation.now_s()) / period_s + 1e-6)));
    const Steady steady = find_steady(simulation, options);
    settling.searched_to_s = simulation.now_s();
    if (steady.ending != Ending::reached) {
        settling.ending = steady.ending;
        settling.words = broken_off(steady.ending).words;
        return settling;
    }
    settling.steady = steady.found;
    settling.words = steady.words;
    return settling;
}

// A supply that still charges towards its controller's start looks calm, too: what is searched then
// is the state after it, and the start itself is lost.
bool has_begun(const Simulation& simulation, const Model& model) {
    const auto& story = simulation.story();
    return model.terminals.switches.empty() ||
           std::ranges::any_of(story, [](const StoryLine& line) {
               return line.key == "first_pulse";
           });
}

}  // namespace

double period_of(const Terminals& terminals) {
    return terminals.mains_hz > 0.0 ? 1.0 / terminals.mains_hz : period_of_direct_supply_s;
}

Settling settle(
    StretchedRun& run, const Model& model, double period_s, double until_s, double tolerance) {
    // A converter that restarts now and then looks calm in its pauses for a while.
    constexpr int calm_periods = 3;
    constexpr double near = 0.02;
    Simulation& simulation = run.simulation();
    Comparison comparison;
    int calm = 0, nearly_calm = 0;
    auto n = static_cast<std::int64_t>(std::floor(simulation.now_s() / period_s + 0.5));
    while (static_cast<double>(n + 1) * period_s <= until_s * (1.0 + 1e-9)) {
        ++n;
        const Ending ending = run.run_to(static_cast<double>(n) * period_s);
        if (ending != Ending::reached) {
            return broken_off(ending);
        }
        comparison.add(quantities(run, model));
        const double distance = comparison.has_three() ? comparison.distance() : 1.0;
        calm = distance < tolerance ? calm + 1 : 0;
        nearly_calm = comparison.has_three() && comparison.change() < near ? nearly_calm + 1 : 0;
        if (calm >= calm_periods) {
            return {.steady = true, .words = "settled after " + how_far(simulation, comparison)};
        }
        // Switching that does not keep step with the mains leaves a little noise, which may look
        // like the slow end of settling: the search tells.
        if (nearly_calm >= calm_periods && calm == 0 && has_begun(simulation, model)) {
            return search(simulation, period_s, until_s);
        }
    }
    return {.words = comparison.has_three()
                         ? "not settled after " + how_far(simulation, comparison)
                         : std::string("too short to say whether it has settled")};
}

}  // namespace etchback::behaviour::detail
