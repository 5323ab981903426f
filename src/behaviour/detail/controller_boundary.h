// Boundary-mode controllers: the switch turns on in the first valley of its voltage after the
// winding has given its energy away, and off by on-time or by peak current.
//
//     on --off--> blanked --blanking over--> demagnetising --voltage falls--> falling --valley-->
//     on
//                                                 ^                              |
//                                                 +----- not a valley yet -------+
//
// Three machines are made of this: a flyback whose on-time, or whose peak, is set by an average of
// the output current, and a buck with a fixed peak.
#pragma once

#include <memory>
#include <optional>

#include "behaviour/detail/controller.h"

namespace etchback::behaviour::detail {

struct BoundarySettings {
    std::optional<SwitchId> power;
    ProbeId sense;
    double blanking_s = 0.0;  // of the sense input after turn-on
    double delay_s = 0.0;     // from the comparator to the switch
    double limit_v = 0.0;
    double least_on_s = 0.0, most_on_s = 0.0;

    // How the winding's state is seen: at the switch node, or at a divider from a winding.
    std::optional<ProbeId> seen, seen_slope;
    bool divided = false;
    double drop = 0.0;        // V, or share of the plateau where divided
    double fall_per_s = 0.0;  // V/s, or shares of the plateau per second
    double off_blanking_s = 0.0;
    double least_off_s = 0.0;
    double least_period_s = 0.0;
    double restart_s = 0.0;  // from turn-off, where no valley is seen

    // Average regulation. Without it the peak is fixed at `reference_v`.
    std::optional<KnobId> error;
    std::optional<ProbeId> compensation;
    std::optional<SwitchId> reset;
    double reference_v = 0.0;
    double gm = 0.0;             // A/V into the compensation pin
    double on_per_volt_s = 0.0;  // 0: the compensation sets the peak
    double peak_per_volt = 0.0;

    double plateau_over_v = 0.0;        // at the divided pin; 0: not watched
    double plateau_short_v = 0.0;       // the same
    double short_s = 0.0;               // how long a short may last; 0: not watched
    double least_demagnetised_s = 0.0;  // shorter after a full peak means over-voltage; 0: not
};

base::Result<std::unique_ptr<Machine>> make_boundary_flyback(Bench& bench, bool by_on_time);
base::Result<std::unique_ptr<Machine>> make_boundary_buck(Bench& bench);

class Boundary final : public Controller {
public:
    Boundary(std::string part, Supply supply, BoundarySettings settings)
        : Controller(std::move(part), std::move(supply)), set_(settings) {}
    std::unique_ptr<Machine> clone() const override { return std::make_unique<Boundary>(*this); }

protected:
    void begin(Hands& hands) override;
    void halt(Hands& hands) override;
    void watch_fired(Hands& hands, int watch) override;
    void timer_fired(Hands& hands, int timer) override;
    void at_rest(Hands& hands) override;

private:
    enum Watches { at_peak = first_watch, at_top, at_fall, at_rise, at_valley };
    enum Timers { on_over = first_timer, sensing, off_now, seeing, wait_over, restart };
    enum class Phase { idle, on, blanked, demagnetising, falling, waiting };

    void turn_on(Hands& hands);
    void turn_off(Hands& hands);
    void close(Hands& hands, bool closed);
    void look(Hands& hands);
    void plateau(Hands& hands);
    void fell(Hands& hands);
    void valley(Hands& hands);
    void end_of_demagnetisation(Hands& hands, double at_s);
    bool plateau_is_sound(Hands& hands);
    bool carried() const;
    void short_seen(Hands& hands, bool is_short);
    void account(Hands& hands);
    double turn_off_level(Hands& hands) const;
    double drop() const;
    double fall() const;

    BoundarySettings set_;
    Phase phase_ = Phase::idle;
    double on_at_ = 0.0, off_at_ = 0.0;
    double demagnetised_s_ = -1.0;  // of this cycle, once known
    double peak_v_ = 0.0;           // of this cycle
    bool by_peak_ = false;
    double plateau_ = 0.0;
    double mean_v_ = 0.0;  // of peak times share, over some 10 ms
    double short_since_ = -1.0;
    int short_demagnetisations_ = 0;
};

}  // namespace etchback::behaviour::detail
