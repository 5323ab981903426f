// Small controllers for tests: what a chip does, stripped to the few numbers that a comparison
// needs. They play through the engine's Machine interface.
#pragma once

#include <algorithm>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "behaviour/machine.h"

namespace etchback::ida {

// Closes a switch for a fixed time in each period.
class FixedDuty final : public behaviour::Machine {
public:
    struct Numbers {
        double period_s = 1e-5;
        double on_s = 5e-6;
        double delay_s = 0.0;
    };
    FixedDuty(behaviour::SwitchId gate, Numbers numbers) : gate_(gate), numbers_(numbers) {}
    std::string name() const override { return "G"; }
    void start(behaviour::Hands& hands) override { hands.timer(0, numbers_.delay_s); }
    void crossed(behaviour::Hands&, int) override {}
    void alarm(behaviour::Hands& hands, int) override {
        const double begin_s = numbers_.delay_s + static_cast<double>(cycle_) * numbers_.period_s;
        if (on_) {
            hands.set(gate_, false);
            ++cycle_;
            hands.timer(0, numbers_.delay_s + static_cast<double>(cycle_) * numbers_.period_s);
        } else {
            hands.set(gate_, true);
            hands.count("cycle");
            hands.timer(0, begin_s + numbers_.on_s);
        }
        on_ = !on_;
    }
    std::unique_ptr<Machine> clone() const override { return std::make_unique<FixedDuty>(*this); }

private:
    behaviour::SwitchId gate_;
    Numbers numbers_;
    long cycle_ = 0;
    bool on_ = false;
};

// Closes a switch at a fixed frequency and opens it when a current reaches its limit.
class PeakCurrent final : public behaviour::Machine {
public:
    struct Numbers {
        double period_s = 1.0 / 65e3;
        double blanking_s = 400e-9;
        double limit_a = 1.0;
        double longest_on_s = 7e-6;
    };
    PeakCurrent(behaviour::SwitchId gate, behaviour::ProbeId amps, Numbers numbers)
        : gate_(gate), amps_(amps), numbers_(numbers) {}
    std::string name() const override { return "U1"; }
    void start(behaviour::Hands& hands) override { hands.timer(next_cycle, 0.0); }
    void crossed(behaviour::Hands& hands, int) override { open(hands); }
    void alarm(behaviour::Hands& hands, int timer) override {
        if (timer == longest) {
            open(hands);
        } else if (timer == compare) {
            hands.arm(
                0,
                {.probe = amps_, .edge = behaviour::Edge::rising, .threshold = numbers_.limit_a});
        } else {
            ++cycle_;
            hands.set(gate_, true);
            hands.count("cycle");
            hands.timer(compare, hands.now_s() + numbers_.blanking_s);
            hands.timer(longest, hands.now_s() + numbers_.longest_on_s);
            hands.timer(next_cycle, static_cast<double>(cycle_) * numbers_.period_s);
        }
    }
    std::unique_ptr<Machine> clone() const override { return std::make_unique<PeakCurrent>(*this); }

private:
    enum Timer { next_cycle, compare, longest };
    void open(behaviour::Hands& hands) {
        hands.set(gate_, false);
        hands.disarm(0);
        hands.cancel(compare);
        hands.cancel(longest);
    }
    behaviour::SwitchId gate_;
    behaviour::ProbeId amps_;
    Numbers numbers_;
    long cycle_ = 0;
};

// Closes a switch for a constant time; after it opens, waits for a winding to fall through zero
// and closes again after a delay.
class ConstantOnTime final : public behaviour::Machine {
public:
    struct Numbers {
        double on_s = 3e-6;
        double blanking_s = 1.5e-6;
        double delay_s = 0.4e-6;
        double restart_s = 30e-6;
        double threshold = 0.0;
    };
    ConstantOnTime(behaviour::SwitchId gate, behaviour::ProbeId winding, Numbers numbers)
        : gate_(gate), winding_(winding), numbers_(numbers) {}
    std::string name() const override { return "U1"; }
    void start(behaviour::Hands& hands) override { close(hands); }
    void crossed(behaviour::Hands& hands, int) override {
        hands.cancel(restart);
        hands.timer(turn_on, hands.now_s() + numbers_.delay_s);
    }
    void alarm(behaviour::Hands& hands, int timer) override {
        if (timer == turn_off) {
            hands.set(gate_, false);
            hands.timer(look, hands.now_s() + numbers_.blanking_s);
            hands.timer(restart, hands.now_s() + numbers_.restart_s);
        } else if (timer == look) {
            hands.arm(0,
                      {.probe = winding_,
                       .edge = behaviour::Edge::falling,
                       .threshold = numbers_.threshold});
        } else {
            hands.disarm(0);
            close(hands);
        }
    }
    std::unique_ptr<Machine> clone() const override {
        return std::make_unique<ConstantOnTime>(*this);
    }

private:
    enum Timer { turn_off, look, turn_on, restart };
    void close(behaviour::Hands& hands) {
        hands.set(gate_, true);
        hands.count("cycle");
        hands.cancel(restart);
        hands.timer(turn_off, hands.now_s() + numbers_.on_s);
    }
    behaviour::SwitchId gate_;
    behaviour::ProbeId winding_;
    Numbers numbers_;
};

}  // namespace etchback::ida
