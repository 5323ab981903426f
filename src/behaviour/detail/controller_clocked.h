// Clocked peak-current controllers: fixed-frequency flyback with optocoupler, low-voltage boost and
// buck. A clock turns on; off comes when the switch current reaches what the demand asks for, less
// the slope compensation, or its limit, or the largest duty.
//
// The demand is a voltage: the feedback pin of the flyback, the output of the error amplifier
// inside of the others. Low demand lowers the frequency, lower demand skips (burst).
#pragma once

#include <memory>
#include <optional>

#include "behaviour/detail/controller.h"

namespace etchback::behaviour::detail {

struct ClockedSettings {
    std::optional<SwitchId> power;
    ProbeId sense;
    bool sense_in_amps = false;
    double blanking_s = 0.0, delay_s = 0.0;
    double limit = 0.0;        // of the sense, V or A
    double slope_per_s = 0.0;  // compensation, of the sense
    double hz = 0.0, least_hz = 0.0;
    double most_duty = 0.0;
    double soft_start_s = 0.0;

    ProbeId demand;
    double sense_per_demand = 0.0;
    double burst_enter_v = 0.0, burst_exit_v = 0.0;
    double full_frequency_v = 0.0;  // demand above which the clock runs at `hz`

    std::optional<KnobId> pull_up;  // set to `pull_up_v` while running
    double pull_up_v = 0.0;
    std::optional<SwitchId> reset;  // holds the error amplifier at 0 while not running

    std::optional<ProbeId> overload;  // beyond `overload_level` for `overload_s`: protection
    Edge overload_edge = Edge::rising;
    double overload_level = 0.0, overload_back = 0.0, overload_s = 0.0;

    std::optional<ProbeId> output;  // an over-voltage pin
    double output_over_v = 0.0;
};

base::Result<std::unique_ptr<Machine>> make_fixed_frequency_flyback(Bench& bench);
base::Result<std::unique_ptr<Machine>> make_low_voltage_converter(Bench& bench);

class Clocked final : public Controller {
public:
    Clocked(std::string part, Supply supply, ClockedSettings settings)
        : Controller(std::move(part), std::move(supply)), set_(settings) {}
    std::unique_ptr<Machine> clone() const override { return std::make_unique<Clocked>(*this); }

protected:
    void begin(Hands& hands) override;
    void halt(Hands& hands) override;
    void watch_fired(Hands& hands, int watch) override;
    void timer_fired(Hands& hands, int timer) override;
    void at_rest(Hands& hands) override;

private:
    enum Watches { at_asked = first_watch, at_limit, at_demand, at_overload, at_relief, at_output };
    enum Timers { clock = first_timer, duty_over, sensing, off_now, overload_over };

    void tick(Hands& hands);
    void turn_on(Hands& hands, double demand_v);
    void turn_off(Hands& hands);
    void sense(Hands& hands);
    void limit_reached(Hands& hands);
    double period(double demand_v) const;
    double limit_now(Hands& hands) const;
    std::string sense_text(double value) const;

    ClockedSettings set_;
    bool on_ = false;
    bool skipping_ = false;
    bool burst_told_ = false;
    bool limited_ = false;  // by the limit, not by the demand
    double on_at_ = 0.0;
    double asked_ = 0.0;  // by the demand in this cycle, at turn-on
    double longest_on_s_ = 0.0;
};

}  // namespace etchback::behaviour::detail
