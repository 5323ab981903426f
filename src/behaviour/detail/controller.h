// What all switching controllers share: a supply with start and stop thresholds, protection that
// stops and tries again, and the telling of it.
//
//     waiting --supply at start, enabled--> running --protection--> resting --supply at stop--+
//        ^                                     |                       |  (or after a while)  |
//        +-------------supply at stop----------+                       +----------------------+
//
// A latched protection rests until the supply has fallen to the reset level. Above the
// temperature of shut-down the controller never starts: the junction temperature is a number.
#pragma once

#include <optional>
#include <string>

#include "behaviour/detail/controller_parts.h"

namespace etchback::behaviour::detail {

// Elements and numbers of the supply, made once.
struct Supply {
    std::optional<ProbeId> volts;  // none: the controller has no supply pin and runs at once
    KnobId current;
    std::optional<SwitchId> start_source;
    bool source_holds = false;  // the start source keeps the supply at the start voltage
    std::optional<ProbeId> enable;
    double start_v = 0.0, stop_v = 0.0;
    double over_v = 0.0;  // 0: no such protection
    double start_a = 0.0, operating_a = 0.0;
    double gate_charge_c = 0.0;
    double rest_s = 0.0;  // longest rest after a protection
    bool latches = false;
    double reset_v = 0.0;
    double enable_v = 0.0;
    bool too_hot = false;
    double junction_c = 0.0;
};
Supply make_supply(Bench& bench);

class Controller : public Machine {
public:
    std::string name() const final { return part_; }
    void start(Hands& hands) final;
    void crossed(Hands& hands, int watch) final;
    void alarm(Hands& hands, int timer) final;

protected:
    Controller(std::string part, Supply supply)
        : part_(std::move(part)), supply_(std::move(supply)) {}
    Controller(const Controller&) = default;

    // The supply is up: begin to switch. And stop: open the switch, forget watches and timers.
    virtual void begin(Hands& hands) = 0;
    virtual void halt(Hands& hands) = 0;
    virtual void watch_fired(Hands& hands, int watch) = 0;
    virtual void timer_fired(Hands& hands, int timer) = 0;
    // Things set before the first start (knobs of pull-ups).
    virtual void at_rest(Hands&) {}

    // Numbers of watches and timers that a machine may use begin here.
    static constexpr int first_watch = 6;
    static constexpr int first_timer = 2;

    // Stops and rests; the sentence says why.
    void protect(Hands& hands, const char* key, std::string text);
    // To be called with every turn-on.
    void cycle_began(Hands& hands);
    // Tells once in each run; the sentence is only made where it is told.
    template <typename Words>
    void tell_once(Hands& hands, unsigned bit, const char* key, Words words) {
        if ((told_ & (1u << bit)) == 0) {
            told_ |= 1u << bit;
            hands.tell(key, words());
        }
    }
    bool running() const { return state_ == State::running; }
    double began_s() const { return began_s_; }
    const std::string& part() const { return part_; }

private:
    enum Watches { at_start, at_stop, at_over, at_enable, at_full, at_empty };
    enum Timers { rest_over, settled };
    enum class State { waiting, running, resting };

    void wait(Hands& hands);
    void look_for_start(Hands& hands);
    double hold_v() const;  // how far the supply may fall before the start source comes on
    void try_to_begin(Hands& hands);
    void run(Hands& hands);
    void stop_running(Hands& hands);
    void draw(Hands& hands, double amps);

    std::string part_;
    Supply supply_;
    State state_ = State::waiting;
    double began_s_ = 0.0;
    double last_cycle_s_ = 0.0;
    double drawn_a_ = -1.0;
    unsigned told_ = 0;
    bool pulsed_ = false;
    int starts_ = 0;
};

}  // namespace etchback::behaviour::detail
