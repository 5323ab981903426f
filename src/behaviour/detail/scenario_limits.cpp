#include "behaviour/detail/scenario_limits.h"

#include <fmt/format.h>

#include "base/quantity.h"

namespace etchback::behaviour::detail {

namespace {

class LimitMachine final : public Machine {
public:
    explicit LimitMachine(std::vector<Limit> limits) : limits_(std::move(limits)) {}

    std::string name() const override { return limits_.front().part; }

    void start(Hands& hands) override {
        for (std::size_t i = 0; i < limits_.size(); ++i) {
            const Limit& limit = limits_[i];
            const int watch = 2 * static_cast<int>(i);
            hands.arm(watch,
                      {.probe = *limit.probe, .edge = Edge::rising, .threshold = *limit.rating});
            hands.arm(watch + 1,
                      {.probe = *limit.probe, .edge = Edge::falling, .threshold = -*limit.rating});
        }
    }

    void crossed(Hands& hands, int watch) override {
        const Limit& limit = limits_[static_cast<std::size_t>(watch / 2)];
        hands.disarm(watch ^ 1);
        const base::Unit unit =
            limit.kind == Limit::Kind::peak_voltage ? base::Unit::volt : base::Unit::ampere;
        hands.tell("limit_passed",
                   fmt::format("{}: its {} passes {}, its {}rating ({}).",
                               limit.part,
                               limit.kind == Limit::Kind::peak_voltage ? "voltage" : "current",
                               base::to_engineering(*limit.rating, unit),
                               limit.rating_assumed ? "usual " : "",
                               limit.basis));
    }

    void alarm(Hands&, int) override {}

    std::unique_ptr<Machine> clone() const override {
        return std::make_unique<LimitMachine>(*this);
    }

private:
    std::vector<Limit> limits_;
};

}  // namespace

std::vector<std::unique_ptr<Machine>> limit_machines(const std::vector<Limit>& limits) {
    std::vector<std::pair<std::string, std::vector<Limit>>> by_part;
    for (const Limit& limit : limits) {
        const bool of_an_instant =
            limit.kind == Limit::Kind::peak_voltage || limit.kind == Limit::Kind::peak_current;
        if (!of_an_instant || !limit.probe || !limit.rating || !(*limit.rating > 0.0)) {
            continue;
        }
        if (by_part.empty() || by_part.back().first != limit.part) {
            by_part.emplace_back(limit.part, std::vector<Limit>());
        }
        by_part.back().second.push_back(limit);
    }
    std::vector<std::unique_ptr<Machine>> machines;
    for (auto& [part, own] : by_part) {
        machines.push_back(std::make_unique<LimitMachine>(std::move(own)));
    }
    return machines;
}

std::string_view words_for(Limit::Kind kind) {
    switch (kind) {
        case Limit::Kind::peak_voltage:
            return "peak voltage";
        case Limit::Kind::mean_current:
            return "mean current";
        case Limit::Kind::rms_current:
            return "RMS current";
        case Limit::Kind::peak_current:
            return "peak current";
        case Limit::Kind::power:
            return "dissipation";
    }
    return "stress";
}

}  // namespace etchback::behaviour::detail
