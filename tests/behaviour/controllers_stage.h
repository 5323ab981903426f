// A stage on which a machine plays without the engine: a plant written by hand gives the probes'
// values, time goes in small steps, timers and watches are delivered as the engine would.
#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "behaviour/controllers.h"

namespace etchback::behaviour {

inline const std::vector<Family>& families() {
    static const auto all =
        load_families(std::filesystem::path(ETCHBACK_SOURCE_DIR) / "data" / "controllers");
    return *all;
}

class Stage : public Hands {
public:
    using Plant = std::function<void(Stage&, double dt)>;

    Stage(const Network& network, std::unique_ptr<Machine> machine, Plant plant)
        : network_(network), machine_(std::move(machine)), plant_(std::move(plant)) {
        for (const Knob& knob : network.knobs()) {
            knobs_.push_back(knob.initial);
        }
        for (const BranchId branch : network.switches()) {
            switches_.push_back(std::get<Switch>(network[branch].element).closed);
        }
    }

    // What the plant gives, by the probe's name without the part: "sense", "supply".
    std::map<std::string, double> probe;

    double now_s() const override { return now_; }
    double value(ProbeId id) const override {
        const std::string& name = network_.probes()[static_cast<std::size_t>(id.index)].name;
        const auto found = probe.find(name.substr(name.find(' ') + 1));
        return found == probe.end() ? 0.0 : found->second;
    }
    void set(SwitchId id, bool closed) override {
        switches_[static_cast<std::size_t>(id.index)] = closed;
    }
    void set(KnobId id, double v) override { knobs_[static_cast<std::size_t>(id.index)] = v; }
    double knob(KnobId id) const override { return knobs_[static_cast<std::size_t>(id.index)]; }
    void arm(int watch, const Watch& how) override { watches_[watch] = {how, now_, how.level}; }
    void disarm(int watch) override { watches_.erase(watch); }
    void timer(int timer, double at_s) override { timers_[timer] = at_s; }
    void cancel(int timer) override { timers_.erase(timer); }
    void tell(std::string key, std::string text) override {
        story.push_back({now_, machine_->name(), std::move(key), std::move(text)});
    }
    void count(const char* what) override { ++counted[what]; }

    bool closed(std::string_view name) const {
        for (std::size_t i = 0; i < switches_.size(); ++i) {
            if (network_[network_.switches()[i]].name == name) {
                return switches_[i];
            }
        }
        return false;
    }
    double knob(std::string_view name) const {
        for (std::size_t i = 0; i < knobs_.size(); ++i) {
            if (network_.knobs()[i].name == name) {
                return knobs_[i];
            }
        }
        return 0.0;
    }
    bool told(std::string_view key) const {
        return std::any_of(
            story.begin(), story.end(), [&](const StoryLine& line) { return line.key == key; });
    }
    Machine& machine() { return *machine_; }

    void begin() {
        plant_(*this, 0.0);
        machine_->start(*this);
        deliver();
    }
    void run_to(double end_s, double step_s) {
        while (now_ < end_s) {
            double next = std::min(end_s, now_ + step_s);
            for (const auto& [id, at] : timers_) {
                next = std::min(next, std::max(at, now_));
            }
            plant_(*this, next - now_);
            now_ = next;
            deliver();
        }
    }

    std::vector<StoryLine> story;
    std::map<std::string, int> counted;

private:
    struct Armed {
        Watch how;
        double since = 0.0;
        bool ready = false;
    };

    void deliver() {
        for (int round = 0; round < 1000; ++round) {
            if (!deliver_one()) {
                return;
            }
            plant_(*this, 0.0);
        }
        throw std::runtime_error("the machine chatters");
    }
    bool deliver_one() {
        for (const auto& [id, at] : timers_) {
            if (at <= now_) {
                const int which = id;
                timers_.erase(which);
                machine_->alarm(*this, which);
                return true;
            }
        }
        for (auto& [id, armed] : watches_) {
            const double level = armed.how.threshold + armed.how.slope_per_s * (now_ - armed.since);
            const double v = value(armed.how.probe);
            const bool beyond = armed.how.edge == Edge::rising ? v >= level : v <= level;
            if (beyond && armed.ready) {
                const int which = id;
                watches_.erase(which);
                machine_->crossed(*this, which);
                return true;
            }
            armed.ready = armed.ready || !beyond;
        }
        return false;
    }

    const Network& network_;
    std::unique_ptr<Machine> machine_;
    Plant plant_;
    double now_ = 0.0;
    std::vector<double> knobs_;
    std::vector<bool> switches_;
    std::map<int, Armed> watches_;
    std::map<int, double> timers_;
};

}  // namespace etchback::behaviour
