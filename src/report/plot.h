// Waveforms as SVG: a panel for each curve, one above the other over one time axis.
//
// A curve of samples is a line; an envelope is a band from its least to its largest value with its
// mean as a line. Each panel carries its name, ticks with their unit, and at its right edge what
// its curve reaches. The same plot gives the same bytes.
#pragma once

#include <string>
#include <vector>

#include "behaviour/scenario.h"

namespace etchback::report {

// A moment of the story: a hairline through all panels, with its number on top. Numbers that
// would overlap are joined: "2-4".
struct PlotMark {
    double t_s = 0.0;
    int number = 0;
    bool operator==(const PlotMark&) const = default;
};

struct PlotStyle {
    bool standalone =
        true;  // XML header, own style sheet and title; else for embedding in the page
    double width_px = 880.0;
    std::string heading = {};  // before the plot's own title, standalone only: "Load open"
    bool means = true;         // writes the mean beside each panel
    std::vector<PlotMark> marks = {};
};
std::string plot_svg(const behaviour::Plot& plot, const PlotStyle& style = {});

// Several plots one below the other in one file.
struct StyledPlot {
    const behaviour::Plot* plot = nullptr;
    PlotStyle style;
};
std::string plots_svg(const std::vector<StyledPlot>& plots);

// A mean says something of a window in which things repeat, not of a whole run.
bool shows_means(const behaviour::Plot& plot);

}  // namespace etchback::report
