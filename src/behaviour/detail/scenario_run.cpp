#include "behaviour/detail/scenario_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "behaviour/detail/figures_rows.h"
#include "behaviour/detail/scenario_limits.h"
#include "behaviour/detail/stress_table.h"

namespace etchback::behaviour::detail {

namespace {

constexpr double pi = std::numbers::pi;
constexpr double switching_cycles_shown = 4.0;

// How often the busiest converter switches, from what was counted over `span_s`.
double switching_hz(const std::vector<Simulation::Count>& counts, double span_s) {
    double most = 0.0;
    for (const Simulation::Count& count : counts) {
        if (count.what == "cycle" && span_s > 0.0) {
            most = std::max(most, static_cast<double>(count.number) / span_s);
        }
    }
    return most;
}

SimulationOptions simulation_options(const Scenario& scenario, const OutcomeOptions& options) {
    SimulationOptions how;
    // Crossings are met exactly all the same; figures move by less than 1e-5 (docs/engine.md).
    how.tolerance = 1e-2;
    how.interrupted = options.interrupted;
    if (options.progress) {
        const double settling_s =
            scenario.from == Scenario::From::steady ? ScenarioRun::longest_settling_s : 0.0;
        const double all_s = settling_s + scenario.span_s;
        how.progress = [all_s, tell = options.progress](double t_s) {
            tell(std::min(1.0, t_s / all_s));
        };
    }
    return how;
}

}  // namespace

base::Result<Outcome> run_on(Model model, const Scenario& scenario, const OutcomeOptions& options) {
    auto plan = std::make_shared<DeedPlan>();
    const auto acts = acts_of(scenario, model);
    if (!acts) {
        return acts.errors();
    }
    plan->acts = *acts;
    if (scenario.from == Scenario::From::cold) {
        plan->begin_s = 0.0;
    }
    std::vector<std::unique_ptr<Machine>> machines = std::move(model.machines);
    if (options.stress) {
        std::ranges::move(limit_machines(model.limits), std::back_inserter(machines));
    }
    machines.push_back(make_deed_machine(plan, period_of(model.terminals)));
    std::vector<NetProbes> nets = options.nets ? net_probes_of(model) : std::vector<NetProbes>();
    auto simulation =
        Simulation::make(model.network, std::move(machines), simulation_options(scenario, options));
    if (!simulation) {
        return simulation.errors();
    }
    return ScenarioRun(*simulation, model, scenario, plan, options, std::move(nets)).outcome();
}

ScenarioRun::ScenarioRun(Simulation& simulation,
                         const Model& model,
                         const Scenario& scenario,
                         std::shared_ptr<DeedPlan> plan,
                         const OutcomeOptions& options,
                         std::vector<NetProbes> nets)
    : simulation_(simulation),
      model_(model),
      scenario_(scenario),
      plan_(std::move(plan)),
      options_(options),
      nets_(std::move(nets)),
      stretches_(simulation, model),
      recorder_(simulation, model, options.plots),
      period_s_(period_of(model.terminals)),
      phase_rad_(scenario.supply_phase_deg * pi / 180.0) {}

void ScenarioRun::run() {
    double begin_s = 0.0;
    if (scenario_.from == Scenario::From::steady) {
        if (!settle_until(longest_settling_s)) {
            return;
        }
        stretches_.forget();
        begin_s = simulation_.now_s();
        plan_->begin_s = begin_s;
    }
    const double end_s = begin_s + scenario_.span_s;
    recorder_.whole(begin_s, end_s);
    if (!scenario_.steady_at_end) {
        last_stretch(end_s);
    } else if (settle_until(end_s)) {
        const double wanted_s = scenario_.measure_s > 0.0 ? scenario_.measure_s : 2.0 * period_s_;
        const double periods = std::max(1.0, std::floor(wanted_s / period_s_ + 1e-6));
        last_stretch(simulation_.now_s() + periods * period_s_);
    }
}

bool ScenarioRun::settle_until(double until_s) {
    if (scenario_.from == Scenario::From::steady && !plan_->begin_s) {
        // What comes before the beginning is no part of the story, its peaks neither.
        StretchedRun lean(simulation_, model_, StretchedRun::Measuring::outlines);
        settling_ = settle(lean, model_, period_s_, until_s);
    } else {
        settling_ = settle(stretches_, model_, period_s_, until_s);
    }
    ending_ = settling_.ending;
    if (ending_ == Ending::reached && options_.interrupted && options_.interrupted()) {
        ending_ = Ending::interrupted;  // the engine asks only now and then
    }
    if (settling_.searched_to_s > settling_.searched_from_s) {
        recorder_.end_whole(settling_.searched_from_s);
    }
    return ending_ == Ending::reached;
}

// Figures are taken over whole periods of the supply, or half of what they show would depend on
// where the stretch happens to begin.
void ScenarioRun::last_stretch(double end_s) {
    const bool alternating = model_.terminals.mains_hz > 0.0;
    const double now_s = simulation_.now_s();
    double from_s = scenario_.measure_s > 0.0 ? end_s - scenario_.measure_s : now_s;
    if (alternating) {
        const double periods = std::floor((end_s - from_s) / period_s_ + 1e-6);
        from_s = end_s - std::max(1.0, periods) * period_s_;
    }
    if (from_s > now_s + 1e-12) {
        ending_ = stretches_.run_to(from_s);
    }
    if (ending_ != Ending::reached) {
        return;
    }
    stretches_.want_harmonics();
    stretches_.want(probes_of(nets_));
    const double cycle_s = std::max(from_s, end_s - period_s_);
    const auto before = stretches_.last();
    if (alternating) {
        recorder_.mains_cycle(cycle_s, end_s);
    }
    const bool long_enough = cycle_s > from_s + 0.25 * period_s_;
    if (!long_enough) {
        record_switching(end_s, before.counts);
    }
    const auto look = [&](const std::vector<Simulation::Count>& counts) {
        record_switching(end_s, counts);
    };
    ending_ = long_enough ? stretches_.run_to(end_s, cycle_s, look) : stretches_.run_to(end_s);
    measured_ = ending_ == Ending::reached;
}

void ScenarioRun::record_switching(double end_s, const std::vector<Simulation::Count>& counts) {
    const double span_s = simulation_.now_s() - stretches_.last().measured.end_s;
    const double hz =
        switching_hz(counts, span_s > 0.0 ? span_s : stretches_.last().measured.span_s());
    if (hz > 0.0) {
        const double middle_s = crest_s(end_s);
        const double half_s = 0.5 * switching_cycles_shown / hz;
        recorder_.switching_cycles(std::max(simulation_.now_s(), middle_s - half_s),
                                   std::min(end_s, middle_s + half_s));
    }
}

// The supply's positive crest within the last period; of a direct supply its middle.
double ScenarioRun::crest_s(double end_s) const {
    if (!(model_.terminals.mains_hz > 0.0)) {
        return end_s - 0.5 * period_s_;
    }
    const double crest_of_first_s = (0.25 - phase_rad_ / (2.0 * pi)) * period_s_;
    const double periods = std::floor((end_s - crest_of_first_s) / period_s_);
    return crest_of_first_s + periods * period_s_;
}

void ScenarioRun::add_start(std::vector<FigureRow>& figures) const {
    const Terminals& ends = model_.terminals;
    if (scenario_.from != Scenario::From::cold) {
        return;
    }
    if (ends.mains_a) {
        figures.push_back({"inrush_current",
                           "Largest supply current",
                           std::max(std::abs(stretches_.least(*ends.mains_a)),
                                    std::abs(stretches_.largest(*ends.mains_a))),
                           base::Unit::ampere,
                           "peak, from switching on"});
    }
    if (!scenario_.deeds.empty()) {
        return;
    }
    for (const Terminals::Load& load : ends.loads) {
        // Where no current is drawn (an open connector), the voltage tells that it has started.
        const bool drawing = std::abs(stretches_.mean(load.amps)) > 1e-6;
        const ProbeId probe = drawing ? load.amps : load.volts;
        const auto at_s = recorder_.first_reached(probe, 0.9 * stretches_.mean(probe));
        if (at_s) {
            figures.push_back({"start_up_time." + load.part,
                               "Start-up time of " + load.part,
                               *at_s,
                               base::Unit::second,
                               fmt::format("until its {} first reaches 90 % of its mean",
                                           drawing ? "current" : "voltage")});
        }
    }
}

// When each controller's supply first reached its threshold, as the story has it.
void ScenarioRun::add_controller_start(Outcome& outcome) const {
    for (const StoryLine& line : outcome.story) {
        if (line.key == "start_threshold") {
            outcome.figures.push_back({"start_time." + line.who,
                                       "Start of " + line.who,
                                       line.t_s,
                                       base::Unit::second,
                                       "until its supply first reaches its threshold"});
        }
    }
}

void ScenarioRun::add_crest_frequency(std::vector<FigureRow>& figures) const {
    for (const Terminals::Watched& one : model_.terminals.switches) {
        if (const auto hz = recorder_.turn_on_hz(one.volts)) {
            figures.push_back({"switching_frequency_crest." + one.name,
                               "Switching frequency of " + one.name,
                               *hz,
                               base::Unit::hertz,
                               model_.terminals.mains_hz > 0.0 ? "at the crest of the mains"
                                                               : "over the last cycles"});
        }
    }
}

void ScenarioRun::tell(Outcome& outcome) const {
    if (measured_) {
        outcome.figures = figures_of(stretches_, model_);
        outcome.mains_current = harmonics_of(stretches_, model_, phase_rad_);
        if (outcome.mains_current) {
            add_harmonic_figures(outcome.figures, stretches_, model_, *outcome.mains_current);
        }
        add_crest_frequency(outcome.figures);
        add_start(outcome.figures);
        add_dissipation(outcome.figures, stretches_, model_);
        outcome.nets = net_figures_of(stretches_, nets_);
        if (options_.stress) {
            outcome.stress = stress_of(stretches_, model_);
        }
    }
    outcome.plots = recorder_.plots();
    outcome.story = simulation_.story();
    std::erase_if(outcome.story, [&](const StoryLine& line) {
        return line.t_s > settling_.searched_from_s && line.t_s <= settling_.searched_to_s;
    });
    std::ranges::stable_sort(outcome.story, {}, &StoryLine::t_s);
    if (measured_ && scenario_.from == Scenario::From::cold) {
        add_controller_start(outcome);
    }
}

Outcome ScenarioRun::outcome() {
    run();
    Outcome outcome;
    outcome.scenario = scenario_;
    outcome.supply_hz = model_.terminals.mains_hz;
    if (const auto& peak = model_.terminals.mains_peak) {
        const double volts = model_.network.knobs()[static_cast<std::size_t>(peak->index)].initial;
        outcome.supply_v_rms = outcome.supply_hz > 0.0 ? volts / std::numbers::sqrt2 : volts;
    }
    outcome.ending = ending_;
    outcome.ledger = stretches_.ledger();
    outcome.trouble = trouble_of(simulation_, ending_, outcome.ledger);
    outcome.effort = simulation_.effort();
    outcome.steady = settling_.steady;
    outcome.steady_words = settling_.words;
    outcome.assumed = model_.assumed;
    outcome.left_out = model_.left_out;
    tell(outcome);
    doubt_rms_values(outcome);
    return outcome;
}

// No RMS value is below its mean. One that is has lost its digits: two of a pattern's exponentials
// are too nearly alike for products of them.
void doubt_rms_values(Outcome& outcome) {
    for (const std::string_view quantity : {"output_voltage", "output_current"}) {
        for (const FigureRow& row : outcome.figures) {
            const std::string prefix = fmt::format("{}_rms.", quantity);
            if (!row.id.starts_with(prefix)) {
                continue;
            }
            const auto mean =
                outcome.figure(fmt::format("{}.{}", quantity, row.id.substr(prefix.size())));
            if (mean && row.value < 0.98 * std::abs(*mean) - 1e-6) {
                outcome.trouble.push_back(
                    {{},
                     fmt::format(
                         "{} came out below its mean: parts of the circuit answer so nearly "
                         "alike that the engine has lost digits",
                         row.title),
                     "do not rely on the RMS values and powers of this run; means and peaks are "
                     "not "
                     "touched"});
                return;
            }
        }
    }
}

base::Errors trouble_of(const Simulation& simulation, Ending ending, const Ledger& ledger) {
    base::Errors trouble = simulation.trouble();
    if (ending == Ending::interrupted) {
        trouble.push_back(
            {{},
             fmt::format("interrupted at {}",
                         base::to_engineering(simulation.now_s(), base::Unit::second)),
             "let it run to its end for figures"});
    }
    if (!ledger.in_order()) {
        trouble.push_back(
            {{},
             fmt::format("the energy ledger does not close: delivered, absorbed and stored energy "
                         "differ by {:.2g} % of what went through",
                         100.0 * ledger.residual()),
             "do not rely on these figures; a dossier that shows this is worth reporting"});
    }
    return trouble;
}

}  // namespace etchback::behaviour::detail
