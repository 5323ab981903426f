// Curves for plots: what to record while a run goes on, and how it is put together.
#pragma once

#include <vector>

#include "behaviour/detail/scenario_stretch.h"
#include "behaviour/scenario.h"

namespace etchback::behaviour::detail {

class PlotRecorder {
public:
    // Records nothing where `wanted` is false.
    PlotRecorder(Simulation& simulation, const Model& model, bool wanted);

    // Each asks for a recording that is still to come. Cells are chosen so that a plot of usual
    // width loses nothing.
    void whole(double start_s, double end_s);
    void end_whole(double end_s);  // what comes later is not part of it
    void mains_cycle(double start_s, double end_s);
    void switching_cycles(double start_s, double end_s);

    // What was recorded, cut where the run ended.
    std::vector<Plot> plots() const;
    // When the mean of `probe` over a cell of the whole run first reached `level`.
    std::optional<double> first_reached(ProbeId probe, double level) const;
    // How often a second the voltage of `probe` fell below a tenth of its largest during the
    // switching cycles, as that of a switch does when it turns on.
    std::optional<double> turn_on_hz(ProbeId probe) const;

private:
    struct Asked {
        std::string id, title;
        double start_s = 0.0, end_s = 0.0;
        bool envelope = true;
        std::size_t first = 0;  // of the simulation's envelopes or traces
    };
    void ask(Asked asked, int cells);
    PlotCurve curve_of(ProbeId probe) const;

    Simulation& simulation_;
    std::vector<ProbeId> probes_;
    bool wanted_;
    std::vector<Asked> asked_;
};

}  // namespace etchback::behaviour::detail
