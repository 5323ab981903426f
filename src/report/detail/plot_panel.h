// The measures of a plot and where its panels stand; data/report/plot.js has the same numbers.
#pragma once

#include <string>
#include <vector>

#include "behaviour/scenario.h"
#include "report/curve.h"
#include "report/plot.h"
#include "report/ticks.h"

namespace etchback::report::detail {

constexpr double plot_text_px = 12.5;
constexpr double plot_name_px = 13.0;
constexpr double plot_title_px = 16.0;
constexpr double plot_title_height = 30.0;
constexpr double plot_marks_height = 20.0;
constexpr double plot_name_height = 20.0;  // above each panel
constexpr double plot_panel_gap = 10.0;    // below each panel
constexpr double plot_axis_height = 44.0;
constexpr double plot_edge = 8.0;
constexpr double plot_least_gutter = 40.0;

// A text at the right edge of a panel: "max 612 V".
struct EdgeText {
    std::string text;
    double y = 0.0;       // of the value
    double text_y = 0.0;  // of the text's middle, moved where texts would overlap
};

struct Panel {
    const behaviour::PlotCurve* curve = nullptr;
    std::string name;
    std::string tone;  // class: "volt", "ampere", "other"
    Extent extent;
    Ticks ticks;
    std::vector<EdgeText> edges;
    double top = 0.0, bottom = 0.0;

    double y(double value) const {
        return bottom - (bottom - top) * (value - extent.low) / (extent.high - extent.low);
    }
};

struct PlotFrame {
    double width = 0.0, height = 0.0;
    double left = 0.0, right = 0.0;  // of the panels
    double start_s = 0.0, end_s = 1.0;
    double axis_y = 0.0;
    std::vector<Panel> panels;
    Ticks time;              // counted from start_s
    std::string time_words;  // "Time", "Time from 987.12 ms on"

    double x(double t_s) const {
        return left + (right - left) * (t_s - start_s) / (end_s - start_s);
    }
};

// `head` is the height above the panels. Curves without a value get no panel.
PlotFrame frame_of(const behaviour::Plot& plot, double width_px, double head, bool means);

// `text` or as much of it as is no wider than `room`, with an ellipsis.
std::string shortened(const std::string& text, double size_px, double room, bool bold = false);

double panel_height(std::size_t panels);
const char* tone_of(base::Unit unit);

}  // namespace etchback::report::detail
