#include "behaviour/detail/controller_clocked.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace etchback::behaviour::detail {

void Clocked::at_rest(Hands& hands) {
    on_ = false;
    skipping_ = false;
    burst_told_ = false;
    if (set_.pull_up) {
        hands.set(*set_.pull_up, 0.0);
    }
    if (set_.reset) {
        hands.set(*set_.reset, true);
    }
    if (set_.power) {
        hands.set(*set_.power, false);
    }
}

void Clocked::begin(Hands& hands) {
    if (set_.pull_up) {
        hands.set(*set_.pull_up, set_.pull_up_v);
    }
    if (set_.reset) {
        hands.set(*set_.reset, false);
    }
    if (set_.overload) {
        hands.arm(at_overload, {*set_.overload, set_.overload_edge, set_.overload_level});
    }
    if (set_.output) {
        hands.arm(at_output, {*set_.output, Edge::rising, set_.output_over_v});
    }
    tick(hands);
}

void Clocked::halt(Hands& hands) {
    for (const int watch : {at_asked, at_limit, at_demand, at_overload, at_relief, at_output}) {
        hands.disarm(watch);
    }
    for (const int timer : {clock, duty_over, sensing, off_now, overload_over}) {
        hands.cancel(timer);
    }
    at_rest(hands);
}

double Clocked::period(double demand_v) const {
    const double span = set_.full_frequency_v - set_.burst_exit_v;
    const double share = span > 0.0 ? (demand_v - set_.burst_exit_v) / span : 1.0;
    return 1.0 / (set_.least_hz + (set_.hz - set_.least_hz) * std::clamp(share, 0.0, 1.0));
}

double Clocked::limit_now(Hands& hands) const {
    const double since = hands.now_s() - began_s();
    if (since >= set_.soft_start_s) {
        return set_.limit;
    }
    // A ramp from a quarter is common practice.
    return set_.limit * (0.25 + 0.75 * since / set_.soft_start_s);
}

std::string Clocked::sense_text(double value) const {
    return set_.sense_in_amps ? amps_text(value) : volts_text(value);
}

void Clocked::tick(Hands& hands) {
    const double demand_v = hands.value(set_.demand);
    if (demand_v < set_.burst_enter_v) {
        skipping_ = true;
        hands.count("burst");
        // A demand that has yet to come up after the start is not worth a line.
        if (hands.now_s() > began_s() && hands.now_s() - began_s() >= set_.soft_start_s) {
            burst_told_ = true;
            tell_once(hands, 0, "burst_begin", [&] {
                return fmt::format("{} skips: the demand of {} is below {}",
                                   part(),
                                   volts_text(demand_v),
                                   volts_text(set_.burst_enter_v));
            });
        }
        hands.arm(at_demand, {set_.demand, Edge::rising, set_.burst_exit_v});
        return;
    }
    turn_on(hands, demand_v);
}

void Clocked::turn_on(Hands& hands, double demand_v) {
    const double now = hands.now_s();
    const double cycle = period(demand_v);
    const bool soft = now - began_s() < set_.soft_start_s;
    asked_ = demand_v * set_.sense_per_demand;
    if (!soft) {
        tell_once(hands, 1, "soft_start_done", [&] {
            return fmt::format(
                "{}: soft start done, the limit is {}", part(), sense_text(set_.limit));
        });
        if (asked_ < 0.97 * set_.limit) {
            tell_once(hands, 2, "regulating", [&] {
                return fmt::format("{} regulates: the demand of {} asks for a peak of {}",
                                   part(),
                                   volts_text(demand_v),
                                   sense_text(asked_));
            });
        }
    }
    on_ = true;
    limited_ = false;
    on_at_ = now;
    longest_on_s_ = set_.most_duty * cycle;
    hands.timer(clock, now + cycle);
    hands.timer(duty_over, now + longest_on_s_);
    if (set_.blanking_s < longest_on_s_) {
        hands.timer(sensing, now + set_.blanking_s);
    }
    if (set_.power) {
        hands.set(*set_.power, true);
    }
    cycle_began(hands);
}

void Clocked::sense(Hands& hands) {
    const double limit = limit_now(hands);
    const double now_asked = asked_ - set_.slope_per_s * (hands.now_s() - on_at_);
    // The lower of two lines: only those that can be the lower one are watched.
    if (asked_ - set_.slope_per_s * longest_on_s_ < limit) {
        hands.arm(at_asked, {set_.sense, Edge::rising, now_asked, -set_.slope_per_s});
    }
    if (now_asked > limit) {
        hands.arm(at_limit, {set_.sense, Edge::rising, limit});
    }
}

void Clocked::turn_off(Hands& hands) {
    on_ = false;
    hands.disarm(at_asked);
    hands.disarm(at_limit);
    for (const int timer : {duty_over, sensing, off_now}) {
        hands.cancel(timer);
    }
    if (set_.power) {
        hands.set(*set_.power, false);
    }
}

void Clocked::limit_reached(Hands& hands) {
    limited_ = true;
    hands.count("current_limit");
    tell_once(hands, 3, "current_limit", [&] {
        return fmt::format(
            "{}: the switch current reaches its limit of {}", part(), sense_text(limit_now(hands)));
    });
}

void Clocked::watch_fired(Hands& hands, int watch) {
    if ((watch == at_asked || watch == at_limit) && on_) {
        if (watch == at_limit) {
            limit_reached(hands);
        }
        hands.disarm(at_asked);
        hands.disarm(at_limit);
        hands.timer(off_now, hands.now_s() + set_.delay_s);
    } else if (watch == at_demand && skipping_) {
        skipping_ = false;
        if (burst_told_) {
            tell_once(hands, 4, "burst_end", [&] {
                return fmt::format(
                    "{} goes on: the demand is back at {}", part(), volts_text(set_.burst_exit_v));
            });
        }
        turn_on(hands, std::max(hands.value(set_.demand), set_.burst_exit_v));
    } else if (watch == at_overload && set_.overload) {
        // An output that is still being charged by the soft start is no overload.
        const double from = std::max(hands.now_s(), began_s() + set_.soft_start_s);
        hands.timer(overload_over, from + set_.overload_s);
        hands.arm(at_relief,
                  {*set_.overload,
                   set_.overload_edge == Edge::rising ? Edge::falling : Edge::rising,
                   set_.overload_back});
    } else if (watch == at_relief && set_.overload) {
        hands.cancel(overload_over);
        hands.arm(at_overload, {*set_.overload, set_.overload_edge, set_.overload_level});
    } else if (watch == at_output) {
        protect(hands,
                "over_voltage",
                fmt::format("{} stops: its over-voltage pin has reached {}",
                            part(),
                            volts_text(set_.output_over_v)));
    }
}

void Clocked::timer_fired(Hands& hands, int timer) {
    if (timer == clock && !on_ && !skipping_) {
        tick(hands);
    } else if (timer == sensing && on_) {
        sense(hands);
    } else if (timer == duty_over && on_) {
        hands.count("maximum_duty");
        tell_once(hands, 5, "maximum_duty", [&] {
            return fmt::format("{}: the on-time reaches the largest duty of {:.0f} %",
                               part(),
                               100.0 * set_.most_duty);
        });
        turn_off(hands);
    } else if (timer == off_now && on_) {
        turn_off(hands);
    } else if (timer == overload_over) {
        protect(hands,
                "overload",
                fmt::format("{} stops: for {} the output has asked for more than it can get",
                            part(),
                            time_text(set_.overload_s)));
    }
}

}  // namespace etchback::behaviour::detail
