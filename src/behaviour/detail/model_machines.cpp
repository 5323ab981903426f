#include "behaviour/detail/model_machines.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace etchback::behaviour::detail {
namespace {

class Latch final : public Machine {
public:
    explicit Latch(LatchData data) : data_(std::move(data)) {}
    std::string name() const override { return data_.part; }
    std::unique_ptr<Machine> clone() const override { return std::make_unique<Latch>(*this); }

    void start(Hands& hands) override { wait(hands); }

    void crossed(Hands& hands, int watch) override {
        if (!closed_) {
            fire(hands);
            return;
        }
        if (watch == trigger_gone) {
            held_ = false;
            watch_current(hands);
            return;
        }
        if (watch == below || watch == above) {
            release(hands);
        }
    }

    void alarm(Hands&, int) override {}

private:
    enum Number { trigger_up, trigger_down, volts_up, volts_down, trigger_gone, below, above };

    double trigger_now(Hands& hands) const {
        return data_.trigger ? hands.value(*data_.trigger) : 0.0;
    }

    bool triggered(Hands& hands) const {
        const double now = trigger_now(hands);
        return data_.trigger && (data_.one_way ? now : std::abs(now)) >= data_.trigger_level;
    }

    // Open: whatever may fire it is watched.
    void wait(Hands& hands) {
        if (data_.trigger) {
            hands.arm(trigger_up, {*data_.trigger, Edge::rising, data_.trigger_level});
            if (!data_.one_way) {
                hands.arm(trigger_down, {*data_.trigger, Edge::falling, -data_.trigger_level});
            }
        }
        if (data_.volts) {
            hands.arm(volts_up, {*data_.volts, Edge::rising, data_.breakover_v});
            if (!data_.one_way) {
                hands.arm(volts_down, {*data_.volts, Edge::falling, -data_.breakover_v});
            }
        }
    }

    void fire(Hands& hands) {
        for (const int each : {trigger_up, trigger_down, volts_up, volts_down}) {
            hands.disarm(each);
        }
        held_ = triggered(hands);
        const double before = trigger_now(hands);
        closed_ = true;
        hands.set(data_.channel, true);
        hands.count("firings");
        if (!data_.fired.empty()) {
            hands.tell(data_.fired, "fires.");
        }
        if (held_) {
            // A hair below the level, so that it is no hair's breadth that ends it at once.
            const double level = 0.9 * data_.trigger_level;
            if (before > 0) {
                hands.arm(trigger_gone, {*data_.trigger, Edge::falling, level});
            } else {
                hands.arm(trigger_gone, {*data_.trigger, Edge::rising, -level});
            }
        } else {
            watch_current(hands);
        }
    }

    // Closed, no trigger: ends when the current falls below what holds it.
    void watch_current(Hands& hands) {
        const double now = hands.value(data_.amps);
        if (now >= 0 || data_.one_way) {
            hands.arm(below, {data_.amps, Edge::falling, data_.hold_a});
        } else {
            hands.arm(above, {data_.amps, Edge::rising, -data_.hold_a});
        }
    }

    void release(Hands& hands) {
        if (triggered(hands)) {  // fired anew while it still conducted
            held_ = true;
            fire(hands);
            return;
        }
        hands.disarm(below);
        hands.disarm(above);
        closed_ = false;
        hands.set(data_.channel, false);
        if (!data_.ended.empty()) {
            hands.tell(data_.ended, "stops conducting.");
        }
        wait(hands);
    }

    LatchData data_;
    bool closed_ = false;
    bool held_ = false;
};

class Fuse final : public Machine {
public:
    explicit Fuse(FuseData data) : data_(std::move(data)) {}
    std::string name() const override { return data_.part; }
    std::unique_ptr<Machine> clone() const override { return std::make_unique<Fuse>(*this); }

    void start(Hands& hands) override { wait(hands); }

    void crossed(Hands& hands, int watch) override {
        if (watch == zero_down || watch == zero_up) {
            open(hands);
            return;
        }
        hands.disarm(up);
        hands.disarm(down);
        cool(hands.now_s());
        last_s_ = hands.now_s();
        last_square_ = square(hands);
        hands.timer(sample, hands.now_s() + step(hands));
    }

    void alarm(Hands& hands, int timer) override {
        if (timer == arc) {
            open(hands);
            return;
        }
        const double now = square(hands), span = hands.now_s() - last_s_;
        heat_ += 0.5 * (now + last_square_) * span;
        heat_ -= heat_ * (1.0 - std::exp(-span / data_.cooling_s));
        last_s_ = hands.now_s();
        last_square_ = now;
        if (heat_ >= data_.melting_a2s) {
            melt(hands);
        } else if (now < data_.watch_a * data_.watch_a) {
            wait(hands);
        } else {
            hands.timer(sample, hands.now_s() + step(hands));
        }
    }

private:
    enum Watches { up, down, zero_up, zero_down };
    enum Timers { sample, arc };

    double square(Hands& hands) const {
        const double i = hands.value(data_.amps);
        return i * i;
    }

    // A fiftieth of what is left at this current, within limits that the mains allows.
    double step(Hands& hands) const {
        const double left = std::max(data_.melting_a2s - heat_, 0.0);
        return std::clamp(left / std::max(square(hands), 1e-12) / 50.0, 1e-6, 2e-4);
    }

    void cool(double now_s) {
        heat_ *= std::exp(-std::max(0.0, now_s - last_s_) / data_.cooling_s);
    }

    void wait(Hands& hands) {
        last_s_ = hands.now_s();
        hands.arm(up, {data_.amps, Edge::rising, data_.watch_a});
        hands.arm(down, {data_.amps, Edge::falling, -data_.watch_a});
    }

    // The arc burns on to the next zero of the current.
    void melt(Hands& hands) {
        if (hands.value(data_.amps) > 0) {
            hands.arm(zero_down, {data_.amps, Edge::falling, 0.0});
        } else {
            hands.arm(zero_up, {data_.amps, Edge::rising, 0.0});
        }
        hands.timer(arc, hands.now_s() + data_.arc_s);
    }

    void open(Hands& hands) {
        hands.disarm(zero_up);
        hands.disarm(zero_down);
        hands.cancel(arc);
        hands.set(data_.link, false);
        hands.tell(data_.key, fmt::format("{} {}.", data_.part, data_.words));
    }

    FuseData data_;
    double heat_ = 0.0;
    double last_s_ = 0.0;
    double last_square_ = 0.0;
};

class Thermistor final : public Machine {
public:
    explicit Thermistor(ThermistorData data) : data_(std::move(data)), kelvin_(data_.ambient_k) {}
    std::string name() const override { return data_.part; }
    std::unique_ptr<Machine> clone() const override { return std::make_unique<Thermistor>(*this); }

    void start(Hands& hands) override {
        last_watt_ = watt(hands);
        hands.timer(0, hands.now_s() + data_.sample_s);
    }
    void crossed(Hands&, int) override {}

    void alarm(Hands& hands, int) override {
        const double now = watt(hands);
        const double settled = data_.ambient_k + 0.5 * (now + last_watt_) / data_.watt_per_k;
        kelvin_ += (settled - kelvin_) * (1.0 - std::exp(-data_.sample_s / data_.cooling_s));
        last_watt_ = now;
        step(hands);
        hands.timer(0, hands.now_s() + data_.sample_s);
    }

private:
    double watt(Hands& hands) const { return hands.value(data_.amps) * hands.value(data_.volts); }

    // One level at a time, and back only after a kelvin of hysteresis.
    void step(Hands& hands) {
        std::size_t next = level_;
        if (level_ + 1 < data_.levels.size() && kelvin_ >= data_.from_k[level_ + 1]) {
            next = level_ + 1;
        } else if (level_ > 0 && kelvin_ < data_.from_k[level_] - 1.0) {
            next = level_ - 1;
        }
        if (next != level_) {
            hands.set(data_.levels[next], true);
            hands.set(data_.levels[level_], false);
            level_ = next;
        }
    }

    ThermistorData data_;
    double kelvin_;
    double last_watt_ = 0.0;
    std::size_t level_ = 0;
};

class Relay final : public Machine {
public:
    explicit Relay(RelayData data) : data_(std::move(data)) {}
    std::string name() const override { return data_.part; }
    std::unique_ptr<Machine> clone() const override { return std::make_unique<Relay>(*this); }

    void start(Hands& hands) override { wait(hands); }

    void crossed(Hands& hands, int) override { hands.timer(0, hands.now_s() + data_.delay_s); }

    // The coil must still say so when the armature has moved.
    void alarm(Hands& hands, int) override {
        const double coil = std::abs(hands.value(data_.coil_v));
        if (!pulled_ && coil >= data_.pull_in_v) {
            move(hands, true);
        } else if (pulled_ && coil <= data_.drop_out_v) {
            move(hands, false);
        }
        wait(hands);
    }

private:
    void wait(Hands& hands) {
        for (int each = 0; each < 2; ++each) {
            hands.disarm(each);
        }
        if (pulled_) {
            const bool positive = hands.value(data_.coil_v) >= 0;
            hands.arm(0,
                      {data_.coil_v,
                       positive ? Edge::falling : Edge::rising,
                       positive ? data_.drop_out_v : -data_.drop_out_v});
        } else {
            hands.arm(0, {data_.coil_v, Edge::rising, data_.pull_in_v});
            hands.arm(1, {data_.coil_v, Edge::falling, -data_.pull_in_v});
        }
    }

    void move(Hands& hands, bool pulled) {
        pulled_ = pulled;
        for (const SwitchId each : data_.made) {
            hands.set(each, pulled);
        }
        for (const SwitchId each : data_.broken) {
            hands.set(each, !pulled);
        }
        hands.tell(pulled ? "pulled_in" : "dropped_out",
                   fmt::format("{} {}.", data_.part, pulled ? "pulls in" : "drops out"));
    }

    RelayData data_;
    bool pulled_ = false;
};

}  // namespace

std::unique_ptr<Machine> make_latch(LatchData data) {
    return std::make_unique<Latch>(std::move(data));
}
std::unique_ptr<Machine> make_fuse(FuseData data) {
    return std::make_unique<Fuse>(std::move(data));
}
std::unique_ptr<Machine> make_thermistor(ThermistorData data) {
    return std::make_unique<Thermistor>(std::move(data));
}
std::unique_ptr<Machine> make_relay(RelayData data) {
    return std::make_unique<Relay>(std::move(data));
}

}  // namespace etchback::behaviour::detail
