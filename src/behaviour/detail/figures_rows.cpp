#include "behaviour/detail/figures_rows.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace etchback::behaviour::detail {

namespace {

using base::Unit;

class Rows {
public:
    Rows(const StretchedRun& run, const Model& model) : run_(run), model_(model) {}

    void add(std::string id, std::string title, double value, Unit unit, std::string note = {}) {
        if (std::isfinite(value)) {
            rows_.push_back({std::move(id), std::move(title), value, unit, std::move(note)});
        }
    }

    void supply() {
        const Terminals& ends = model_.terminals;
        if (!ends.mains_v || !ends.mains_a || ends.mains.empty()) {
            return;
        }
        const bool direct = !(ends.mains_hz > 0.0);
        const double volts = direct ? run_.mean(*ends.mains_v) : run_.rms(*ends.mains_v);
        const double amps = run_.rms(*ends.mains_a);
        add("supply_voltage", "Supply voltage", volts, Unit::volt, direct ? "mean" : "RMS");
        add("input_power", "Input power", input_w(), Unit::watt);
        if (direct) {
            add("supply_current", "Supply current", run_.mean(*ends.mains_a), Unit::ampere, "mean");
            add("raw_supply_current", "Supply current", amps, Unit::ampere, "RMS");
            return;
        }
        const std::string raw = "raw, with the switching ripple";
        add("raw_supply_current", "Supply current", amps, Unit::ampere, "RMS, " + raw);
        add("raw_apparent_power", "Apparent power", volts * amps, Unit::volt_ampere, raw);
        if (volts * amps > 0.0) {
            add("raw_power_factor", "Power factor", input_w() / (volts * amps), Unit::none, raw);
        }
    }

    void loads() {
        for (const Terminals::Load& load : model_.terminals.loads) {
            const std::string dot = "." + load.part;
            const std::string of = " of " + load.part;
            const double watt = run_.power(load.owner);
            add("output_voltage" + dot, "Voltage" + of, run_.mean(load.volts), Unit::volt, "mean");
            add("output_voltage_rms" + dot,
                "Voltage" + of,
                run_.rms(load.volts),
                Unit::volt,
                "RMS");
            add("output_voltage_ripple" + dot,
                "Voltage ripple" + of,
                run_.last_largest(load.volts) - run_.last_least(load.volts),
                Unit::volt,
                "peak to peak");
            add("output_voltage_largest" + dot,
                "Voltage" + of,
                run_.largest(load.volts),
                Unit::volt,
                "largest, from the beginning");
            add("output_current" + dot, "Current" + of, run_.mean(load.amps), Unit::ampere, "mean");
            add("output_current_rms" + dot,
                "Current" + of,
                run_.rms(load.amps),
                Unit::ampere,
                "RMS");
            add("output_current_ripple" + dot,
                "Current ripple" + of,
                run_.last_largest(load.amps) - run_.last_least(load.amps),
                Unit::ampere,
                "peak to peak");
            add("output_power" + dot, "Power" + of, watt, Unit::watt);
            output_w_ += watt;
        }
        if (!model_.terminals.loads.empty() && input_w() > 0.0) {
            add("efficiency",
                "Efficiency",
                100.0 * output_w_ / input_w(),
                Unit::percent,
                "power of the loads by input power");
        }
    }

    void buses() {
        for (const Terminals::Watched& bus : model_.terminals.buses) {
            const std::string title = "Voltage of " + bus.name;
            add("bus_voltage_least." + bus.name,
                title,
                run_.last_least(bus.volts),
                Unit::volt,
                "least");
            add("bus_voltage_largest." + bus.name,
                title,
                run_.last_largest(bus.volts),
                Unit::volt,
                "largest");
        }
    }

    void switching() {
        for (const Simulation::Count& count : run_.last().counts) {
            if (count.what != "cycle" || count.number < 2) {
                continue;
            }
            const std::string dot = "." + count.who;
            const double span_s = run_.last().measured.span_s();
            add("switching_frequency" + dot,
                "Switching frequency of " + count.who,
                static_cast<double>(count.number) / span_s,
                Unit::hertz,
                "mean");
            add("switching_frequency_least" + dot,
                "Switching frequency of " + count.who,
                1.0 / count.longest_s,
                Unit::hertz,
                "least");
            add("switching_frequency_largest" + dot,
                "Switching frequency of " + count.who,
                1.0 / count.shortest_s,
                Unit::hertz,
                "largest");
        }
    }

    // The source and what lies between it and the terminals belong to one owner: together they
    // take in what the terminals give out, with the other sign.
    double input_w() const {
        double watt = 0.0;
        std::vector<OwnerId> seen;
        for (const BranchId source : model_.terminals.mains) {
            const OwnerId owner = run_.network()[source].owner;
            if (std::ranges::find(seen, owner) == seen.end()) {
                seen.push_back(owner);
                watt -= run_.power(owner);
            }
        }
        return watt;
    }

    std::vector<FigureRow> rows() { return std::move(rows_); }

private:
    const StretchedRun& run_;
    const Model& model_;
    std::vector<FigureRow> rows_;
    double output_w_ = 0.0;
};

}  // namespace

std::vector<FigureRow> figures_of(const StretchedRun& run, const Model& model) {
    Rows rows(run, model);
    rows.supply();
    rows.loads();
    rows.buses();
    rows.switching();
    return rows.rows();
}

std::optional<Harmonics> harmonics_of(const StretchedRun& run,
                                      const Model& model,
                                      double phase_rad) {
    const auto& current = run.last().current;
    if (current.size() < 2 || !(current[1].amplitude > 0.0)) {
        return std::nullopt;
    }
    Harmonics found{.base_hz = model.terminals.mains_hz,
                    .amps_rms = {current[0].amplitude},
                    .total_distortion = 0.0,
                    .displacement_factor = std::cos(current[1].phase_rad - phase_rad)};
    double squares = 0.0;
    for (std::size_t n = 1; n < current.size(); ++n) {
        const double amps_rms = current[n].amplitude / std::numbers::sqrt2;
        found.amps_rms.push_back(amps_rms);
        squares += n > 1 ? amps_rms * amps_rms : 0.0;
    }
    found.total_distortion = std::sqrt(squares) / found.amps_rms[1];
    return found;
}

void add_harmonic_figures(std::vector<FigureRow>& figures,
                          const StretchedRun& run,
                          const Model& model,
                          const Harmonics& harmonics) {
    double squares = 0.0;
    for (const double amps : harmonics.amps_rms) {
        squares += amps * amps;
    }
    const double amps = std::sqrt(squares);
    const double volts = run.rms(*model.terminals.mains_v);
    // The supply is a sine, so that only the fundamental carries power.
    const double factor = harmonics.displacement_factor * harmonics.amps_rms[1] / amps;
    const std::string note = "of the first 40 harmonics, as a meter behind a filter shows it";
    const std::vector<FigureRow> rows = {
        {"supply_current", "Supply current", amps, Unit::ampere, "RMS, " + note},
        {"apparent_power", "Apparent power", volts * amps, Unit::volt_ampere, note},
        {"power_factor", "Power factor", factor, Unit::none, note},
        {"displacement_factor",
         "Displacement factor",
         harmonics.displacement_factor,
         Unit::none,
         "cosine of the angle between the voltage and the current's fundamental"},
        {"distortion",
         "Distortion of the supply current",
         100.0 * harmonics.total_distortion,
         Unit::percent,
         "THD: harmonics 2 to 40 by the fundamental"}};
    const auto after = std::ranges::find(figures, std::string("input_power"), &FigureRow::id);
    figures.insert(after == figures.end() ? after : after + 1, rows.begin(), rows.end());
}

void add_dissipation(std::vector<FigureRow>& figures, const StretchedRun& run, const Model& model) {
    std::vector<FigureRow> rows;
    for (const auto& [part, owner] : model.owners) {
        const bool load = std::ranges::any_of(
            model.terminals.loads, [&](const Terminals::Load& one) { return one.owner == owner; });
        const double watt = run.power(owner);
        if (!load && watt > 0.0) {
            rows.push_back({"dissipation." + part, "Dissipation of " + part, watt, Unit::watt, ""});
        }
    }
    std::ranges::stable_sort(rows, std::ranges::greater(), &FigureRow::value);
    figures.insert(figures.end(), rows.begin(), rows.end());
}

}  // namespace etchback::behaviour::detail
