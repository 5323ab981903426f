#include "report/chart.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "drawing/symbol.h"
#include "report/detail/pixels.h"
#include "report/detail/xml_text.h"
#include "report/ticks.h"

namespace etchback::report {
namespace {

using detail::px;
using Kind = ChartSeries::Kind;
using Tone = ChartSeries::Tone;

constexpr double kText = 12.5;
constexpr double kUsualHeight = 190.0;
constexpr double kTitle = 22.0;   // above the legend
constexpr double kLegend = 19.0;  // above the axes
constexpr double kFoot = 42.0;    // below the axes
constexpr double kEdge = 8.0;

constexpr std::string_view kStyle =
    ".chart text{font-family:\"Liberation Sans\",Arial,Helvetica,sans-serif;font-size:12.5px;"
    "fill:#16181b}"
    ".chart .title{font-size:14px;font-weight:bold}"
    ".chart .tick,.chart .axis{fill:#4b5058}"
    ".chart .grid{stroke:#dedcd4;stroke-width:1;fill:none}"
    ".chart .frame,.chart .zero{stroke:#8b8f96;stroke-width:1;fill:none}"
    ".chart .measured{color:#0072b2}.chart .simulated{color:#c04a00}.chart .limit{color:#16181b}"
    ".chart .curve{fill:none;stroke:currentColor;stroke-width:1.7;stroke-linejoin:round}"
    ".chart .simulated .curve{stroke-dasharray:6 3.5}"
    ".chart .limit .curve{stroke-width:1.3}"
    ".chart .bar,.chart .dot{fill:currentColor}"
    ".chart .region{fill:#7b8794;stroke:none}.chart .region.d0{fill-opacity:.1}"
    ".chart .region.d1{fill-opacity:.24}.chart .region.d2{fill-opacity:.4}"
    ".chart .region.d3{fill:#ffffff}";

double width_of(const std::string& text, double size = kText) {
    return drawing::text_width(text, size, false);
}

const char* class_of(Tone tone) {
    return tone == Tone::measured ? "measured" : tone == Tone::simulated ? "simulated" : "limit";
}

// Where the values of an axis lie on the picture.
struct Scale {
    bool logarithmic = false;
    double low = 0.0, high = 1.0;  // of the axis, logarithms where it is logarithmic
    double from = 0.0, to = 1.0;   // pixels
    double at(double value) const {
        const double v = logarithmic ? std::log10(std::max(value, 1e-300)) : value;
        return from + (to - from) * (v - low) / (high - low);
    }
    double clamped(double value) const {
        return std::clamp(at(value), std::min(from, to), std::max(from, to));
    }
};

struct Mark {
    double value;
    std::string text;  // empty: a line without words
};

struct Bounds {
    double low = 1e308, high = -1e308;
    void take(double value) {
        if (std::isfinite(value)) {
            low = std::min(low, value);
            high = std::max(high, value);
        }
    }
};

Scale scale_of(const ChartAxis& axis, Bounds bounds, bool with_air, bool from_zero) {
    Scale scale;
    scale.logarithmic = axis.logarithmic;
    if (bounds.low > bounds.high) {
        bounds = {axis.logarithmic ? 0.1 : 0.0, 1.0};
    }
    double low = axis.low.value_or(bounds.low), high = axis.high.value_or(bounds.high);
    if (axis.logarithmic) {
        low = std::log10(std::max(low, 1e-12));
        high = std::log10(std::max(high, 2e-12));
        low = axis.low ? low : std::floor(low);
        high = axis.high ? high : std::ceil(high + 1e-9);
    } else {
        if (from_zero && !axis.low) {
            low = std::min(low, 0.0);
        }
        const double air = with_air ? 0.06 * (high - low) : 0.0;
        low -= axis.low || (from_zero && low == 0.0) ? 0.0 : air;
        high += axis.high ? 0.0 : air;
    }
    if (!(high > low)) {
        high = low + std::max(1.0, std::abs(low));
    }
    scale.low = low;
    scale.high = high;
    return scale;
}

std::vector<Mark> marks_of(const ChartAxis& axis, const Scale& scale, int most) {
    std::vector<Mark> marks;
    if (!axis.logarithmic) {
        const Ticks ticks = ticks_in(scale.low, scale.high, most, axis.unit);
        for (const double value : ticks.values) {
            marks.push_back({value, tick_text(value, ticks, axis.unit)});
        }
        return marks;
    }
    const double decades = scale.high - scale.low;
    const int every = std::max(1, static_cast<int>(std::ceil(decades / most)));
    for (int k = static_cast<int>(std::ceil(scale.low - 1e-9));
         k <= static_cast<int>(std::floor(scale.high + 1e-9));
         ++k) {
        const double value = std::pow(10.0, k);
        marks.push_back(
            {value,
             k % every == 0 ? base::to_engineering(value, axis.unit, {3, false}) : std::string()});
    }
    return marks;
}

class Drawing {
public:
    Drawing(const Chart& chart, const ChartStyle& style, double top) : chart_(chart) {
        const double head =
            top + (style.standalone ? kTitle : 4.0) + (legend_wanted() ? kLegend : 0.0);
        const double height = chart.height_px > 0.0 ? chart.height_px : kUsualHeight;
        set_scales();
        y_.from = head + height;
        y_.to = head;
        y_marks_ = marks_of(chart.y, y_, static_cast<int>(height / 26.0));
        double gutter = 24.0;
        for (const Mark& mark : y_marks_) {
            gutter = std::max(gutter, width_of(mark.text));
        }
        left_ = std::ceil(gutter) + 2.0 * kEdge;
        right_ = style.width_px - kEdge - 14.0;
        x_.from = left_;
        x_.to = right_;
        x_marks_ = marks_of(chart.x, x_, std::max(2, static_cast<int>((right_ - left_) / 62.0)));
        top_ = head;
        bottom_ = head + height;
        height_ = bottom_ + kFoot - top;
        title_y_ = top + 15.0;
        legend_y_ = head - 7.0;
        standalone_ = style.standalone;
    }

    double height() const { return height_; }

    std::string text() {
        out_ = "<g>";
        if (standalone_) {
            add_text(left_, title_y_, chart_.title, "title", "start");
        }
        for (const ChartRegion& region : chart_.regions) {
            add_region(region);
        }
        add_grid();
        for (const ChartRegion& region : chart_.regions) {
            if (region.name_at) {
                add_text(x_.at(region.name_at->first),
                         y_.at(region.name_at->second),
                         region.name,
                         "tick",
                         "start");
            }
        }
        for (const ChartSeries& series : chart_.series) {
            add_series(series);
        }
        add_legend();
        add_words();
        return out_ + "</g>\n";
    }

private:
    bool legend_wanted() const {
        return std::any_of(chart_.series.begin(), chart_.series.end(), [](const ChartSeries& s) {
            return !s.name.empty();
        });
    }
    void set_scales() {
        Bounds x, y;
        bool bars = false;
        for (const ChartSeries& series : chart_.series) {
            bars = bars || series.kind == Kind::bars;
            for (std::size_t k = 0; k < series.x.size(); ++k) {
                x.take(series.x[k]);
                const double u = k < series.u.size() ? series.u[k] : 0.0;
                if (!chart_.y.logarithmic || series.y[k] > 0.0) {
                    y.take(series.y[k] + u);
                    y.take(series.y[k] - (series.y[k] > u || !chart_.y.logarithmic ? u : 0.0));
                }
            }
        }
        x_ = scale_of(chart_.x, x, false, false);
        y_ = scale_of(chart_.y, y, true, bars);
    }
    void add_text(
        double x, double y, const std::string& text, const char* type, const char* anchor) {
        out_ += fmt::format("<text class=\"{}\" x=\"{}\" y=\"{}\" text-anchor=\"{}\">{}</text>",
                            type,
                            px(x),
                            px(y),
                            anchor,
                            detail::xml_text(text));
    }
    void add_path(const std::string& d, const char* type) {
        if (!d.empty()) {
            out_ += fmt::format("<path class=\"{}\" d=\"{}\"/>", type, d);
        }
    }
    std::string spot(double x, double y) const {
        return px(x_.clamped(x)) + " " + px(y_.clamped(y));
    }

    void add_region(const ChartRegion& region) {
        std::string d;
        for (const auto& [x, y] : region.corners) {
            d += (d.empty() ? "M" : "L") + spot(x, y);
        }
        add_path(d + "z", fmt::format("region d{}", region.depth).c_str());
    }
    void add_grid() {
        std::string grid, zero;
        for (const Mark& mark : y_marks_) {
            (mark.value == 0.0 ? zero : grid) +=
                "M" + px(left_) + " " + px(y_.at(mark.value)) + "H" + px(right_);
        }
        for (const Mark& mark : x_marks_) {
            (mark.value == 0.0 && x_.low < 0.0 ? zero : grid) +=
                "M" + px(x_.at(mark.value)) + " " + px(top_) + "V" + px(bottom_);
        }
        add_path(grid, "grid");
        add_path(zero, "zero");
        add_path("M" + px(left_) + " " + px(top_) + "V" + px(bottom_) + "H" + px(right_), "frame");
    }
    void add_words() {
        for (const Mark& mark : y_marks_) {
            if (!mark.text.empty()) {
                add_text(left_ - 6.0, y_.at(mark.value) + 4.5, mark.text, "tick", "end");
            }
        }
        for (const Mark& mark : x_marks_) {
            if (!mark.text.empty()) {
                add_text(x_.at(mark.value), bottom_ + 16.0, mark.text, "tick", "middle");
            }
        }
        add_text(right_, bottom_ + 33.0, chart_.x.title, "axis", "end");
        add_text(left_, bottom_ + 33.0, "↑ " + chart_.y.title, "axis", "start");
    }
    void add_legend() {
        double x = left_;
        for (const ChartSeries& series : chart_.series) {
            if (series.name.empty()) {
                continue;
            }
            out_ += fmt::format("<g class=\"{}\">", class_of(series.tone));
            const std::string y = px(legend_y_ - 4.5);
            if (series.kind == Kind::points) {
                out_ += fmt::format(
                    "<circle class=\"dot\" cx=\"{}\" cy=\"{}\" r=\"4\"/>", px(x + 11.0), y);
            } else if (series.kind == Kind::bars) {
                out_ +=
                    fmt::format("<rect class=\"bar\" x=\"{}\" y=\"{}\" width=\"9\" height=\"9\"/>",
                                px(x + 7.0),
                                px(legend_y_ - 9.0));
            } else {
                add_path("M" + px(x) + " " + y + "h22", "curve");
            }
            out_ += "</g>";
            add_text(x + 27.0, legend_y_, series.name, "tick", "start");
            x += 27.0 + width_of(series.name) + 18.0;
        }
    }
    void add_series(const ChartSeries& series) {
        out_ += fmt::format("<g class=\"{}\">", class_of(series.tone));
        switch (series.kind) {
            case Kind::line:
                add_line(series);
                break;
            case Kind::steps:
                add_steps(series);
                break;
            case Kind::bars:
                add_bars(series);
                break;
            case Kind::points:
                for (std::size_t k = 0; k < series.x.size(); ++k) {
                    out_ += fmt::format("<circle class=\"dot\" cx=\"{}\" cy=\"{}\" r=\"3.5\"/>",
                                        px(x_.clamped(series.x[k])),
                                        px(y_.clamped(series.y[k])));
                }
                break;
        }
        add_whiskers(series);
        out_ += "</g>";
    }
    // Of many points in one column of pixels its first, least, largest and last are drawn.
    void add_line(const ChartSeries& s) {
        std::string d;
        std::size_t k = 0;
        bool open = false;
        while (k < s.x.size()) {
            const double column = std::floor(x_.at(s.x[k]));
            std::size_t end = k, low = k, high = k;
            bool straight = true;
            while (end < s.x.size() && std::floor(x_.at(s.x[end])) == column) {
                straight = straight && std::isfinite(s.y[end]);
                low = s.y[end] < s.y[low] ? end : low;
                high = s.y[end] > s.y[high] ? end : high;
                ++end;
            }
            std::vector<std::size_t> kept = {k, low, high, end - 1};
            if (end - k <= 4) {
                kept.clear();
                for (std::size_t m = k; m < end; ++m) {
                    kept.push_back(m);
                }
            }
            std::sort(kept.begin(), kept.end());
            kept.erase(std::unique(kept.begin(), kept.end()), kept.end());
            for (const std::size_t m : kept) {
                if (!std::isfinite(s.y[m])) {
                    open = false;
                    continue;
                }
                d += (open ? "L" : "M") + spot(s.x[m], s.y[m]);
                open = true;
            }
            k = end;
        }
        add_path(d, "curve");
    }
    // A level around each x, halfway to its neighbours.
    void add_steps(const ChartSeries& s) {
        std::string d;
        for (std::size_t k = 0; k < s.x.size(); ++k) {
            d += "M" + spot(s.x[k] - 0.45, s.y[k]) + "L" + spot(s.x[k] + 0.45, s.y[k]);
        }
        add_path(d, "curve");
    }
    void add_bars(const ChartSeries& s) {
        const double half = std::max(1.5, 0.3 * std::abs(x_.at(1.0) - x_.at(0.0)));
        for (std::size_t k = 0; k < s.x.size(); ++k) {
            const double y = y_.clamped(s.y[k]);
            const double foot = y_.logarithmic ? bottom_ : y_.clamped(0.0);
            const double x = x_.at(s.x[k]);
            out_ +=
                fmt::format("<rect class=\"bar\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
                            px(x - half),
                            px(std::min(y, foot)),
                            px(2.0 * half),
                            px(std::abs(foot - y)));
        }
    }
    void add_whiskers(const ChartSeries& s) {
        std::string d;
        for (std::size_t k = 0; k < std::min(s.u.size(), s.x.size()); ++k) {
            const double low = y_.clamped(s.y[k] - s.u[k]), high = y_.clamped(s.y[k] + s.u[k]);
            if (low - high > 3.0) {
                const std::string x = px(x_.at(s.x[k]) - 3.0);
                d += "M" + x + " " + px(low) + "h6m-3 0V" + px(high) + "m-3 0h6";
            }
        }
        add_path(d, "curve");
    }

    const Chart& chart_;
    Scale x_, y_;
    std::vector<Mark> x_marks_, y_marks_;
    double left_ = 0.0, right_ = 0.0, top_ = 0.0, bottom_ = 0.0;
    double height_ = 0.0, title_y_ = 0.0, legend_y_ = 0.0;
    bool standalone_ = true;
    std::string out_;
};

}  // namespace

std::string charts_svg(const std::vector<Chart>& charts, const ChartStyle& style) {
    std::string body, label;
    double height = 0.0;
    for (const Chart& chart : charts) {
        Drawing drawing(chart, style, height);
        body += drawing.text();
        height += drawing.height() + (style.standalone ? 10.0 : 4.0);
        label += (label.empty() ? "" : "; ") + chart.title;
    }
    std::string out = style.standalone ? "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" : "";
    out += fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"chart\" role=\"img\" width=\"{0}\" "
        "height=\"{1}\" viewBox=\"0 0 {0} {1}\" aria-label=\"{2}\">\n",
        px(style.width_px),
        px(height),
        detail::xml_text(label));
    if (style.standalone) {
        out +=
            fmt::format("<style>{}</style>\n<rect width=\"{}\" height=\"{}\" fill=\"#ffffff\"/>\n",
                        kStyle,
                        px(style.width_px),
                        px(height));
    }
    return out + body + "</svg>\n";
}

}  // namespace etchback::report
