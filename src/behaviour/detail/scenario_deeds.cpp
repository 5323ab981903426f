#include "behaviour/detail/scenario_deeds.h"

#include <fmt/format.h>

#include <algorithm>

namespace etchback::behaviour::detail {

namespace {

constexpr int look = 0;  // the timer of looking; those of acts follow

class DeedMachine final : public Machine {
public:
    DeedMachine(std::shared_ptr<const DeedPlan> plan, double period_s)
        : plan_(std::move(plan)), period_s_(period_s) {}

    std::string name() const override { return "scenario"; }

    void start(Hands& hands) override {
        if (plan_->begin_s) {
            begin(hands);
        } else {
            hands.timer(look, hands.now_s() + first_act_s(period_s_));
        }
    }

    void crossed(Hands&, int) override {}

    void alarm(Hands& hands, int timer) override {
        if (timer != look) {
            act(hands, plan_->acts[static_cast<std::size_t>(timer - 1)]);
        } else if (plan_->begin_s) {
            begin(hands);
        } else {
            // By number of looks, so that rounding does not let them wander off the period.
            hands.timer(look, ++looks_ * period_s_ + first_act_s(period_s_));
        }
    }

    std::unique_ptr<Machine> clone() const override { return std::make_unique<DeedMachine>(*this); }

private:
    void begin(Hands& hands) {
        for (std::size_t i = 0; i < plan_->acts.size(); ++i) {
            hands.timer(static_cast<int>(i) + 1,
                        std::max(hands.now_s(), *plan_->begin_s + plan_->acts[i].at_s));
        }
    }

    static void act(Hands& hands, const Act& act) {
        for (const auto& [id, closed] : act.switches) {
            hands.set(id, closed);
        }
        for (const auto& [id, value] : act.knobs) {
            hands.set(id, value);
        }
        if (!act.text.empty()) {
            hands.tell(act.key, act.text);
        }
    }

    std::shared_ptr<const DeedPlan> plan_;
    double period_s_;
    double looks_ = 0.0;
};

std::string listed_loads(const Model& model) {
    std::string names;
    for (const Terminals::Load& load : model.terminals.loads) {
        names += (names.empty() ? "" : ", ") + load.part;
    }
    return names;
}

base::Result<Act> load_act(const Deed& deed, const Model& model) {
    const bool open = deed.kind == Deed::Kind::open_load;
    const bool shorted = deed.kind == Deed::Kind::short_load;
    Act act{.at_s = deed.at_s,
            .switches = {},
            .knobs = {},
            .key = open      ? "load_opened"
                   : shorted ? "load_shorted"
                             : "load_restored",
            .text = {}};
    std::string names;
    for (const Terminals::Load& load : model.terminals.loads) {
        if (deed.load.empty() || deed.load == load.part) {
            act.switches.emplace_back(load.series, !open);
            act.switches.emplace_back(load.across, shorted);
            names += (names.empty() ? "" : " and ") + load.part;
        }
    }
    if (act.switches.empty()) {
        return base::Error{
            {},
            deed.load.empty() ? std::string("the circuit has no load to open or to short")
                              : fmt::format("the scenario acts on {}, which is no load", deed.load),
            model.terminals.loads.empty()
                ? std::string("write the load as a part: a load, an LED string, a connector")
                : "its loads are: " + listed_loads(model)};
    }
    act.text = fmt::format("{} is {}.",
                           names,
                           open      ? "disconnected"
                           : shorted ? "shorted"
                                     : "connected again, without the short");
    return act;
}

base::Result<Act> supply_act(const Deed& deed, const Model& model) {
    if (!model.terminals.mains_peak) {
        return base::Error{{},
                           "the scenario scales the supply, but the circuit has none",
                           "add a part of kind mains or DC supply"};
    }
    const KnobId knob = *model.terminals.mains_peak;
    const double usual = model.network.knobs()[static_cast<std::size_t>(knob.index)].initial;
    return Act{.at_s = deed.at_s,
               .switches = {},
               .knobs = {{knob, deed.factor * usual}},
               .key = "supply_scaled",
               .text = deed.factor == 1.0
                           ? std::string("The supply is back at its full voltage.")
                           : fmt::format("The supply changes to {:g} % of its voltage.",
                                         100.0 * deed.factor)};
}

}  // namespace

double first_act_s(double period_s) {
    return period_s / 64.0;
}

std::unique_ptr<Machine> make_deed_machine(std::shared_ptr<const DeedPlan> plan, double period_s) {
    return std::make_unique<DeedMachine>(std::move(plan), period_s);
}

base::Result<std::vector<Act>> acts_of(const Scenario& scenario, const Model& model) {
    std::vector<Act> acts;
    base::Errors errors;
    for (const Deed& deed : scenario.deeds) {
        auto act = deed.kind == Deed::Kind::supply_factor ? supply_act(deed, model)
                                                          : load_act(deed, model);
        if (act) {
            acts.push_back(std::move(*act));
        } else {
            errors.insert(errors.end(), act.errors().begin(), act.errors().end());
        }
    }
    if (!errors.empty()) {
        return errors;
    }
    return acts;
}

}  // namespace etchback::behaviour::detail
