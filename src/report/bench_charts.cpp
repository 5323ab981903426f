#include "report/bench_charts.h"

#include <algorithm>
#include <cmath>

namespace etchback::report {
namespace {

using base::Unit;
using Kind = ChartSeries::Kind;
using Tone = ChartSeries::Tone;

const Over* over_named(const std::vector<Over>& overs, std::string_view id) {
    const auto found = std::ranges::find(overs, id, &Over::id);
    return found == overs.end() ? nullptr : &*found;
}

const char* quantity_of(Unit unit) {
    return unit == Unit::volt ? "Voltage" : unit == Unit::ampere ? "Current" : "Value";
}

ChartSeries curve(Tone tone, const char* name, std::vector<double> x, std::vector<double> y) {
    return {Kind::line, tone, name, std::move(x), std::move(y), {}};
}

Chart time_chart(const std::string& id, const std::string& title, Unit unit, const char* y_title) {
    Chart chart;
    chart.id = id;
    chart.title = title;
    chart.x = {.title = "Time", .unit = Unit::second, .low = {}, .high = {}};
    chart.y = {.title = y_title, .unit = unit, .low = {}, .high = {}};
    return chart;
}

std::vector<double> turns(std::size_t points, double period_s) {
    std::vector<double> t;
    for (std::size_t k = 0; k < points; ++k) {
        t.push_back(period_s * static_cast<double>(k) / static_cast<double>(points));
    }
    return t;
}

Chart over_chart(const Over& over) {
    Chart chart = time_chart(over.id, over.title, over.unit, quantity_of(over.unit));
    chart.series = {curve(Tone::measured, "recorded", over.both.t_s, over.both.measured),
                    curve(Tone::simulated, "simulated", over.both.t_s, over.both.simulated)};
    chart.x.low = over.both.t_s.front();
    chart.x.high = over.both.t_s.back();
    return chart;
}

void add_samples(std::vector<Chart>& charts, const bench::Record& record) {
    for (const bench::Channel& channel : record.wave->channels) {
        Chart chart = time_chart(
            "samples", "As recorded: " + channel.name, channel.unit, quantity_of(channel.unit));
        const bench::Curve samples =
            bench::curve_of(channel.value, record.wave->dt_s, record.wave->start_s);
        chart.series = {curve(Tone::measured, "", samples.t_s, samples.value)};
        chart.height_px = 130.0;
        charts.push_back(std::move(chart));
    }
}

void add_cycle(std::vector<Chart>& charts,
               const bench::FittedChannel& channel,
               double period_s,
               const Over* over,
               const char* id,
               Unit unit) {
    if (!channel.present || channel.cycle.empty()) {
        return;
    }
    if (over != nullptr) {
        charts.push_back(over_chart(*over));
        charts.back().height_px = 150.0;
        return;
    }
    Chart chart = time_chart(id,
                             std::string(quantity_of(unit)) + " over one cycle of the mains",
                             unit,
                             quantity_of(unit));
    chart.series = {
        curve(Tone::measured, "recorded", turns(channel.cycle.size(), period_s), channel.cycle)};
    chart.height_px = 150.0;
    charts.push_back(std::move(chart));
}

// The check whose rows are limits for single harmonics, and which holds: the one that is met, else
// the first.
const bench::LimitCheck* limits_shown(const bench::Record& record) {
    const bench::LimitCheck* best = nullptr;
    for (const bench::LimitCheck& check : record.limits->checks) {
        const auto singles = std::count_if(
            check.rows.begin(), check.rows.end(), [](const auto& r) { return r.order >= 2; });
        const bool better = best == nullptr || (check.verdict == bench::Verdict::within &&
                                                best->verdict != bench::Verdict::within);
        if (singles >= 2 && better) {
            best = &check;
        }
    }
    return best;
}

void add_harmonics(std::vector<Chart>& charts, const bench::Record& record) {
    const auto& harmonics = record.mains->current.harmonics;
    if (harmonics.size() < 3) {
        return;
    }
    Chart chart;
    chart.id = "harmonics";
    chart.title = "Harmonics of the current, r.m.s.";
    chart.x = {.title = "Order", .low = 0.0, .high = 40.6};
    chart.y = {
        .title = "Current", .unit = Unit::ampere, .logarithmic = true, .low = {}, .high = {}};
    ChartSeries bars{Kind::bars, Tone::measured, "recorded", {}, {}, {}};
    const double floor = 2e-5 * harmonics[1].rms.value;
    for (std::size_t k = 1; k < std::min<std::size_t>(harmonics.size(), 41); ++k) {
        if (harmonics[k].rms.value > floor) {
            bars.x.push_back(harmonics[k].order);
            bars.y.push_back(harmonics[k].rms.value);
            bars.u.push_back(2.0 * harmonics[k].rms.u);
        }
    }
    chart.series = {std::move(bars)};
    const bench::LimitCheck* check = record.limits ? limits_shown(record) : nullptr;
    if (check != nullptr) {
        ChartSeries limits{Kind::steps, Tone::limit, "limit, " + check->title, {}, {}, {}};
        for (const bench::LimitRow& row : check->rows) {
            if (row.order >= 2) {
                const double scale = row.unit == Unit::ampere ? 1.0 : 0.01 * harmonics[1].rms.value;
                limits.x.push_back(row.order);
                limits.y.push_back(row.limit * scale);
            }
        }
        chart.series.push_back(std::move(limits));
    }
    charts.push_back(std::move(chart));
}

void add_loop(std::vector<Chart>& charts,
              const bench::Record& record,
              const std::vector<Over>& overs) {
    const bench::FittedChannel &v = record.mains->voltage, &i = record.mains->current;
    if (!v.present || !i.present || v.cycle.size() != i.cycle.size() || v.cycle.empty()) {
        return;
    }
    const auto closed = [](std::vector<double> values) {
        values.push_back(values.front());
        return values;
    };
    Chart chart;
    chart.id = "loop";
    chart.title = "Current over voltage";
    chart.x = {.title = "Voltage", .unit = Unit::volt, .low = {}, .high = {}};
    chart.y = {.title = "Current", .unit = Unit::ampere, .low = {}, .high = {}};
    chart.series = {curve(Tone::measured, "recorded", closed(v.cycle), closed(i.cycle))};
    const Over *ov = over_named(overs, "voltage"), *oi = over_named(overs, "current");
    if (ov != nullptr && oi != nullptr) {
        chart.series.push_back(curve(
            Tone::simulated, "simulated", closed(ov->both.simulated), closed(oi->both.simulated)));
    }
    charts.push_back(std::move(chart));
}

// Modulation over frequency, with the regions of IEEE Std 1789-2015.
void add_plane(std::vector<Chart>& charts, const bench::LightFigures& light) {
    if (!light.periodic) {
        return;
    }
    constexpr double from = 10.0, to = 3500.0, floor = 0.1;
    const auto under = [&](double (*limit)(double)) {
        std::vector<std::pair<double, double>> corners = {{from, floor}};
        for (double f = from; f < to * 1.0001; f *= 1.0233) {
            corners.emplace_back(f, std::min(100.0, limit(f)));
        }
        corners.emplace_back(to, 100.0);
        corners.emplace_back(to, floor);
        return corners;
    };
    Chart chart;
    chart.id = "flicker-plane";
    chart.title = "Modulation over frequency, regions of IEEE Std 1789-2015";
    chart.x = {
        .title = "Frequency", .unit = Unit::hertz, .logarithmic = true, .low = from, .high = to};
    chart.y = {.title = "Modulation",
               .unit = Unit::percent,
               .logarithmic = true,
               .low = floor,
               .high = 100.0};
    chart.regions = {{"beyond low risk",
                      2,
                      {{from, floor}, {from, 100.0}, {to, 100.0}, {to, floor}},
                      {{14.0, 38.0}}},
                     {"", 3, under(bench::low_risk_percent), {}},
                     {"low risk", 1, under(bench::low_risk_percent), {{330.0, 16.0}}},
                     {"", 3, under(bench::no_effect_percent), {}},
                     {"no observable effect", 0, under(bench::no_effect_percent), {{260.0, 0.9}}}};
    chart.series = {{Kind::points,
                     Tone::measured,
                     "recorded",
                     {light.frequency_hz.value},
                     {light.percent_flicker.value},
                     {2.0 * light.percent_flicker.u}}};
    chart.height_px = 200.0;
    charts.push_back(std::move(chart));
}

void add_light(std::vector<Chart>& charts,
               const bench::Record& record,
               const std::vector<Over>& overs) {
    const bench::LightFigures& light = *record.light;
    if (const Over* over = over_named(overs, "light")) {
        charts.push_back(over_chart(*over));
        charts.back().y.title = "Of the mean";
        charts.back().y.low = 0.0;
    } else if (light.periodic && !light.cycle.empty()) {
        Chart chart = time_chart("light", "Light over one period", Unit::none, "Of the mean");
        chart.series = {curve(Tone::measured,
                              "recorded",
                              turns(light.cycle.size(), 1.0 / light.frequency_hz.value),
                              light.cycle)};
        chart.y.low = 0.0;
        charts.push_back(std::move(chart));
    }
    add_plane(charts, light);
}

void add_course(std::vector<Chart>& charts, const bench::SwitchingSeen& seen) {
    if (!seen.course || seen.course->hz.size() < 4) {
        return;
    }
    Chart chart = time_chart("frequency",
                             "Switching frequency of " + seen.channel + " over time",
                             Unit::hertz,
                             "Frequency");
    chart.series = {curve(Tone::measured, "", seen.course->t_s, seen.course->hz),
                    {Kind::points, Tone::measured, "", seen.course->t_s, seen.course->hz, {}}};
    charts.push_back(std::move(chart));
}

}  // namespace

std::vector<Chart> charts_of(const bench::Record& record, const std::vector<Over>& overs) {
    std::vector<Chart> charts;
    if (!record.wave) {
        return charts;
    }
    const Over* single = overs.size() == 1 && !overs[0].is_cycle ? &overs[0] : nullptr;
    if (single == nullptr || single->id != "start") {
        add_samples(charts, record);
    }
    if (record.mains) {
        const double period = 1.0 / record.mains->frequency_hz.value;
        add_cycle(charts,
                  record.mains->voltage,
                  period,
                  over_named(overs, "voltage"),
                  "voltage",
                  Unit::volt);
        add_cycle(charts,
                  record.mains->current,
                  period,
                  over_named(overs, "current"),
                  "current",
                  Unit::ampere);
        add_harmonics(charts, record);
        add_loop(charts, record, overs);
    }
    if (record.light) {
        add_light(charts, record, overs);
    }
    for (const bench::SwitchingSeen& seen : record.switching) {
        add_course(charts, seen);
    }
    if (single != nullptr) {
        charts.push_back(over_chart(*single));
    }
    return charts;
}

}  // namespace etchback::report
