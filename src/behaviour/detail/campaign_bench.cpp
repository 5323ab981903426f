#include "behaviour/detail/campaign_bench.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/quantity.h"
#include "behaviour/detail/figures_rows.h"
#include "behaviour/detail/scenario_run.h"
#include "behaviour/detail/scenario_settle.h"
#include "behaviour/detail/stress_table.h"

namespace etchback::behaviour::detail {

namespace {

// A fault shows within a few cycles of the mains: what a converter does about it, and what the
// capacitors behind it still give. A start is looked at by itself; slower things (a pause between
// restarts) are not seen.
constexpr double longest_s = 0.04;
constexpr double same = 2e-3;
// Ten times the usual one: a verdict is a matter of percents.
constexpr double tolerance = 1e-2;
// Started is what gives this share of the healthy circuit's output over a period; a fault is given
// so many times as long for it as the healthy circuit takes, which must not take longer than this.
constexpr double started = 0.5;
constexpr double patience = 3.0;
constexpr double late = 1.5;
constexpr double longest_start_s = 4.0;
// What has started must still run after this: a supply that is not fed runs down.
constexpr double running_s = 0.1;

double power_of(const Look& look) {
    double power = 0.0;
    for (const Look::Load& load : look.loads) {
        power += std::abs(load.volts * load.amps);
    }
    return power;
}

std::string first_words(const base::Errors& errors) {
    return errors.empty() ? std::string("it did not say why") : errors.front().what;
}

}  // namespace

FaultBench::FaultBench(const Subject& subject,
                       const Corner& corner,
                       const std::vector<Fault>& faults,
                       bool starts,
                       const std::function<bool()>& interrupted)
    : subject_(subject),
      corner_(corner),
      faults_(faults),
      interrupted_(interrupted),
      starts_(starts) {
    if (prepare(interrupted)) {
        settle_healthy();
    }
}

bool FaultBench::prepare(const std::function<bool()>& interrupted) {
    ModelOptions how;
    how.supply_v_rms = corner_.supply_v;
    how.dormant = faults_;
    auto model = model_of(subject_.circuit, subject_.dossier, subject_.types, subject_.tables, how);
    if (!model) {
        why_not_ = first_words(model.errors());
        return false;
    }
    model_.emplace(std::move(*model));
    period_s_ = period_of(model_->terminals);
    std::vector<std::unique_ptr<Machine>> machines = std::move(model_->machines);
    machines.push_back(make_deed_machine(plan_, period_s_));
    SimulationOptions options;
    options.interrupted = interrupted;
    options.tolerance = tolerance;
    auto simulation = Simulation::make(model_->network, std::move(machines), options);
    if (!simulation) {
        why_not_ = first_words(simulation.errors());
        return false;
    }
    simulation_.emplace(std::move(*simulation));
    run_.emplace(*simulation_, *model_, StretchedRun::Measuring::ratings);
    return true;
}

void FaultBench::settle_healthy() {
    if (starts_ && simulation_->run_to(0.0) == Ending::reached) {
        cold_ = simulation_->snapshot();
    }
    StretchedRun lean(*simulation_, *model_, StretchedRun::Measuring::outlines);
    const Settling settling = settle(lean, *model_, period_s_, ScenarioRun::longest_settling_s);
    if (settling.ending == Ending::gave_up) {
        why_not_ = "the healthy circuit: " + first_words(simulation_->trouble());
        return;
    }
    if (settling.ending == Ending::interrupted) {
        was_interrupted_ = true;
        return;
    }
    // One period more, measured alone: what a fault is held against.
    run_->forget();
    const double begin_s = simulation_->now_s();
    const Ending ending = run_->run_to(begin_s + period_s_);
    was_interrupted_ = ending == Ending::interrupted;
    healthy_ = look(begin_s, ending);
    settled_ = simulation_->snapshot();
    settled_s_ = simulation_->now_s();
    if (cold_ && power_of(healthy_) > 0.0) {
        simulation_->restore(*cold_);
        run_->forget();
        plan_->begin_s = 0.0;
        healthy_start_s_ = start_s(longest_start_s);
    }
}

// When the loads' power over a period of the mains first comes to half of the healthy circuit's:
// the end of that period, seconds after switching on. Nothing where it does not by `limit_s`.
std::optional<double> FaultBench::start_s(double limit_s) {
    for (int n = 1; n * period_s_ < limit_s + period_s_; ++n) {
        const Ending ending = run_->run_to(n * period_s_);
        was_interrupted_ = was_interrupted_ || ending == Ending::interrupted;
        if (ending != Ending::reached) {
            return std::nullopt;
        }
        if (power_of(look(0.0, ending)) >= started * power_of(healthy_)) {
            return n * period_s_;
        }
    }
    return std::nullopt;
}

// From a start on: the end of the first period, up to `limit_s`, in which the output is below half
// of the healthy circuit's again.
std::optional<double> FaultBench::stop_s(double limit_s) {
    for (double now = simulation_->now_s(); now < limit_s;) {
        now += period_s_;
        const Ending ending = run_->run_to(now);
        was_interrupted_ = was_interrupted_ || ending == Ending::interrupted;
        if (ending != Ending::reached) {
            return std::nullopt;
        }
        if (power_of(look(0.0, ending)) < started * power_of(healthy_)) {
            return now;
        }
    }
    return std::nullopt;
}

// Switches the circuit on with the fault in it; false where that was interrupted.
bool FaultBench::judge_start(std::size_t fault, FaultRun& result) {
    if (!healthy_start_s_) {
        return true;
    }
    simulation_->restore(*cold_);
    run_->forget();
    put_in(fault, 0.0, 0.0);
    const double limit_s = patience * *healthy_start_s_ + 2.0 * period_s_;
    const auto start = start_s(limit_s);
    const std::string healthy = base::to_engineering(*healthy_start_s_, base::Unit::second);
    if (!start) {
        result.verdict = "does not start";
        result.words = fmt::format(
            "While it runs, nothing changes. Switched on with the fault, it does not start within "
            "{}; the healthy circuit takes {}.",
            base::to_engineering(limit_s, base::Unit::second),
            healthy);
    } else if (const auto end = stop_s(*start + running_s)) {
        result.verdict = "restarts";
        result.words = fmt::format(
            "For some cycles of the mains, nothing changes. Switched on with the fault, it starts "
            "after {} and stops by {}.",
            base::to_engineering(*start, base::Unit::second),
            base::to_engineering(*end, base::Unit::second));
    } else if (*start > late * *healthy_start_s_ + period_s_) {
        result.verdict = "starts late";
        result.words = fmt::format(
            "While it runs, nothing changes. Switched on with the fault, it takes {} to start "
            "instead of {}.",
            base::to_engineering(*start, base::Unit::second),
            healthy);
    }
    return !was_interrupted_;
}

// Closes the fault's switch `at_s` after `begin_s`, the instant that the simulation stands at.
void FaultBench::put_in(std::size_t fault, double begin_s, double at_s) {
    const Model::Dormant& dormant = model_->dormant[fault];
    plan_->begin_s = begin_s;
    plan_->acts = {Act{.at_s = at_s,
                       .switches = {{dormant.id, dormant.faulty}},
                       .knobs = {},
                       .key = "fault",
                       .text = faults_[fault].id()}};
}

Look FaultBench::look(double since_s, Ending ending) const {
    Look seen;
    for (const ProbeId probe : model_->notable) {
        seen.notable.push_back(run_->mean(probe));
    }
    for (const Terminals::Load& load : model_->terminals.loads) {
        seen.loads.push_back(
            {load.part, run_->mean(load.volts), run_->mean(load.amps), run_->rms(load.amps)});
    }
    if (model_->terminals.mains_a) {
        seen.supply_a_rms = run_->rms(*model_->terminals.mains_a);
    }
    for (StressRow& row : stress_of(*run_, *model_)) {
        if (row.exceeded()) {
            seen.exceeded.push_back(std::move(row));
        }
    }
    for (StoryLine line : simulation_->story()) {
        if (line.t_s >= since_s && line.who != "scenario") {
            line.t_s -= since_s;
            seen.story.push_back(std::move(line));
        }
    }
    if (ending == Ending::gave_up) {
        seen.gave_up = first_words(simulation_->trouble());
    }
    return seen;
}

// Nothing changes any more, or nothing can come: a fuse has opened, the engine gave up.
bool FaultBench::is_certain(const Look& now, const Look& before) const {
    if (!now.gave_up.empty() ||
        std::ranges::find(now.story, std::string("fuse_melted"), &StoryLine::key) !=
            now.story.end()) {
        return true;
    }
    const auto close = [](double a, double b, double scale) {
        return std::abs(a - b) <= same * scale;
    };
    for (std::size_t i = 0; i < now.loads.size(); ++i) {
        const Look::Load& was = healthy_.loads[i];
        if (!close(now.loads[i].volts, before.loads[i].volts, std::abs(was.volts)) ||
            !close(now.loads[i].amps, before.loads[i].amps, std::abs(was.amps))) {
            return false;
        }
    }
    for (std::size_t i = 0; i < now.notable.size(); ++i) {
        if (!close(now.notable[i], before.notable[i], std::abs(healthy_.notable[i]))) {
            return false;
        }
    }
    return close(now.supply_a_rms, before.supply_a_rms, healthy_.supply_a_rms) &&
           now.exceeded.size() == before.exceeded.size();
}

std::optional<FaultRun> FaultBench::run(std::size_t number) {
    if (was_interrupted_) {
        return std::nullopt;
    }
    FaultRun result;
    result.fault = faults_[number];
    result.corner = corner_.name;
    if (!why_not_.empty()) {
        result.verdict = "not simulated";
        result.words = fmt::format("It cannot be simulated: {}.", why_not_);
        result.ledger_in_order = false;
        return result;
    }
    simulation_->restore(*settled_);
    run_->forget();
    put_in(number, settled_s_, first_act_s(period_s_));
    const double fault_s = settled_s_ + first_act_s(period_s_);
    const int periods = std::max(2, static_cast<int>(std::floor(longest_s / period_s_ + 0.5)));
    Look now = healthy_;
    for (int n = 1; n <= periods; ++n) {
        const Look before = std::move(now);
        const Ending ending = run_->run_to(settled_s_ + n * period_s_);
        if (ending == Ending::interrupted) {
            return std::nullopt;
        }
        now = look(fault_s, ending);
        if (is_certain(now, before)) {
            break;
        }
    }
    const Verdict verdict = judge(healthy_, now);
    result.verdict = verdict.verdict;
    result.words = verdict.words;
    result.exceeded = now.exceeded;
    result.figures = figures_of(*run_, *model_);
    result.story = now.story;
    result.ledger_in_order = run_->ledger().in_order();
    if (result.verdict == "no change" && !judge_start(number, result)) {
        return std::nullopt;
    }
    return result;
}

}  // namespace etchback::behaviour::detail
