#include "behaviour/detail/plots_record.h"

#include <algorithm>
#include <cmath>

namespace etchback::behaviour::detail {

namespace {

constexpr int cells_of_whole = 800;
constexpr int cells_of_cycle = 400;

std::vector<ProbeId> worth_plotting(const Model& model) {
    std::vector<ProbeId> probes;
    const auto add = [&](ProbeId probe) {
        if (std::ranges::find(probes, probe) == probes.end()) {
            probes.push_back(probe);
        }
    };
    for (const auto& probe : {model.terminals.mains_v, model.terminals.mains_a}) {
        if (probe) {
            add(*probe);
        }
    }
    for (const Terminals::Load& load : model.terminals.loads) {
        add(load.volts);
        add(load.amps);
    }
    for (const ProbeId probe : model.notable) {
        add(probe);
    }
    return probes;
}

bool is_current(const Probe& probe) {
    return probe.kind == Probe::Kind::branch_amps ||
           (probe.kind == Probe::Kind::expression && probe.expression.volts.empty() &&
            !probe.expression.amperes.empty());
}

// "LED1.current" is the current of LED1.
std::string bearer(const std::string& name) {
    for (const std::string_view tail : {".current", ".voltage", ".terminals"}) {
        if (name.size() > tail.size() && name.ends_with(tail)) {
            return name.substr(0, name.size() - tail.size());
        }
    }
    return name;
}

}  // namespace

PlotRecorder::PlotRecorder(Simulation& simulation, const Model& model, bool wanted)
    : simulation_(simulation), probes_(worth_plotting(model)), wanted_(wanted) {}

void PlotRecorder::whole(double start_s, double end_s) {
    ask({"whole", "From beginning to end", start_s, end_s, true, 0}, cells_of_whole);
}

void PlotRecorder::end_whole(double end_s) {
    const auto whole = std::ranges::find(asked_, std::string("whole"), &Asked::id);
    if (whole != asked_.end()) {
        whole->end_s = std::min(whole->end_s, end_s);
    }
}

void PlotRecorder::mains_cycle(double start_s, double end_s) {
    ask({"mains-cycle", "Over one cycle of the mains", start_s, end_s, true, 0}, cells_of_cycle);
}

void PlotRecorder::switching_cycles(double start_s, double end_s) {
    ask({"switching-cycles", "Over a few switching cycles", start_s, end_s, false, 0}, 0);
}

void PlotRecorder::ask(Asked asked, int cells) {
    if (!wanted_ || probes_.empty() || !(asked.end_s > asked.start_s)) {
        return;
    }
    if (asked.envelope) {
        asked.first = simulation_.envelopes().size();
        simulation_.envelope(probes_, asked.start_s, asked.end_s, cells);
    } else {
        asked.first = simulation_.traces().size();
        simulation_.record(probes_, asked.start_s, asked.end_s);
    }
    asked_.push_back(std::move(asked));
}

PlotCurve PlotRecorder::curve_of(ProbeId id) const {
    const Probe& probe = simulation_.network().probes()[static_cast<std::size_t>(id.index)];
    const bool current = is_current(probe);
    PlotCurve curve;
    curve.id = probe.name;
    curve.title = (current ? "Current of " : "Voltage of ") + bearer(probe.name);
    curve.unit = current ? base::Unit::ampere : base::Unit::volt;
    return curve;
}

std::vector<Plot> PlotRecorder::plots() const {
    std::vector<Plot> plots;
    const double now_s = simulation_.now_s();
    for (const Asked& asked : asked_) {
        if (asked.start_s >= now_s) {
            continue;
        }
        Plot plot{asked.id, asked.title, asked.start_s, std::min(asked.end_s, now_s), {}};
        for (std::size_t i = 0; i < probes_.size(); ++i) {
            PlotCurve curve = curve_of(probes_[i]);
            if (asked.envelope) {
                const Envelope& cells = simulation_.envelopes()[asked.first + i];
                // A cell that the run broke off in has no mean worth showing.
                const auto whole = static_cast<std::size_t>(
                    std::max(0.0, (plot.end_s - cells.start_s) / cells.cell_s + 1e-6));
                const std::size_t many = std::min(whole, cells.low.size());
                const auto kept = [&](const std::vector<double>& all) {
                    return std::vector<double>(all.begin(),
                                               all.begin() + static_cast<std::ptrdiff_t>(many));
                };
                curve.start_s = cells.start_s;
                curve.cell_s = cells.cell_s;
                curve.low = kept(cells.low);
                curve.high = kept(cells.high);
                curve.mean = kept(cells.mean);
            } else {
                const Trace& trace = simulation_.traces()[asked.first + i];
                curve.t_s = trace.t_s;
                curve.value = trace.value;
            }
            plot.curves.push_back(std::move(curve));
        }
        plots.push_back(std::move(plot));
    }
    return plots;
}

std::optional<double> PlotRecorder::first_reached(ProbeId probe, double level) const {
    const auto whole = std::ranges::find(asked_, std::string("whole"), &Asked::id);
    const auto at = std::ranges::find(probes_, probe);
    if (whole == asked_.end() || at == probes_.end() || level == 0.0) {
        return std::nullopt;
    }
    const Envelope& cells =
        simulation_.envelopes()[whole->first + static_cast<std::size_t>(at - probes_.begin())];
    const double end_s = std::min(whole->end_s, simulation_.now_s());
    for (std::size_t i = 0; i < cells.mean.size(); ++i) {
        if (cells.start_s + static_cast<double>(i + 1) * cells.cell_s > end_s) {
            break;  // a cell that was not gone through to its end
        }
        if (level > 0.0 ? cells.mean[i] >= level : cells.mean[i] <= level) {
            return cells.start_s + static_cast<double>(i + 1) * cells.cell_s;
        }
    }
    return std::nullopt;
}

std::optional<double> PlotRecorder::turn_on_hz(ProbeId probe) const {
    const auto cycles = std::ranges::find(asked_, std::string("switching-cycles"), &Asked::id);
    const auto at = std::ranges::find(probes_, probe);
    if (cycles == asked_.end() || at == probes_.end()) {
        return std::nullopt;
    }
    const Trace& trace =
        simulation_.traces()[cycles->first + static_cast<std::size_t>(at - probes_.begin())];
    if (trace.value.empty()) {
        return std::nullopt;
    }
    const double low = 0.1 * *std::ranges::max_element(trace.value);
    double first_s = 0.0, last_s = 0.0;
    int times = 0;
    for (std::size_t i = 1; i < trace.value.size(); ++i) {
        if (trace.value[i - 1] > low && trace.value[i] <= low) {
            last_s = trace.t_s[i];
            first_s = times++ == 0 ? last_s : first_s;
        }
    }
    return last_s > first_s ? std::optional((times - 1) / (last_s - first_s)) : std::nullopt;
}

}  // namespace etchback::behaviour::detail
