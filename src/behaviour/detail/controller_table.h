// A controller that nobody knows: it does what the table of thresholds says, no more.
//
// It turns on by a clock (frequency) or a fixed time after turn-off (off_time), and off after
// on_time or when the sense input reaches current_limit, whichever comes first. With
// feedback_reference it starts no pulse while the feedback pin is above it.
#pragma once

#include <memory>
#include <optional>

#include "behaviour/detail/controller.h"

namespace etchback::behaviour::detail {

struct ThresholdTable {
    std::optional<SwitchId> power;
    std::optional<ProbeId> sense;
    double limit = 0.0;
    bool sense_in_amps = false;
    double blanking_s = 0.0, delay_s = 0.0;
    double on_s = 0.0;      // 0: only the limit ends a pulse
    double off_s = 0.0;     // 0: the clock begins a pulse
    double period_s = 0.0;  // 0: the off-time does
    std::optional<ProbeId> feedback;
    double reference_v = 0.0;
};

base::Result<std::unique_ptr<Machine>> make_threshold_table(Bench& bench);

class Tabled final : public Controller {
public:
    Tabled(std::string part, Supply supply, ThresholdTable table)
        : Controller(std::move(part), std::move(supply)), set_(table) {}
    std::unique_ptr<Machine> clone() const override { return std::make_unique<Tabled>(*this); }

protected:
    void begin(Hands& hands) override { next(hands); }
    void halt(Hands& hands) override;
    void watch_fired(Hands& hands, int watch) override;
    void timer_fired(Hands& hands, int timer) override;
    void at_rest(Hands& hands) override;

private:
    enum Watches { at_limit = first_watch, at_feedback };
    enum Timers { next_pulse = first_timer, on_over, sensing, off_now };

    void next(Hands& hands);
    void turn_on(Hands& hands);
    void turn_off(Hands& hands);

    ThresholdTable set_;
    bool on_ = false;
};

}  // namespace etchback::behaviour::detail
