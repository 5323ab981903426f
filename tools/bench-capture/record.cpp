#include "bench-capture/record.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/text.h"
#include "bench-capture/write_capture.h"
#include "board-photographer/random.h"

namespace etchback::capture {
namespace {

using behaviour::ProbeId;
using photographer::Random;

// A running simulation with the probes that channels look at.
struct Bench {
    behaviour::Simulation simulation;
    std::map<std::string, ProbeId> nets, parts;
    behaviour::Terminals terminals;
};

base::Result<Bench> bench_of(const Item& item, const Captures& all, double phase_deg) {
    behaviour::ModelOptions options;
    options.supply_v_rms = all.supply_v_rms;
    options.supply_hz = all.supply_hz;
    options.supply_phase_rad = phase_deg * std::numbers::pi / 180.0;
    options.values = all.values;
    auto made = behaviour::model_of(
        item.circuit, item.dossier, item.data.types, *item.data.tables, options);
    if (!made) {
        return made.errors();
    }
    behaviour::Model model = *std::move(made);
    auto simulation =
        behaviour::Simulation::make(std::move(model.network), std::move(model.machines));
    if (!simulation) {
        return simulation.errors();
    }
    return Bench{*std::move(simulation),
                 std::move(model.net_volts),
                 std::move(model.part_amps),
                 std::move(model.terminals)};
}

base::Errors not_there(const std::string& what, const std::string& name) {
    return {{{}, "there is no " + what + " '" + name + "' to look at", "mend captures.toml"}};
}

// Current of a part: of the mains or a load by their own probes, else of a part of two pins.
std::optional<ProbeId> current_of(const Bench& bench, const std::string& part) {
    for (const auto& load : bench.terminals.loads) {
        if (load.part == part) {
            return load.amps;
        }
    }
    const auto found = bench.parts.find(part);
    if (found != bench.parts.end()) {
        return found->second;
    }
    return bench.terminals.mains_a;
}

// Plus and minus what a channel adds up.
struct Look {
    std::vector<ProbeId> plus, minus;
    double value(const behaviour::Simulation& simulation) const {
        double sum = 0.0;
        for (const ProbeId probe : plus) {
            sum += simulation.value(probe);
        }
        for (const ProbeId probe : minus) {
            sum -= simulation.value(probe);
        }
        return sum;
    }
};

base::Result<Look> look_of(const Bench& bench,
                           const std::vector<std::string>& between,
                           const std::string& through) {
    Look look;
    if (!through.empty()) {
        const auto probe = current_of(bench, through);
        if (!probe) {
            return not_there("current of", through);
        }
        look.plus = {*probe};
        return look;
    }
    const auto add = [&](const std::string& net, std::vector<ProbeId>& to) {
        const auto found = bench.nets.find(net);
        if (found != bench.nets.end()) {
            to.push_back(found->second);
        }
        return found != bench.nets.end();
    };
    // Of the return of its domain there may be no probe: it is nothing by definition.
    if (!add(between[0], look.plus) && !add(between[1], look.minus)) {
        return not_there("net", between[0]);
    }
    if (look.minus.empty()) {
        add(between[1], look.minus);
    }
    return look;
}

base::Errors gave_up(const behaviour::Simulation& simulation) {
    const auto& trouble = simulation.trouble();
    return trouble.empty() ? base::Errors{{{}, "the simulation ended early", "look at the circuit"}}
                           : base::Errors(trouble.begin(), trouble.end());
}

// The mean of the samples of one channel that makes AC coupling.
void take_mean_out(std::vector<double>& samples) {
    double sum = 0.0;
    for (const double sample : samples) {
        sum += sample;
    }
    for (double& sample : samples) {
        sample -= sum / static_cast<double>(samples.size());
    }
}

}  // namespace

std::vector<double> through_instrument(
    std::vector<double> truth, const Channel& channel, int bits, std::uint64_t seed, double& step) {
    Random random(seed);
    const double screen = channel.to - channel.from;
    const double steps = std::pow(2.0, bits) - 1.0;
    if (channel.without_mean) {
        take_mean_out(truth);
    }
    for (double& value : truth) {
        const double seen = value * channel.gain + channel.offset +
                            random.normal() * channel.noise * screen - channel.from;
        const double code = std::clamp(std::round(seen / screen * steps), 0.0, steps);
        value = (channel.from + code / steps * screen) / channel.probe;
    }
    step = screen / steps / channel.probe;
    return truth;
}

base::Result<Taken> take(const Item& item, const Captures& all, const Capture& capture) {
    auto made = bench_of(item, all, capture.phase_deg);
    if (!made) {
        return made.errors();
    }
    Bench bench = *std::move(made);
    std::vector<Look> looks;
    for (const Channel& channel : capture.channels) {
        const auto look = look_of(bench, channel.between, channel.through + channel.light_of);
        if (!look) {
            return look.errors();
        }
        looks.push_back(*look);
    }
    // Channels that come late are looked at early; the order of looking is that of time.
    struct Instant {
        double t_s;
        std::size_t channel, sample;
    };
    const auto many = static_cast<std::size_t>(capture.span_s * capture.rate_hz + 0.5);
    const double dt = (1.0 + capture.clock) / capture.rate_hz;
    Random jitter(all.seed * 31 + 7);
    std::vector<Instant> instants;
    for (std::size_t k = 0; k < many; ++k) {
        for (int m = 0; m < capture.averaged; ++m) {
            const double t =
                capture.start_s +
                dt * (static_cast<double>(k) + static_cast<double>(m) / capture.averaged) +
                jitter.normal() * capture.jitter_s;
            for (std::size_t c = 0; c < looks.size(); ++c) {
                instants.push_back({std::max(0.0, t - capture.channels[c].late_s), c, k});
            }
        }
    }
    std::stable_sort(instants.begin(), instants.end(), [](const Instant& a, const Instant& b) {
        return a.t_s < b.t_s;
    });
    Taken taken;
    taken.samples.assign(looks.size(), std::vector<double>(many, 0.0));
    taken.step.assign(looks.size(), 0.0);
    for (const Instant& instant : instants) {
        if (bench.simulation.run_to(instant.t_s) != behaviour::Ending::reached) {
            return gave_up(bench.simulation);
        }
        taken.samples[instant.channel][instant.sample] +=
            looks[instant.channel].value(bench.simulation) / capture.averaged;
    }
    for (std::size_t c = 0; c < looks.size(); ++c) {
        taken.samples[c] = through_instrument(std::move(taken.samples[c]),
                                              capture.channels[c],
                                              capture.bits,
                                              all.seed * 1000 + c,
                                              taken.step[c]);
    }
    return taken;
}

base::Result<std::string> read_meters(const Item& item, const Captures& all) {
    auto made = bench_of(item, all, 0.0);
    if (!made) {
        return made.errors();
    }
    Bench bench = *std::move(made);
    const double cycle_s =
        1.0 / (bench.terminals.mains_hz > 0.0 ? bench.terminals.mains_hz : 50.0);
    const double from_s = std::round(all.steady_s / cycle_s) * cycle_s;
    const int per_cycle = 20000, cycles = 2;
    std::vector<Look> looks;
    for (const MeterReading& reading : all.readings) {
        if (reading.between.empty() && reading.through.empty()) {
            looks.emplace_back();
            continue;
        }
        const auto look = look_of(bench, reading.between, reading.through);
        if (!look) {
            return look.errors();
        }
        looks.push_back(*look);
    }
    double uu = 0.0, ii = 0.0, p = 0.0;
    std::vector<double> sums(looks.size(), 0.0);
    const int many = per_cycle * cycles;
    for (int k = 0; k < many; ++k) {
        if (bench.simulation.run_to(from_s + cycle_s * k / per_cycle) !=
            behaviour::Ending::reached) {
            return gave_up(bench.simulation);
        }
        const double u = bench.simulation.value(*bench.terminals.mains_v);
        const double i = bench.simulation.value(*bench.terminals.mains_a);
        uu += u * u / many;
        ii += i * i / many;
        p += u * i / many;
        for (std::size_t r = 0; r < looks.size(); ++r) {
            sums[r] += looks[r].value(bench.simulation) / many;
        }
    }
    const double s = std::sqrt(uu * ii);
    std::string text;
    for (std::size_t r = 0; r < looks.size(); ++r) {
        const MeterReading& reading = all.readings[r];
        const double truth = reading.quantity == "supply voltage"   ? std::sqrt(uu)
                             : reading.quantity == "supply current" ? std::sqrt(ii)
                             : reading.quantity == "input power"    ? p
                             : reading.quantity == "power factor"   ? p / s
                             : reading.quantity == "apparent power" ? s
                                                                    : sums[r];
        const double shown = std::round(truth * reading.gain / reading.digit) * reading.digit;
        text += fmt::format(
            "[[readings]]\nquantity = \"{}\"\nvalue = \"{}\"  # true: {:.6g}\n\n",
            reading.quantity,
            base::to_engineering(shown,
                                 reading.quantity.ends_with("voltage")   ? base::Unit::volt
                                 : reading.quantity.ends_with("current") ? base::Unit::ampere
                                 : reading.quantity == "input power"     ? base::Unit::watt
                                 : reading.quantity == "apparent power"  ? base::Unit::volt_ampere
                                                                         : base::Unit::none,
                                 {6, false}),
            truth);
    }
    return text;
}

}  // namespace etchback::capture
