#include "report/detail/plot_panel.h"

#include <algorithm>
#include <cmath>

#include "drawing/symbol.h"

namespace etchback::report::detail {
namespace {

constexpr double edge_text_height = 13.5;
constexpr double nearly_nothing = 0.02;  // of the range: the mean of an alternating curve
constexpr double px_per_value_tick = 24.0;
constexpr double px_per_time_tick = 64.0;

double width_of(const std::string& text, double size, bool bold = false) {
    return drawing::text_width(text, size, bold);
}

// Moves texts apart that would overlap, and keeps them between top and bottom.
void set_apart(std::vector<EdgeText>& texts, double top, double bottom) {
    std::sort(
        texts.begin(), texts.end(), [](const EdgeText& a, const EdgeText& b) { return a.y < b.y; });
    const double half = edge_text_height / 2.0;
    double least = top + half;
    for (EdgeText& text : texts) {
        text.text_y = std::max(text.y, least);
        least = text.text_y + edge_text_height;
    }
    double most = bottom - half;
    for (auto text = texts.rbegin(); text != texts.rend(); ++text) {
        text->text_y = std::min(text->text_y, most);
        most = text->text_y - edge_text_height;
    }
}

void add_edges(Panel& panel, const CurveRange& range, bool means) {
    const base::Unit unit = panel.curve->unit;
    const double scale = panel.extent.high - panel.extent.low;
    const auto add = [&](const char* what, double value) {
        panel.edges.push_back(
            {std::string(what) + " " + value_text(value, unit, scale, 3), panel.y(value), 0.0});
    };
    const bool level =
        value_text(range.low, unit, scale, 3) == value_text(range.high, unit, scale, 3);
    if (level) {
        add("is", range.mean);
    } else {
        add("max", range.high);
        if (means && std::abs(range.mean) > nearly_nothing * (range.high - range.low)) {
            add("mean", range.mean);
        }
        add("min", range.low);
    }
    set_apart(panel.edges, panel.top, panel.bottom);
}

std::string time_words(const behaviour::Plot& plot) {
    const double span = plot.end_s - plot.start_s;
    if (std::abs(plot.start_s) < 1e-9 * span) {
        return "Time";
    }
    return "Time from " + value_text(plot.start_s, base::Unit::second, 0.0, 6) + " on";
}

}  // namespace

double panel_height(std::size_t panels) {
    return panels <= 2 ? 130.0 : panels <= 4 ? 98.0 : 80.0;
}

const char* tone_of(base::Unit unit) {
    switch (unit) {
        case base::Unit::volt:
            return "volt";
        case base::Unit::ampere:
            return "ampere";
        default:
            return "other";
    }
}

std::string shortened(const std::string& text, double size_px, double room, bool bold) {
    if (width_of(text, size_px, bold) <= room) {
        return text;
    }
    std::string kept = text;
    while (!kept.empty() && width_of(kept + "…", size_px, bold) > room) {
        while (!kept.empty() && (static_cast<unsigned char>(kept.back()) & 0xc0) == 0x80) {
            kept.pop_back();  // whole characters only
        }
        if (!kept.empty()) {
            kept.pop_back();
        }
    }
    return kept + "…";
}

PlotFrame frame_of(const behaviour::Plot& plot, double width_px, double head, bool means) {
    PlotFrame frame;
    frame.width = width_px;
    frame.start_s = plot.start_s;
    frame.end_s = plot.end_s > plot.start_s ? plot.end_s : plot.start_s + 1.0;
    std::vector<CurveRange> ranges;
    for (const behaviour::PlotCurve& curve : plot.curves) {
        if (const auto range = range_of(curve)) {
            Panel panel;
            panel.curve = &curve;
            panel.tone = tone_of(curve.unit);
            panel.extent = extent_of(*range);
            frame.panels.push_back(std::move(panel));
            ranges.push_back(*range);
        }
    }
    const double height = panel_height(frame.panels.size());
    double y = head;
    double left = plot_least_gutter, right = plot_least_gutter;
    for (std::size_t i = 0; i < frame.panels.size(); ++i) {
        Panel& panel = frame.panels[i];
        panel.top = y + plot_name_height;
        panel.bottom = panel.top + height;
        y = panel.bottom + plot_panel_gap;
        panel.ticks = ticks_in(panel.extent.low,
                               panel.extent.high,
                               static_cast<int>(height / px_per_value_tick),
                               panel.curve->unit);
        add_edges(panel, ranges[i], means);
        for (const double tick : panel.ticks.values) {
            left = std::max(
                left, width_of(tick_text(tick, panel.ticks, panel.curve->unit), plot_text_px));
        }
        for (const EdgeText& edge : panel.edges) {
            right = std::max(right, width_of(edge.text, plot_text_px));
        }
    }
    frame.left = std::ceil(left) + 2.0 * plot_edge;
    frame.right = frame.width - std::ceil(right) - 2.0 * plot_edge - 4.0;
    frame.axis_y = y - plot_panel_gap;
    frame.height = frame.axis_y + plot_axis_height;
    for (Panel& panel : frame.panels) {
        panel.name =
            shortened(panel.curve->title, plot_name_px, frame.width - frame.left - plot_edge, true);
    }
    const double span = frame.end_s - frame.start_s;
    frame.time =
        ticks_in(0.0,
                 span,
                 std::max(2, static_cast<int>((frame.right - frame.left) / px_per_time_tick)),
                 base::Unit::second);
    frame.time_words = time_words(plot);
    return frame;
}

}  // namespace etchback::report::detail
