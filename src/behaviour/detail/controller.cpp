#include "behaviour/detail/controller.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace etchback::behaviour::detail {

namespace {

// After a stop the reference inside settles before a start is looked for (assumed). It also bounds
// how often a controller without a supply capacitor can try.
constexpr double settling_s = 100e-6;

// A current source of its own from a high-voltage pin, switched: it lasts as long as the pin is
// some volts above the supply.
std::optional<SwitchId> make_start_source(Bench& bench, NodeId supply) {
    const double amps = bench.number_or("start_source_current", 0.0);
    auto from = bench.pin("high_voltage");
    if (!from) {
        from = bench.pin("drain");
    }
    if (amps <= 0.0 || !from) {
        return std::nullopt;
    }
    constexpr double least_v = 0.1;  // so that all at 0 V is off the corner
    constexpr double knee_v = 5.0;   // below which the source is a resistor
    const NodeId inside = bench.inner_node("start source");
    const SwitchId id =
        bench.add_switch("start source switch", *from, inside, Switch{0.1, 1e-9, true});
    bench.add("start source",
              inside,
              supply,
              Curve{Expression::voltage(inside, supply),
                    PiecewiseLinear{{least_v, least_v + knee_v}, {0.0, amps / knee_v, 0.0}, 0.0},
                    5.0});
    return id;
}

}  // namespace

Supply make_supply(Bench& bench) {
    Supply supply;
    supply.operating_a = bench.positive("operating_current");
    supply.start_a = bench.number("start_current");
    supply.gate_charge_c = bench.number_or("gate_charge", 0.0);
    supply.rest_s = bench.number_or("restart_time", 1.0);
    supply.junction_c = bench.number_or("junction_temperature", 25.0);
    supply.too_hot = supply.junction_c >= bench.number_or("over_temperature", 1e9);
    if (const auto enable = bench.pin("enable")) {
        supply.enable = bench.volts("enable", *enable, 0.1);
        supply.enable_v = bench.positive("enable_threshold");
    }
    const auto pin = bench.pin("supply");
    if (!pin) {
        return supply;
    }
    supply.volts = bench.volts("supply", *pin, 1.0);
    supply.start_v = bench.positive("start");
    supply.stop_v = bench.positive("stop");
    if (supply.stop_v >= supply.start_v) {
        bench.complain(fmt::format("{} stops at {} but starts at {}",
                                   bench.part(),
                                   volts_text(supply.stop_v),
                                   volts_text(supply.start_v)),
                       "the stop threshold lies below the start threshold");
    }
    supply.over_v = bench.number_or("over_voltage", 0.0);
    if (supply.over_v > 0.0 && supply.over_v <= supply.start_v) {
        bench.complain(fmt::format("the over-voltage threshold {} of {} is not above its start "
                                   "threshold {}",
                                   volts_text(supply.over_v),
                                   bench.part(),
                                   volts_text(supply.start_v)),
                       "check both thresholds");
    }
    supply.latches = bench.has_positive("latched");
    supply.reset_v = bench.number_or("latch_reset", 0.5 * supply.stop_v);
    // The gate takes its charge through the supply pin; ten times the operating current is room.
    supply.current = bench.sink("supply current", *pin, 10.0 * supply.operating_a);
    if (bench.has_positive("clamp")) {
        const double clamp_v = bench.number("clamp");
        bench.add("supply clamp",
                  *pin,
                  bench.ground(),
                  Curve{Expression::voltage(*pin, bench.ground()),
                        PiecewiseLinear{{clamp_v}, {0.0, 0.05}, 0.0},
                        1.0});
    }
    supply.start_source = make_start_source(bench, *pin);
    supply.source_holds = bench.has_positive("start_source_holds");
    return supply;
}

void Controller::start(Hands& hands) {
    state_ = State::waiting;
    at_rest(hands);
    if (supply_.too_hot) {
        draw(hands, supply_.start_a);
        hands.tell(
            "over_temperature",
            fmt::format("{} stays off: its junction is at {:.0f} °C", part_, supply_.junction_c));
        return;
    }
    wait(hands);
}

void Controller::draw(Hands& hands, double amps) {
    amps = std::max(amps, Bench::least_sink_a);
    if (supply_.volts && amps != drawn_a_) {
        hands.set(supply_.current, amps);
        drawn_a_ = amps;
    }
}

void Controller::wait(Hands& hands) {
    state_ = State::waiting;
    hands.disarm(at_stop);
    hands.disarm(at_over);
    hands.disarm(at_full);
    hands.disarm(at_empty);
    hands.cancel(rest_over);
    draw(hands, supply_.start_a);
    if (supply_.start_source) {
        hands.set(*supply_.start_source, true);
    }
    if (starts_ > 0) {
        hands.timer(settled, hands.now_s() + settling_s);
    } else {
        look_for_start(hands);
    }
}

void Controller::look_for_start(Hands& hands) {
    if (supply_.volts) {
        hands.arm(at_start, {*supply_.volts, Edge::rising, supply_.start_v});
    } else {
        try_to_begin(hands);
    }
}

double Controller::hold_v() const {
    return 0.2 * (supply_.start_v - supply_.stop_v);
}

void Controller::try_to_begin(Hands& hands) {
    if (supply_.too_hot) {
        return;
    }
    if (supply_.enable && hands.value(*supply_.enable) < supply_.enable_v) {
        hands.arm(at_enable, {*supply_.enable, Edge::rising, supply_.enable_v});
        if (supply_.volts) {
            hands.arm(at_stop, {*supply_.volts, Edge::falling, supply_.stop_v});
        }
        return;
    }
    run(hands);
}

void Controller::run(Hands& hands) {
    state_ = State::running;
    began_s_ = hands.now_s();
    told_ = 0;
    pulsed_ = false;
    ++starts_;
    if (supply_.start_source) {
        hands.set(*supply_.start_source, false);
        if (supply_.source_holds) {
            hands.arm(at_empty, {*supply_.volts, Edge::falling, supply_.start_v - hold_v()});
        }
    }
    draw(hands, supply_.operating_a);
    if (supply_.volts) {
        const std::string at = volts_text(hands.value(*supply_.volts));
        hands.tell(starts_ == 1 ? "start_threshold" : "restart",
                   starts_ == 1 ? fmt::format("{} starts: its supply has reached {}", part_, at)
                                : fmt::format("{} starts again: its supply is at {}", part_, at));
        hands.arm(at_stop, {*supply_.volts, Edge::falling, supply_.stop_v});
        if (supply_.over_v > 0.0) {
            hands.arm(at_over, {*supply_.volts, Edge::rising, supply_.over_v});
        }
    } else {
        hands.tell(starts_ == 1 ? "start_threshold" : "restart",
                   fmt::format("{} starts{}", part_, starts_ == 1 ? "" : " again"));
    }
    if (supply_.enable) {
        // A tenth of hysteresis is common practice of logic inputs.
        hands.arm(at_enable, {*supply_.enable, Edge::falling, 0.9 * supply_.enable_v});
    }
    begin(hands);
}

void Controller::stop_running(Hands& hands) {
    hands.disarm(at_stop);
    hands.disarm(at_over);
    hands.disarm(at_enable);
    halt(hands);
}

void Controller::protect(Hands& hands, const char* key, std::string text) {
    if (state_ != State::running) {
        return;
    }
    stop_running(hands);
    state_ = State::resting;
    draw(hands, supply_.operating_a);
    hands.tell(key, std::move(text));
    if (supply_.volts) {
        hands.arm(at_stop,
                  {*supply_.volts,
                   Edge::falling,
                   supply_.latches ? std::min(supply_.reset_v, supply_.stop_v) : supply_.stop_v});
    }
    if (!supply_.latches && supply_.rest_s > 0.0) {
        hands.timer(rest_over, hands.now_s() + supply_.rest_s);
    }
}

void Controller::cycle_began(Hands& hands) {
    const double now = hands.now_s();
    hands.count("cycle");
    if (!pulsed_) {
        pulsed_ = true;
        hands.tell(
            "first_pulse",
            fmt::format("{}: first pulse{}", part_, starts_ == 1 ? "" : " after the restart"));
    } else if (supply_.gate_charge_c > 0.0 && now > last_cycle_s_) {
        draw(hands, supply_.operating_a + supply_.gate_charge_c / (now - last_cycle_s_));
    }
    last_cycle_s_ = now;
}

void Controller::crossed(Hands& hands, int watch) {
    if (watch >= first_watch) {
        if (state_ == State::running) {
            watch_fired(hands, watch);
        }
        return;
    }
    if (watch != at_enable && !supply_.volts) {
        return;  // all others look at the supply
    }
    if (watch == at_start && state_ == State::waiting) {
        try_to_begin(hands);
    } else if (watch == at_stop && state_ == State::running) {
        stop_running(hands);
        hands.tell("stop_threshold",
                   fmt::format("{} stops: its supply has fallen to {}",
                               part_,
                               volts_text(hands.value(*supply_.volts))));
        wait(hands);
    } else if (watch == at_stop) {
        hands.disarm(at_enable);
        wait(hands);
    } else if (watch == at_over && state_ == State::running) {
        protect(hands,
                "over_voltage",
                fmt::format("{} stops: its supply has risen to {}, the over-voltage threshold",
                            part_,
                            volts_text(hands.value(*supply_.volts))));
    } else if (watch == at_empty && supply_.start_source && state_ != State::waiting) {
        hands.set(*supply_.start_source, true);
        hands.arm(at_full, {*supply_.volts, Edge::rising, supply_.start_v});
    } else if (watch == at_full && supply_.start_source && state_ != State::waiting) {
        hands.set(*supply_.start_source, false);
        hands.arm(at_empty, {*supply_.volts, Edge::falling, supply_.start_v - hold_v()});
    } else if (watch == at_enable && state_ == State::waiting) {
        run(hands);
    } else if (watch == at_enable && state_ == State::running) {
        stop_running(hands);
        hands.tell("disabled", fmt::format("{} stops: its enable pin went low", part_));
        wait(hands);
    }
}

void Controller::alarm(Hands& hands, int timer) {
    if (timer >= first_timer) {
        if (state_ == State::running) {
            timer_fired(hands, timer);
        }
        return;
    }
    if (timer == rest_over && state_ == State::resting) {
        hands.disarm(at_stop);
        wait(hands);
    } else if (timer == settled && state_ == State::waiting) {
        look_for_start(hands);
    }
}

}  // namespace etchback::behaviour::detail
