#include "behaviour/detail/controller_linear.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

namespace etchback::behaviour::detail {

namespace {

// What separates the references of the sections, as a share of the last one's: each takes over
// from the one before it.
constexpr double step_share = 0.03;

// While off, the reference lies this share below zero: a sink at rest must not rest on a corner.
constexpr double off_share = 0.01;

Expression scaled_voltage(NodeId plus, NodeId minus, double factor) {
    Expression e = Expression::voltage(plus, minus);
    for (Expression::Volt& volt : e.volts) {
        volt.factor *= factor;
    }
    return e;
}

// max(0, min(a, b)) = max(0, a) - max(0, a - b), with a = gain (reference - sense) and b the
// current of the least resistance.
void add_section(Bench& bench,
                 const std::string& role,
                 NodeId drain,
                 NodeId sense,
                 const LinearSettings& set,
                 double share) {
    const double gain = bench.positive("gain");
    const double g = 1.0 / bench.positive("on_resistance");
    Expression a = scaled_voltage(sense, bench.ground(), -gain);
    a.knobs.push_back({set.reference, gain * share});
    const double scale = 0.1 * gain * std::max(set.reference_v, 0.01);
    Expression beyond = a;
    const Expression b = scaled_voltage(drain, sense, -g);
    beyond.volts.insert(beyond.volts.end(), b.volts.begin(), b.volts.end());
    bench.add(role + " sink",
              drain,
              sense,
              Curve{std::move(a), PiecewiseLinear{{0.0}, {0.0, 1.0}, 0.0}, scale});
    bench.add(role + " dropout",
              drain,
              sense,
              Curve{std::move(beyond), PiecewiseLinear{{0.0}, {0.0, -1.0}, 0.0}, scale});
}

// What the controller itself lives on: constant from the start voltage up.
void add_own_current(Bench& bench, NodeId supply, double start_v) {
    const double amps = bench.positive("operating_current");
    bench.add("own current",
              supply,
              bench.ground(),
              Curve{Expression::voltage(supply, bench.ground()),
                    PiecewiseLinear{{start_v}, {amps / start_v, 0.0}, amps},
                    1.0});
}

}  // namespace

base::Result<std::unique_ptr<Machine>> make_linear_driver(Bench& bench) {
    LinearSettings set;
    const NodeId sense = bench.needed_pin("sense");
    const NodeId drain = bench.needed_pin("drain");
    set.reference_v = bench.positive("current_reference");
    set.share = thermal_share(bench);
    set.too_hot =
        bench.number_or("junction_temperature", 25.0) >= bench.number_or("over_temperature", 1e9);
    set.start_v = bench.positive("start");
    set.stop_v = bench.positive("stop");
    if (set.stop_v >= set.start_v) {
        bench.complain(fmt::format("{} stops at {} but starts at {}",
                                   bench.part(),
                                   volts_text(set.stop_v),
                                   volts_text(set.start_v)),
                       "the stop threshold lies below the start threshold");
    }
    set.reference = bench.knob("reference", -off_share * set.reference_v);
    const auto supply = bench.pin("supply");
    set.supply = bench.volts("supply", supply ? *supply : drain, 1.0);
    add_own_current(bench, supply ? *supply : drain, set.start_v);
    std::vector<std::pair<std::string, NodeId>> sections = {{"drain", drain}};
    for (const char* role : {"drain_2", "drain_3", "drain_4"}) {
        if (const auto next = bench.pin(role)) {
            sections.emplace_back(role, *next);
        }
    }
    double share = 1.0 - step_share * static_cast<double>(sections.size() - 1);
    for (const auto& [role, node] : sections) {
        add_section(bench, role, node, sense, set, share);
        share += step_share;
    }
    if (!bench.errors().empty()) {
        return std::move(bench.errors());
    }
    std::unique_ptr<Machine> machine = std::make_unique<Linear>(bench.part(), set);
    return machine;
}

double Linear::off_v() const {
    return -off_share * set_.reference_v;
}

void Linear::start(Hands& hands) {
    hands.set(set_.reference, off_v());
    if (set_.too_hot) {
        hands.tell("over_temperature", fmt::format("{} stays off: it is too hot", part_));
        return;
    }
    hands.arm(at_start, {set_.supply, Edge::rising, set_.start_v});
}

void Linear::crossed(Hands& hands, int watch) {
    if (watch == at_start) {
        const double reference_v = set_.reference_v * set_.share;
        hands.set(set_.reference, reference_v);
        hands.tell("start_threshold",
                   fmt::format("{} conducts: {} are across it, and it holds {} at its sense "
                               "resistor{}",
                               part_,
                               volts_text(set_.start_v),
                               volts_text(reference_v),
                               set_.share < 1.0 ? ", less than usual since it is hot" : ""));
        hands.arm(at_stop, {set_.supply, Edge::falling, set_.stop_v});
    } else if (watch == at_stop) {
        hands.set(set_.reference, off_v());
        hands.count("stop");
        hands.arm(at_start, {set_.supply, Edge::rising, set_.start_v});
    }
}

}  // namespace etchback::behaviour::detail
