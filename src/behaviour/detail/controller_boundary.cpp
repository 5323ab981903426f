#include "behaviour/detail/controller_boundary.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace etchback::behaviour::detail {

void Boundary::at_rest(Hands& hands) {
    phase_ = Phase::idle;
    if (set_.error) {
        hands.set(*set_.error, 0.0);
    }
    if (set_.reset) {
        hands.set(*set_.reset, true);
    }
    close(hands, false);
}

void Boundary::begin(Hands& hands) {
    mean_v_ = 0.0;
    short_since_ = -1.0;
    short_demagnetisations_ = 0;
    demagnetised_s_ = -1.0;
    peak_v_ = 0.0;
    if (set_.reset) {
        hands.set(*set_.reset, false);
    }
    if (set_.error) {
        hands.set(*set_.error, set_.gm * set_.reference_v);
    }
    turn_on(hands);
}

void Boundary::halt(Hands& hands) {
    for (const int watch : {at_peak, at_top, at_fall, at_rise, at_valley}) {
        hands.disarm(watch);
    }
    for (const int timer : {on_over, sensing, off_now, seeing, wait_over, restart}) {
        hands.cancel(timer);
    }
    at_rest(hands);
}

void Boundary::close(Hands& hands, bool closed) {
    if (set_.power) {
        hands.set(*set_.power, closed);
    }
}

// The level of the sense input at which this cycle ends, if its on-time does not end it before.
double Boundary::turn_off_level(Hands& hands) const {
    if (!set_.error) {
        return set_.reference_v;
    }
    if (set_.on_per_volt_s > 0.0) {
        return set_.limit_v;
    }
    const double asked = set_.peak_per_volt * hands.value(*set_.compensation);
    return std::clamp(asked, 0.0, set_.limit_v);
}

void Boundary::turn_on(Hands& hands) {
    const double now = hands.now_s();
    if (phase_ != Phase::idle) {
        account(hands);
        if (!running()) {
            return;
        }
    }
    for (const int watch : {at_top, at_fall, at_rise, at_valley}) {
        hands.disarm(watch);
    }
    for (const int timer : {seeing, wait_over, restart}) {
        hands.cancel(timer);
    }
    phase_ = Phase::on;
    on_at_ = now;
    by_peak_ = false;
    double on_s = set_.most_on_s;
    if (set_.error && set_.on_per_volt_s > 0.0) {
        on_s = std::clamp(
            set_.on_per_volt_s * hands.value(*set_.compensation), set_.least_on_s, set_.most_on_s);
    }
    hands.timer(on_over, now + on_s);
    if (set_.blanking_s < on_s) {
        hands.timer(sensing, now + set_.blanking_s);
    }
    close(hands, true);
    cycle_began(hands);
}

void Boundary::turn_off(Hands& hands) {
    const double now = hands.now_s();
    for (const int timer : {on_over, sensing, off_now}) {
        hands.cancel(timer);
    }
    hands.disarm(at_peak);
    peak_v_ = std::max(0.0, hands.value(set_.sense));
    phase_ = Phase::blanked;
    off_at_ = now;
    demagnetised_s_ = -1.0;
    hands.timer(restart, now + set_.restart_s);
    if (set_.seen) {
        hands.timer(seeing, now + set_.off_blanking_s);
    }
    close(hands, false);
}

double Boundary::drop() const {
    return set_.divided ? std::max(set_.drop * plateau_, 0.02) : set_.drop;
}

double Boundary::fall() const {
    return set_.divided ? set_.fall_per_s * std::max(plateau_, 0.1) : set_.fall_per_s;
}

// Looks for the plateau: where the voltage still rises, it is at its next top.
void Boundary::look(Hands& hands) {
    phase_ = Phase::demagnetising;
    if (hands.value(*set_.seen_slope) > 0.1 * fall()) {
        hands.arm(at_top, {*set_.seen_slope, Edge::falling, 0.0});
    } else {
        plateau(hands);
    }
}

void Boundary::plateau(Hands& hands) {
    plateau_ = hands.value(*set_.seen);
    hands.arm(at_fall, {*set_.seen, Edge::falling, plateau_ - drop()});
    hands.arm(at_rise, {*set_.seen, Edge::rising, plateau_ + drop()});
}

// The voltage has fallen below its plateau. A plateau that only sinks, as the current in the
// secondary dies away, is followed; the true end falls steeply.
void Boundary::fell(Hands& hands) {
    hands.disarm(at_rise);
    const double slope = hands.value(*set_.seen_slope);
    if (slope > -fall()) {
        plateau(hands);
        return;
    }
    // The fall begins as a cosine, so the drop d with slope s began 2 d/s ago.
    const double began = hands.now_s() - std::min(2.0 * drop() / -slope, 0.3e-6);
    end_of_demagnetisation(hands, std::max(began, off_at_));
    if (!running()) {
        return;
    }
    phase_ = Phase::falling;
    hands.arm(at_valley, {*set_.seen_slope, Edge::rising, -0.01 * fall()});
}

void Boundary::valley(Hands& hands) {
    if (plateau_ - hands.value(*set_.seen) < 3.0 * drop()) {
        // Leakage inductance still rings on the plateau.
        phase_ = Phase::demagnetising;
        hands.arm(at_top, {*set_.seen_slope, Edge::falling, 0.0, 0.0, false});
        return;
    }
    hands.count("valley");
    const double earliest = std::max(off_at_ + set_.least_off_s, on_at_ + set_.least_period_s);
    if (hands.now_s() < earliest) {
        phase_ = Phase::waiting;
        hands.timer(wait_over, earliest);
        return;
    }
    tell_once(hands, 0, "valley", [&] {
        return fmt::format("{} turns on in the valley, {} after the winding ran empty",
                           part(),
                           time_text(hands.now_s() - off_at_ - demagnetised_s_));
    });
    turn_on(hands);
}

void Boundary::end_of_demagnetisation(Hands& hands, double at_s) {
    demagnetised_s_ = at_s - off_at_;
    if (!set_.divided) {
        short_since_ = -1.0;  // the output has taken the energy in time
    }
    if (set_.least_demagnetised_s > 0.0 && by_peak_) {
        short_demagnetisations_ =
            demagnetised_s_ < set_.least_demagnetised_s ? short_demagnetisations_ + 1 : 0;
        if (short_demagnetisations_ >= 3) {
            protect(hands,
                    "over_voltage",
                    fmt::format("{} stops: the winding ran empty in {}, which means over-voltage "
                                "at the output",
                                part(),
                                time_text(demagnetised_s_)));
        }
    }
}

bool Boundary::plateau_is_sound(Hands& hands) {
    if (!set_.divided) {
        return true;
    }
    const double level = hands.value(*set_.seen);
    if (set_.plateau_over_v > 0.0 && level >= set_.plateau_over_v) {
        protect(hands,
                "over_voltage",
                fmt::format("{} stops: the detection pin shows {}, which means over-voltage at "
                            "the output",
                            part(),
                            volts_text(level)));
        return false;
    }
    if (set_.plateau_short_v > 0.0) {
        short_seen(hands, level < set_.plateau_short_v && carried());
    }
    return running();
}

// Any current worth speaking of flowed in this cycle's on-time: without, nothing is known about the
// output.
bool Boundary::carried() const {
    return peak_v_ > 0.02 * set_.limit_v;
}

void Boundary::short_seen(Hands& hands, bool is_short) {
    if (!is_short || set_.short_s <= 0.0) {
        short_since_ = -1.0;
        return;
    }
    if (short_since_ < 0.0) {
        short_since_ = hands.now_s();
    } else if (hands.now_s() - short_since_ > set_.short_s) {
        protect(hands,
                "short_output",
                fmt::format("{} stops: for {} the output has been as good as shorted",
                            part(),
                            time_text(hands.now_s() - short_since_)));
    }
}

// At the end of a cycle: what it has given, against the reference.
void Boundary::account(Hands& hands) {
    const double period = hands.now_s() - on_at_;
    if (!set_.error || period <= 0.0) {
        return;
    }
    // A cycle whose end of demagnetisation was not seen conducted until now.
    const double conducted = demagnetised_s_ >= 0.0 ? demagnetised_s_ : hands.now_s() - off_at_;
    const double given_v = peak_v_ * std::clamp(conducted / period, 0.0, 1.0);
    hands.set(*set_.error, set_.gm * (set_.reference_v - given_v));
    mean_v_ += (given_v - mean_v_) * -std::expm1(-period / 10e-3);
    if (mean_v_ >= 0.97 * set_.reference_v && demagnetised_s_ >= 0.0) {
        tell_once(hands, 1, "regulating", [&] {
            return fmt::format("{} regulates: sense peak times share of conduction averages {}",
                               part(),
                               volts_text(set_.reference_v));
        });
    }
}

void Boundary::watch_fired(Hands& hands, int watch) {
    if (watch == at_peak && phase_ == Phase::on) {
        by_peak_ = true;
        if (set_.error && hands.value(set_.sense) >= 0.999 * set_.limit_v) {
            hands.count("current_limit");
            tell_once(hands, 2, "current_limit", [&] {
                return fmt::format("{}: the sense input reaches its limit of {}",
                                   part(),
                                   volts_text(set_.limit_v));
            });
        }
        hands.timer(off_now, hands.now_s() + set_.delay_s);
    } else if (watch == at_top && phase_ == Phase::demagnetising) {
        plateau(hands);
    } else if (watch == at_rise && phase_ == Phase::demagnetising) {
        // What looked flat was the bottom of a ring (the body diode conducted).
        hands.disarm(at_fall);
        hands.arm(at_top, {*set_.seen_slope, Edge::falling, 0.0});
    } else if (watch == at_fall && phase_ == Phase::demagnetising) {
        fell(hands);
    } else if (watch == at_fall && phase_ == Phase::waiting) {
        phase_ = Phase::falling;
        hands.arm(at_valley, {*set_.seen_slope, Edge::rising, -0.01 * fall()});
    } else if (watch == at_valley && phase_ == Phase::falling) {
        valley(hands);
    }
}

void Boundary::timer_fired(Hands& hands, int timer) {
    if (timer == sensing && phase_ == Phase::on) {
        hands.arm(at_peak, {set_.sense, Edge::rising, turn_off_level(hands)});
    } else if (timer == on_over && phase_ == Phase::on) {
        if (hands.now_s() - on_at_ >= 0.999 * set_.most_on_s) {
            hands.count("maximum_on_time");
            tell_once(hands, 3, "maximum_on_time", [&] {
                return fmt::format(
                    "{}: the on-time reaches its maximum of {}", part(), time_text(set_.most_on_s));
            });
        }
        turn_off(hands);
    } else if (timer == off_now && phase_ == Phase::on) {
        turn_off(hands);
    } else if (timer == seeing && set_.seen && phase_ == Phase::blanked) {
        if (plateau_is_sound(hands)) {
            look(hands);
        }
    } else if (timer == wait_over && phase_ == Phase::waiting) {
        // The next valley: the voltage falls again, then turns.
        hands.arm(at_fall, {*set_.seen_slope, Edge::falling, -fall()});
    } else if (timer == restart && phase_ != Phase::on) {
        hands.count("restart_timer");
        tell_once(hands, 4, "restart_timer", [&] {
            return fmt::format("{}: no valley seen for {}, so the restart timer turns on",
                               part(),
                               time_text(set_.restart_s));
        });
        if (!set_.divided) {
            short_seen(hands, phase_ == Phase::demagnetising && carried());
        }
        if (running()) {
            turn_on(hands);
        }
    }
}

}  // namespace etchback::behaviour::detail
