#include "report/bench_over.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "base/text.h"

namespace etchback::report {
namespace {

using base::Unit;
using behaviour::Outcome;
using behaviour::Plot;
using behaviour::PlotCurve;

std::string_view base_of(std::string_view id) {
    return id.substr(0, id.find('.'));
}

const Outcome* outcome_of(const bench::Record& record, const Behaviour& behaviour) {
    const auto found = std::find_if(
        behaviour.outcomes.begin(), behaviour.outcomes.end(), [&](const Outcome& outcome) {
            return outcome.scenario.id == record.scenario &&
                   outcome.ending == behaviour::Ending::reached;
        });
    return found == behaviour.outcomes.end() ? nullptr : &*found;
}

const Plot* plot_of(const Outcome& outcome, std::string_view id) {
    const auto found = std::ranges::find(outcome.plots, id, &Plot::id);
    return found == outcome.plots.end() ? nullptr : &*found;
}

bool has_pin_on(const dossier::Dossier& dossier, const std::string& part, const std::string& net) {
    const dossier::Part* found = dossier.part(part);
    return found != nullptr && std::any_of(found->pins.begin(),
                                           found->pins.end(),
                                           [&](const auto& pin) { return pin.net == net; });
}

// "Q1, drain and source", "LED1.terminals": the part.
std::string part_of(const std::string& id) {
    return id.substr(0, id.find_first_of(",."));
}

// The curve of what the record was taken between or through.
const PlotCurve* same_place(const Plot& plot,
                            const bench::Record& record,
                            const dossier::Dossier& dossier,
                            Unit unit) {
    for (const PlotCurve& curve : plot.curves) {
        if (curve.unit != unit) {
            continue;
        }
        if (unit == Unit::ampere) {
            if (curve.id == record.through + ".current") {
                return &curve;
            }
            continue;
        }
        if (record.between.empty()) {
            continue;
        }
        const std::string part = part_of(curve.id);
        // A switch is looked at from its drain to the return below its sense resistor.
        const bool of_switch = curve.id.find(", ") != std::string::npos;
        const bool both_nets = record.between.size() == 2 &&
                               has_pin_on(dossier, part, record.between[0]) &&
                               (of_switch || has_pin_on(dossier, part, record.between[1]));
        if (both_nets || curve.id == record.between[0]) {
            return &curve;
        }
    }
    return nullptr;
}

// Means of cells, or samples, as one curve from the beginning of the plot on.
bench::Curve curve_of(const PlotCurve& curve, double start_s) {
    bench::Curve all;
    if (curve.is_envelope()) {
        for (std::size_t k = 0; k < curve.mean.size(); ++k) {
            if (std::isfinite(curve.mean[k])) {
                all.t_s.push_back(curve.start_s + (static_cast<double>(k) + 0.5) * curve.cell_s -
                                  start_s);
                all.value.push_back(curve.mean[k]);
            }
        }
        return all;
    }
    for (std::size_t k = 0; k < curve.t_s.size(); ++k) {
        all.t_s.push_back(curve.t_s[k] - start_s);
        all.value.push_back(curve.value[k]);
    }
    return all;
}

// Where in a cycle (0 to 1) the fundamental of its values rises through nothing.
double rising_zero(const std::vector<double>& cycle) {
    double co = 0.0, si = 0.0;
    for (std::size_t k = 0; k < cycle.size(); ++k) {
        const double angle = 2.0 * std::numbers::pi * (static_cast<double>(k) + 0.5) /
                             static_cast<double>(cycle.size());
        co += cycle[k] * std::cos(angle);
        si += cycle[k] * std::sin(angle);
    }
    const double turn = std::atan2(-co, si) / (2.0 * std::numbers::pi);
    return turn < 0.0 ? turn + 1.0 : turn;
}

std::vector<double> turned(const std::vector<double>& cycle, double turn) {
    std::vector<double> out(cycle.size());
    const double n = static_cast<double>(cycle.size());
    for (std::size_t k = 0; k < cycle.size(); ++k) {
        const double at = static_cast<double>(k) + turn * n - 0.5;
        const double floor = std::floor(at);
        const auto i = static_cast<std::size_t>(floor + n) % cycle.size();
        out[k] = std::lerp(cycle[i], cycle[(i + 1) % cycle.size()], at - floor);
    }
    return out;
}

std::string in(double value, Unit unit, int digits = 3) {
    return unit == Unit::none ? fmt::format("{:.{}g}", value, digits)
                              : base::to_engineering(value, unit, {digits, false});
}

// "The recorded curve differs by 3.2 mA r.m.s. (4.5 %); its peak is 142 mA against 139 mA; it
// comes 40 µs later."
std::string words_of(const Over& over, bool timed) {
    const bench::LaidOver& both = over.both;
    std::string text = fmt::format(
        "Difference {} r.m.s., {:.2g} % of the simulated curve's; "
        "largest {} against {} simulated",
        in(both.rms, over.unit, 2),
        100.0 * both.rms_share,
        in(both.measured_peak, over.unit),
        in(both.simulated_peak, over.unit));
    if (timed) {
        const double least = (both.t_s.back() - both.t_s.front()) / 1000.0;
        text += std::abs(both.later_s) < least
                    ? "; no shift in time"
                    : fmt::format("; it fits best {} {}",
                                  in(std::abs(both.later_s), Unit::second, 2),
                                  both.later_s > 0.0 ? "later" : "earlier");
    }
    return text + ".";
}

void add(std::vector<Over>& overs, Over over, std::optional<bench::LaidOver> both, bool timed) {
    if (both) {
        over.both = *std::move(both);
        over.words = words_of(over, timed);
        overs.push_back(std::move(over));
    }
}

void add_mains(std::vector<Over>& overs, const bench::Record& record, const Outcome& outcome) {
    const Plot* plot = plot_of(outcome, "mains-cycle");
    if (plot == nullptr || plot->curves.empty() || !(outcome.supply_hz > 0.0)) {
        return;
    }
    const double period = 1.0 / outcome.supply_hz;
    const PlotCurve *volts = nullptr, *amps = nullptr;
    for (const PlotCurve& curve : plot->curves) {
        volts = volts == nullptr && curve.unit == Unit::volt ? &curve : volts;
        amps = amps == nullptr && curve.unit == Unit::ampere ? &curve : amps;
    }
    if (volts == nullptr || volts->mean.size() < 16) {
        return;
    }
    const double zero = rising_zero(volts->mean);
    add(overs,
        {.id = "voltage",
         .title = "Voltage over one cycle of the mains",
         .unit = Unit::volt,
         .both = {},
         .words = {},
         .is_cycle = true},
        bench::lay_over_cycle(record.mains->voltage.cycle, turned(volts->mean, zero), period),
        true);
    if (amps != nullptr && record.mains->current.present) {
        add(overs,
            {.id = "current",
             .title = "Current over one cycle of the mains",
             .unit = Unit::ampere,
             .both = {},
             .words = {},
             .is_cycle = true},
            bench::lay_over_cycle(record.mains->current.cycle, turned(amps->mean, zero), period),
            true);
    }
}

std::vector<double> over_mean(std::vector<double> values) {
    const double mean = std::accumulate(values.begin(), values.end(), 0.0) /
                        static_cast<double>(std::max<std::size_t>(1, values.size()));
    for (double& value : values) {
        value /= mean != 0.0 ? mean : 1.0;
    }
    return values;
}

// The light's period is half a cycle of the mains: so is that of the LEDs' current. Both begin at
// their least.
void add_light(std::vector<Over>& overs, const bench::Record& record, const Outcome& outcome) {
    const Plot* plot = plot_of(outcome, "mains-cycle");
    if (plot == nullptr || !record.light->periodic || !(outcome.supply_hz > 0.0)) {
        return;
    }
    const double wanted = 2.0 * outcome.supply_hz, seen = record.light->frequency_hz.value;
    for (const PlotCurve& curve : plot->curves) {
        if (!curve.id.starts_with("LED") || curve.unit != Unit::ampere || curve.mean.size() < 16 ||
            std::abs(seen - wanted) > 0.05 * wanted) {
            continue;
        }
        const std::vector<double> half(
            curve.mean.begin(),
            curve.mean.begin() + static_cast<std::ptrdiff_t>(curve.mean.size() / 2));
        const auto from_zero = [](const std::vector<double>& cycle) {
            return turned(cycle, rising_zero(over_mean(cycle)));
        };
        add(overs,
            {.id = "light",
             .title = "Light and current of " + part_of(curve.id) + ", both over their mean",
             .unit = Unit::none,
             .both = {},
             .words = {},
             .is_cycle = true},
            bench::lay_over_cycle(
                from_zero(record.light->cycle), from_zero(over_mean(half)), 1.0 / wanted),
            false);
        return;
    }
}

bool begins_cold(const bench::Record& record) {
    return base::lowered(record.what).find("start") != std::string::npos;
}

void add_start(std::vector<Over>& overs,
               const bench::Record& record,
               const Outcome& outcome,
               const dossier::Dossier& dossier) {
    const Plot* plot = plot_of(outcome, "whole");
    const bench::Channel& channel = record.wave->channels.front();
    const PlotCurve* curve =
        plot == nullptr ? nullptr : same_place(*plot, record, dossier, channel.unit);
    if (curve == nullptr) {
        return;
    }
    add(overs,
        {.id = "start",
         .title = "From switching on",
         .unit = channel.unit,
         .both = {},
         .words = {}},
        bench::lay_over_start(bench::curve_of(channel.value, record.wave->dt_s),
                              curve_of(*curve, plot->start_s)),
        true);
}

void add_switching(std::vector<Over>& overs,
                   const bench::Record& record,
                   const Outcome& outcome,
                   const dossier::Dossier& dossier) {
    const Plot* plot = plot_of(outcome, "switching-cycles");
    const bench::Channel& channel = record.wave->channels.front();
    const PlotCurve* curve =
        plot == nullptr ? nullptr : same_place(*plot, record, dossier, channel.unit);
    if (curve == nullptr) {
        return;
    }
    bench::Curve measured = bench::curve_of(channel.value, record.wave->dt_s);
    bench::Curve simulated = curve_of(*curve, plot->start_s);
    // Of a scope that takes the mean out, the simulated mean goes, too.
    const double mean = std::accumulate(measured.value.begin(), measured.value.end(), 0.0) /
                        static_cast<double>(measured.value.size());
    const auto [low, high] = std::minmax_element(measured.value.begin(), measured.value.end());
    if (std::abs(mean) < 0.05 * (*high - *low)) {
        double area = 0.0;
        for (std::size_t k = 1; k < simulated.t_s.size(); ++k) {
            area += 0.5 * (simulated.value[k] + simulated.value[k - 1]) *
                    (simulated.t_s[k] - simulated.t_s[k - 1]);
        }
        for (double& value : simulated.value) {
            value -= area / (simulated.end_s() - simulated.start_s());
        }
    }
    // A few cycles can be looked at; a record may hold less.
    const double room = measured.end_s() - measured.start_s();
    double most = 0.7 * room;
    for (const behaviour::FigureRow& figure : outcome.figures) {
        if (base_of(figure.id) == "switching_frequency" && figure.value > 0.0) {
            most = std::min(most, 6.0 / figure.value);
        }
    }
    if (simulated.end_s() - simulated.start_s() > most) {
        const double end = simulated.start_s() + most;
        while (simulated.t_s.size() > 2 && simulated.t_s.back() > end) {
            simulated.t_s.pop_back();
            simulated.value.pop_back();
        }
    }
    add(overs,
        {.id = "switching",
         .title = "A few switching cycles, where the record fits best",
         .unit = channel.unit,
         .both = {},
         .words = {}},
        bench::lay_over_best(measured, simulated),
        false);
}

// The simulated converter keeps its frequency within a tenth over the mains cycle.
bool is_steady(const Outcome& outcome) {
    double least = 0.0, largest = 0.0;
    for (const behaviour::FigureRow& figure : outcome.figures) {
        least = base_of(figure.id) == "switching_frequency_least" ? figure.value : least;
        largest = base_of(figure.id) == "switching_frequency_largest" ? figure.value : largest;
    }
    return largest < 1.1 * least;
}

struct Same {
    std::string_view recorded, simulated;
    double scale;  // of the simulated value
};
constexpr Same same[] = {
    {"voltage", "supply_voltage", 1.0},
    {"current", "supply_current", 1.0},
    {"power", "input_power", 1.0},
    {"apparent_power", "apparent_power", 1.0},
    {"power_factor", "power_factor", 1.0},
    {"displacement_factor", "displacement_factor", 1.0},
    {"current_thd_40", "distortion", 0.01},
    {"inrush_peak", "inrush_current", 1.0},
    {"start_up", "start_up_time", 1.0},
    {"switching_frequency", "switching_frequency", 1.0},
    {"switching_frequency_least", "switching_frequency_least", 1.0},
    {"switching_frequency_largest", "switching_frequency_largest", 1.0},
};

}  // namespace

std::vector<Over> overs_of(const bench::Record& record,
                           const Behaviour& behaviour,
                           const dossier::Dossier& dossier) {
    std::vector<Over> overs;
    const Outcome* outcome = outcome_of(record, behaviour);
    if (outcome == nullptr || !record.wave) {
        return overs;
    }
    if (record.mains) {
        add_mains(overs, record, *outcome);
    } else if (record.light) {
        add_light(overs, record, *outcome);
    } else if (begins_cold(record)) {
        add_start(overs, record, *outcome, dossier);
    } else {
        add_switching(overs, record, *outcome, dossier);
    }
    return overs;
}

std::optional<double> simulated_value(const base::Figure& figure,
                                      const bench::Record& record,
                                      const Behaviour& behaviour) {
    const Outcome* outcome = outcome_of(record, behaviour);
    if (outcome == nullptr) {
        return std::nullopt;
    }
    // The frequency goes with the mains: a shorter record shows another stretch of it.
    const bool of_stretch =
        record.wave && record.wave->dt_s * static_cast<double>(record.wave->size()) < 8e-3;
    if (of_stretch && figure.id.starts_with("switching_frequency") && !is_steady(*outcome)) {
        return std::nullopt;
    }
    for (const Same& row : same) {
        if (row.recorded != base_of(figure.id)) {
            continue;
        }
        for (const behaviour::FigureRow& simulated : outcome->figures) {
            if (base_of(simulated.id) == row.simulated) {
                return simulated.value * row.scale;
            }
        }
    }
    return std::nullopt;
}

}  // namespace etchback::report
