#include "report/plot.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/detail/pixels.h"
#include "report/detail/plot_panel.h"
#include "report/detail/xml_text.h"

namespace etchback::report {
namespace {

using namespace detail;

// Dark enough for paper; the page has its own colours in data/report/plot.css.
constexpr std::string_view style_sheet =
    ".plot text{font-family:\"Liberation Sans\",Arial,Helvetica,sans-serif;fill:#16181b}"
    ".plot .title{font-size:16px;font-weight:bold}"
    ".plot .name{font-size:13px;font-weight:bold}"
    ".plot .tick,.plot .edge,.plot .mark text{font-size:12.5px}"
    ".plot .tick,.plot .mark text{fill:#4b5058}"
    ".plot .grid{stroke:#dedcd4;stroke-width:1;fill:none}"
    ".plot .zero{stroke:#8b8f96;stroke-width:1;fill:none}"
    ".plot .frame{stroke:#8b8f96;stroke-width:1;fill:none}"
    ".plot .mark path{stroke:#4b5058;stroke-width:1;stroke-dasharray:2 3;fill:none}"
    ".plot .volt{color:#0b4a86}.plot .ampere{color:#9a3412}.plot .other{color:#1c5c2e}"
    ".plot .line{fill:none;stroke:currentColor;stroke-width:1.5;stroke-linejoin:round}"
    ".plot .band{fill:currentColor;fill-opacity:.24;stroke:currentColor;stroke-opacity:.5;"
    "stroke-width:.8;stroke-linejoin:round}"
    ".plot .edge path{stroke:currentColor;stroke-width:1;fill:none}";

std::string point(double x, double y) {
    return px(x) + " " + px(y);
}

void add_text(std::string& out,
              double x,
              double y,
              std::string_view text,
              std::string_view type,
              std::string_view anchor = "start") {
    out += fmt::format("<text class=\"{}\" x=\"{}\" y=\"{}\"{}>{}</text>",
                       type,
                       px(x),
                       px(y),
                       anchor == "start" ? "" : fmt::format(" text-anchor=\"{}\"", anchor),
                       xml_text(text));
}

void add_path(std::string& out, const std::string& d, std::string_view type) {
    out += fmt::format("<path class=\"{}\" d=\"{}\"/>", type, d);
}

constexpr double baseline = 0.36;  // of the text's size: from its middle down

void add_envelope(std::string& out, const PlotFrame& frame, const Panel& panel) {
    const CurveCells cells =
        cells_of(*panel.curve, std::max(1, static_cast<int>(frame.right - frame.left)));
    std::string there, back, mean;
    for (std::size_t i = 0; i < cells.low.size(); ++i) {
        const double x = std::clamp(frame.x(cells.middle_s(i)), frame.left, frame.right);
        there += (i == 0 ? "M" : "L") + point(x, panel.y(cells.high[i]));
        back = "L" + point(x, panel.y(cells.low[i])) + back;
        mean += (i == 0 ? "M" : "L") + point(x, panel.y(cells.mean[i]));
    }
    add_path(out, there + back + "z", "band");
    add_path(out, mean, "line");
}

// Samples beside the window only lead the line to its edge.
double value_at(const CurvePoint& a, const CurvePoint& b, double t_s) {
    return b.t_s > a.t_s ? a.value + (b.value - a.value) * (t_s - a.t_s) / (b.t_s - a.t_s)
                         : b.value;
}

void add_samples(std::string& out, const PlotFrame& frame, const Panel& panel) {
    const int columns = std::max(1, static_cast<int>(frame.right - frame.left));
    std::vector<CurvePoint> points = samples_of(*panel.curve, frame.start_s, frame.end_s, columns);
    if (points.size() > 1 && points[0].t_s < frame.start_s) {
        points[0] = {frame.start_s, value_at(points[0], points[1], frame.start_s)};
    }
    if (points.size() > 1 && points.back().t_s > frame.end_s) {
        const CurvePoint& before = points[points.size() - 2];
        points.back() = {frame.end_s, value_at(before, points.back(), frame.end_s)};
    }
    std::string line;
    for (const CurvePoint& one : points) {
        line += (line.empty() ? "M" : "L") + point(frame.x(one.t_s), panel.y(one.value));
    }
    add_path(out, line, "line");
}

void add_grid(std::string& out, const PlotFrame& frame, const Panel& panel) {
    std::string grid, zero;
    for (const double tick : panel.ticks.values) {
        std::string& line = tick == 0.0 ? zero : grid;
        line += "M" + point(frame.left, panel.y(tick)) + "H" + px(frame.right);
    }
    for (const double tick : frame.time.values) {
        grid += "M" + point(frame.x(frame.start_s + tick), panel.top) + "V" + px(panel.bottom);
    }
    add_path(out, grid, "grid");
    if (!zero.empty()) {
        add_path(out, zero, "zero");
    }
    add_path(out, "M" + point(frame.left, panel.top) + "V" + px(panel.bottom), "frame");
}

void add_edge(std::string& out, const PlotFrame& frame, const EdgeText& edge) {
    const double x = frame.right;
    out += "<g class=\"edge\">";
    add_path(out,
             "M" + point(x + 2.0, edge.y) + "h4L" + point(x + plot_edge + 2.0, edge.text_y),
             "lead");
    add_text(out, x + plot_edge + 4.0, edge.text_y + baseline * plot_text_px, edge.text, "words");
    out += "</g>";
}

void add_panel(std::string& out, const PlotFrame& frame, const Panel& panel) {
    out += "<g class=\"panel " + panel.tone + "\">";
    add_text(out, frame.left, panel.top - 6.0, panel.name, "name");
    add_grid(out, frame, panel);
    if (panel.curve->is_envelope()) {
        add_envelope(out, frame, panel);
    } else {
        add_samples(out, frame, panel);
    }
    for (const double tick : panel.ticks.values) {
        add_text(out,
                 frame.left - plot_edge + 1.0,
                 std::clamp(panel.y(tick) + baseline * plot_text_px,
                            panel.top + plot_text_px * 0.6,
                            panel.bottom + 1.0),
                 tick_text(tick, panel.ticks, panel.curve->unit),
                 "tick",
                 "end");
    }
    for (const EdgeText& edge : panel.edges) {
        add_edge(out, frame, edge);
    }
    out += "</g>\n";
}

void add_time_axis(std::string& out, const PlotFrame& frame) {
    std::string line = "M" + point(frame.left, frame.axis_y) + "H" + px(frame.right);
    for (const double tick : frame.time.values) {
        line += "M" + point(frame.x(frame.start_s + tick), frame.axis_y) + "v4";
    }
    add_path(out, line, "frame");
    for (const double tick : frame.time.values) {
        add_text(out,
                 frame.x(frame.start_s + tick),
                 frame.axis_y + 17.0,
                 tick_text(tick, frame.time, base::Unit::second),
                 "tick",
                 "middle");
    }
    add_text(out, frame.left, frame.axis_y + 35.0, frame.time_words, "tick");
}

// Marks whose numbers would stand in each other's way are joined.
void add_marks(std::string& out,
               const PlotFrame& frame,
               const std::vector<PlotMark>& marks,
               double top) {
    constexpr double apart = 44.0;  // room for "12–15"
    std::string lines;
    for (std::size_t i = 0; i < marks.size();) {
        const double x = frame.x(marks[i].t_s);
        std::size_t next = i + 1;
        while (next < marks.size() && frame.x(marks[next].t_s) - x < apart) {
            ++next;
        }
        for (std::size_t k = i; k < next; ++k) {
            lines += "M" + point(frame.x(marks[k].t_s), top + 14.0) + "V" + px(frame.axis_y);
        }
        std::string text = std::to_string(marks[i].number);
        text += next - i > 1 ? "\u2013" + std::to_string(marks[next - 1].number) : "";
        add_text(out, x, top + 10.0, text, "number", "middle");
        i = next;
    }
    add_path(out, lines, "lines");
}

std::vector<PlotMark> marks_inside(const behaviour::Plot& plot, std::vector<PlotMark> marks) {
    std::erase_if(marks, [&](const PlotMark& mark) {
        return !(mark.t_s >= plot.start_s && mark.t_s <= plot.end_s);
    });
    std::stable_sort(marks.begin(), marks.end(), [](const PlotMark& a, const PlotMark& b) {
        return a.t_s < b.t_s;
    });
    return marks;
}

struct Drawn {
    std::string body;
    double width = 0.0, height = 0.0;
};

Drawn drawn(const behaviour::Plot& plot, const PlotStyle& style) {
    const double title = style.standalone ? plot_title_height : 0.0;
    const std::vector<PlotMark> marks = marks_inside(plot, style.marks);
    const double head = title + (marks.empty() ? 0.0 : plot_marks_height);
    const PlotFrame frame = frame_of(plot, style.width_px, head, style.means);
    Drawn result{"", frame.width, frame.height};
    if (style.standalone) {
        const std::string heading = style.heading.empty() ? "" : style.heading + ": ";
        add_text(
            result.body,
            frame.left,
            21.0,
            shortened(
                heading + plot.title, plot_title_px, frame.width - frame.left - plot_edge, true),
            "title");
        result.body += '\n';
    }
    for (const Panel& panel : frame.panels) {
        add_panel(result.body, frame, panel);
    }
    add_time_axis(result.body, frame);
    if (!marks.empty()) {
        result.body += "<g class=\"mark\">";
        add_marks(result.body, frame, marks, title);
        result.body += "</g>";
    }
    return result;
}

std::string opened(double width, double height, const std::string& label, bool standalone) {
    std::string out = standalone ? "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" : "";
    out += fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"plot\" role=\"img\" "
        "width=\"{0}\" height=\"{1}\" viewBox=\"0 0 {0} {1}\" aria-label=\"{2}\">\n",
        px(width),
        px(height),
        xml_text(label));
    if (standalone) {
        out +=
            fmt::format("<style>{}</style>\n<rect width=\"{}\" height=\"{}\" fill=\"#ffffff\"/>\n",
                        style_sheet,
                        px(width),
                        px(height));
    }
    return out;
}

}  // namespace

std::string plot_svg(const behaviour::Plot& plot, const PlotStyle& style) {
    const Drawn one = drawn(plot, style);
    return opened(one.width, one.height, plot.title, style.standalone) + one.body + "</svg>\n";
}

std::string plots_svg(const std::vector<StyledPlot>& plots) {
    constexpr double between = 18.0;
    double width = 0.0, height = 0.0;
    std::string body;
    for (const StyledPlot& one : plots) {
        const Drawn next = drawn(*one.plot, one.style);
        body += fmt::format("<g transform=\"translate(0 {})\">\n{}</g>\n", px(height), next.body);
        width = std::max(width, next.width);
        height += next.height + between;
    }
    return opened(width, height, "Waveforms", true) + body + "</svg>\n";
}

bool shows_means(const behaviour::Plot& plot) {
    return plot.id != "whole";
}

}  // namespace etchback::report
