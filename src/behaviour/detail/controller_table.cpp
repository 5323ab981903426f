#include "behaviour/detail/controller_table.h"

#include <fmt/format.h>

#include <cmath>

namespace etchback::behaviour::detail {

base::Result<std::unique_ptr<Machine>> make_threshold_table(Bench& bench) {
    ThresholdTable table;
    const Supply supply = make_supply(bench);
    const Bench::Power power = bench.power();
    table.power = power.id;
    table.blanking_s = bench.number_or("blanking", 0.0);
    table.delay_s = bench.number_or("delay_to_output", 0.0);
    table.on_s = bench.number_or("on_time", 0.0);
    table.off_s = bench.number_or("off_time", 0.0);
    const double hz = bench.number_or("switching_frequency", bench.number_or("frequency", 0.0));
    table.period_s = hz > 0.0 ? 1.0 / hz : 0.0;
    table.limit = bench.number_or("current_limit", 0.0);
    if (table.limit > 0.0) {
        if (const auto sense = bench.pin("sense"); sense || !power.own) {
            table.sense = bench.volts("sense", sense ? *sense : bench.needed_pin("sense"), 0.1);
        } else {
            table.sense =
                bench.network().probe_current(bench.part() + " switch current", *power.own, 0.1);
            table.sense_in_amps = true;
        }
    }
    const std::string under = fmt::format("under thresholds of {}", bench.part());
    if (table.off_s <= 0.0 && table.period_s <= 0.0) {
        bench.complain(fmt::format("nothing says when {} turns on", bench.part()),
                       "write frequency or off_time " + under);
    }
    if (table.on_s <= 0.0 && table.limit <= 0.0) {
        bench.complain(fmt::format("nothing says when {} turns off", bench.part()),
                       "write on_time or current_limit " + under);
    }
    if (table.period_s > 0.0 && table.on_s >= table.period_s) {
        bench.complain(fmt::format("the on-time {} of {} is not shorter than its period {}",
                                   time_text(table.on_s),
                                   bench.part(),
                                   time_text(table.period_s)),
                       "check on_time and frequency");
    }
    table.reference_v = bench.number_or("feedback_reference", 0.0);
    if (table.reference_v > 0.0) {
        table.feedback = bench.volts("feedback", bench.needed_pin("feedback"), 0.1);
    }
    if (!bench.errors().empty()) {
        return std::move(bench.errors());
    }
    std::unique_ptr<Machine> machine = std::make_unique<Tabled>(bench.part(), supply, table);
    return machine;
}

void Tabled::at_rest(Hands& hands) {
    on_ = false;
    if (set_.power) {
        hands.set(*set_.power, false);
    }
}

void Tabled::halt(Hands& hands) {
    hands.disarm(at_limit);
    hands.disarm(at_feedback);
    for (const int timer : {next_pulse, on_over, sensing, off_now}) {
        hands.cancel(timer);
    }
    at_rest(hands);
}

void Tabled::next(Hands& hands) {
    if (set_.feedback && hands.value(*set_.feedback) > set_.reference_v) {
        hands.count("skip");
        tell_once(hands, 0, "regulating", [&] {
            return fmt::format(
                "{} waits: its feedback is above {}", part(), volts_text(set_.reference_v));
        });
        hands.arm(at_feedback, {*set_.feedback, Edge::falling, set_.reference_v});
        return;
    }
    turn_on(hands);
}

void Tabled::turn_on(Hands& hands) {
    const double now = hands.now_s();
    on_ = true;
    if (set_.period_s > 0.0) {
        hands.timer(next_pulse, now + set_.period_s);
    }
    if (set_.on_s > 0.0) {
        hands.timer(on_over, now + set_.on_s);
    } else if (set_.period_s > 0.0) {
        hands.timer(on_over, now + 0.95 * set_.period_s);  // a clock leaves some off-time
    }
    if (set_.sense) {
        hands.timer(sensing, now + set_.blanking_s);
    }
    if (set_.power) {
        hands.set(*set_.power, true);
    }
    cycle_began(hands);
}

void Tabled::turn_off(Hands& hands) {
    on_ = false;
    hands.disarm(at_limit);
    for (const int timer : {on_over, sensing, off_now}) {
        hands.cancel(timer);
    }
    if (set_.period_s <= 0.0) {
        hands.timer(next_pulse, hands.now_s() + set_.off_s);
    }
    if (set_.power) {
        hands.set(*set_.power, false);
    }
}

void Tabled::watch_fired(Hands& hands, int watch) {
    if (watch == at_limit && on_) {
        hands.count("current_limit");
        tell_once(hands, 1, "current_limit", [&] {
            return fmt::format("{}: the switch current reaches its limit of {}",
                               part(),
                               set_.sense_in_amps ? amps_text(set_.limit) : volts_text(set_.limit));
        });
        hands.timer(off_now, hands.now_s() + set_.delay_s);
    } else if (watch == at_feedback && !on_) {
        turn_on(hands);
    }
}

void Tabled::timer_fired(Hands& hands, int timer) {
    if (timer == next_pulse && !on_) {
        next(hands);
    } else if (timer == sensing && set_.sense && on_) {
        hands.arm(at_limit, {*set_.sense, Edge::rising, set_.limit});
    } else if ((timer == on_over || timer == off_now) && on_) {
        turn_off(hands);
    }
}

}  // namespace etchback::behaviour::detail
