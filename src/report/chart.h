// Charts as SVG: curves, bars and shaded regions over two axes, linear or logarithmic. Waveforms of
// a simulation are drawn by plot.h; a chart is for what a person lays over each other or holds
// against a limit.
//
// What is measured is blue and drawn through, what is simulated is orange and dashed, limits are
// dark: the colours are of a set that colour-blind eyes tell apart (Okabe and Ito, 2008), and no
// meaning hangs on colour alone. The same chart gives the same bytes.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/quantity.h"

namespace etchback::report {

struct ChartAxis {
    std::string title;  // "Voltage", with its unit added by the ticks
    base::Unit unit = base::Unit::none;
    bool logarithmic = false;
    std::optional<double> low, high;  // else what the series need, with some air
};

struct ChartSeries {
    enum class Kind { line, points, bars, steps };
    enum class Tone { measured, simulated, limit };
    Kind kind = Kind::line;
    Tone tone = Tone::measured;
    std::string name;  // in the legend
    std::vector<double> x, y;
    std::vector<double> u;  // half-length of a whisker in y, at each point; may be empty
};

// A shaded area with its name inside.
struct ChartRegion {
    std::string name;
    int depth = 0;  // 0: lightest
    std::vector<std::pair<double, double>> corners;
    std::optional<std::pair<double, double>> name_at;
};

struct Chart {
    std::string id, title;
    ChartAxis x, y;
    std::vector<ChartRegion> regions;
    std::vector<ChartSeries> series;
    double height_px = 0.0;  // 0: usual
};

struct ChartStyle {
    bool standalone = true;  // XML header, own style sheet and titles; else for the page
    double width_px = 460.0;
};

// One SVG with the charts one below the other.
std::string charts_svg(const std::vector<Chart>& charts, const ChartStyle& style = {});

}  // namespace etchback::report
