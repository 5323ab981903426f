#include "report/plot_data.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <nlohmann/json.hpp>

#include "report/curve.h"
#include "report/detail/digest.h"
#include "report/detail/json_in_script.h"
#include "report/detail/plot_panel.h"

namespace etchback::report {
namespace {

using Json = nlohmann::ordered_json;

// More than a screen has pixels, so that zooming in finds more; few enough for the page to open
// at once. Peaks stay: see curve.h.
constexpr int most_cells = 1600;
constexpr int sample_columns = 1200;

template <typename Whole>
void append(std::string& bytes, double share) {
    constexpr double top = static_cast<double>(std::numeric_limits<Whole>::max());
    const auto whole = static_cast<Whole>(std::llround(std::clamp(share, 0.0, 1.0) * top));
    for (std::size_t i = 0; i < sizeof(Whole); ++i) {
        bytes += static_cast<char>((whole >> (8 * i)) & 0xff);
    }
}

std::string packed(const std::vector<double>& values, const CurveRange& range) {
    const double span = range.high - range.low;
    std::string bytes;
    for (const double value : values) {
        append<std::uint16_t>(bytes, span > 0.0 ? (value - range.low) / span : 0.0);
    }
    return detail::base64(bytes);
}

// Times may lie a little outside of the plot: a neighbour on either side of the window.
void add_samples(Json& json,
                 const behaviour::Plot& plot,
                 const behaviour::PlotCurve& curve,
                 const CurveRange& range) {
    const std::vector<CurvePoint> points =
        samples_of(curve, plot.start_s, plot.end_s, sample_columns);
    const double from = points.empty() ? 0.0 : points.front().t_s;
    const double to = points.empty() ? 1.0 : points.back().t_s;
    std::string times;
    std::vector<double> values;
    for (const CurvePoint& point : points) {
        append<std::uint32_t>(times, to > from ? (point.t_s - from) / (to - from) : 0.0);
        values.push_back(point.value);
    }
    json["from"] = from;
    json["to"] = to;
    json["t"] = detail::base64(times);
    json["v"] = packed(values, range);
}

void add_cells(Json& json, const behaviour::PlotCurve& curve, const CurveRange& range) {
    const CurveCells cells = cells_of(curve, most_cells);
    json["start"] = cells.start_s;
    json["cell"] = cells.cell_s;
    json["low"] = packed(cells.low, range);
    json["high"] = packed(cells.high, range);
    json["mean"] = packed(cells.mean, range);
}

Json json_of(const behaviour::Plot& plot, const behaviour::PlotCurve& curve) {
    const CurveRange range = *range_of(curve);
    Json json = {{"title", curve.title},
                 {"symbol", symbol_of(curve.unit)},
                 {"prefixed", takes_prefix(curve.unit)},
                 {"tone", detail::tone_of(curve.unit)},
                 {"least", range.low},
                 {"largest", range.high}};
    if (curve.is_envelope()) {
        add_cells(json, curve, range);
    } else {
        add_samples(json, plot, curve, range);
    }
    return json;
}

Json json_of(const StyledPlot& styled) {
    const behaviour::Plot& plot = *styled.plot;
    Json curves = Json::array();
    for (const behaviour::PlotCurve& curve : plot.curves) {
        if (range_of(curve)) {
            curves.push_back(json_of(plot, curve));
        }
    }
    Json marks = Json::array();
    for (const PlotMark& mark : styled.style.marks) {
        marks.push_back(Json::array({mark.t_s, mark.number}));
    }
    return {{"title", plot.title},
            {"start", plot.start_s},
            {"end", plot.end_s},
            {"means", styled.style.means},
            {"marks", std::move(marks)},
            {"curves", std::move(curves)}};
}

}  // namespace

std::string plot_data_json(const std::vector<StyledPlot>& plots) {
    Json all = Json::array();
    for (const StyledPlot& plot : plots) {
        all.push_back(json_of(plot));
    }
    return detail::safe_in_script(all.dump(-1, ' ', false, Json::error_handler_t::replace));
}

}  // namespace etchback::report
