// Curves as comma-separated values.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "cli/simulate_show.h"

namespace etchback::cli {
namespace {

using behaviour::Plot;
using behaviour::PlotCurve;

std::string quoted(const std::string& field) {
    if (field.find_first_of(",\"\r\n") == std::string::npos) {
        return field;
    }
    std::string text = "\"";
    for (const char c : field) {
        text += c == '"' ? std::string("\"\"") : std::string(1, c);
    }
    return text + "\"";
}

std::string column(const PlotCurve& curve, const char* what) {
    const std::string unit(symbol_of(curve.unit));
    std::string name = curve.title + (*what != '\0' ? std::string(", ") + what : "");
    return quoted(name + (unit.empty() ? "" : " (" + unit + ")"));
}

// Empty where a run did not come so far.
std::string number(double value) {
    return std::isfinite(value) ? fmt::format("{:.9g}", value) : "";
}

// Straight lines between samples; of a jump its later side. Empty outside of them.
std::string value_at(const PlotCurve& curve, double t_s) {
    const auto after = std::upper_bound(curve.t_s.begin(), curve.t_s.end(), t_s);
    if (after == curve.t_s.begin()) {
        return "";
    }
    const std::size_t i = static_cast<std::size_t>(after - curve.t_s.begin());
    if (curve.t_s[i - 1] == t_s) {
        return number(curve.value[i - 1]);
    }
    if (after == curve.t_s.end()) {
        return "";
    }
    const double share = (t_s - curve.t_s[i - 1]) / (curve.t_s[i] - curve.t_s[i - 1]);
    return number(std::lerp(curve.value[i - 1], curve.value[i], share));
}

std::string time_text(double t_s) {
    return fmt::format("{:.12g}", t_s);
}

std::string table_of_samples(const std::vector<const PlotCurve*>& curves) {
    std::string text = "Time (s)";
    for (const PlotCurve* curve : curves) {
        text += "," + column(*curve, "");
    }
    text += '\n';
    const std::vector<double>& shared = curves.front()->t_s;
    const bool same = std::all_of(
        curves.begin(), curves.end(), [&](const PlotCurve* curve) { return curve->t_s == shared; });
    if (same) {  // both sides of every jump
        for (std::size_t i = 0; i < shared.size(); ++i) {
            text += time_text(shared[i]);
            for (const PlotCurve* curve : curves) {
                text += "," + number(curve->value[i]);
            }
            text += '\n';
        }
        return text;
    }
    std::set<double> times;
    for (const PlotCurve* curve : curves) {
        times.insert(curve->t_s.begin(), curve->t_s.end());
    }
    for (const double t_s : times) {
        text += time_text(t_s);
        for (const PlotCurve* curve : curves) {
            text += "," + value_at(*curve, t_s);
        }
        text += '\n';
    }
    return text;
}

// Time is the middle of a cell. Curves of one plot have the same cells; where one has others, its
// values are those of the cell that holds that time.
std::string table_of_cells(const std::vector<const PlotCurve*>& curves) {
    std::string text = "Time (s)";
    for (const PlotCurve* curve : curves) {
        text += "," + column(*curve, "least") + "," + column(*curve, "mean") + "," +
                column(*curve, "largest");
    }
    text += '\n';
    const PlotCurve& first = *curves.front();
    for (std::size_t i = 0; i < first.mean.size(); ++i) {
        const double t_s = first.start_s + (static_cast<double>(i) + 0.5) * first.cell_s;
        text += time_text(t_s);
        for (const PlotCurve* curve : curves) {
            const double cell = std::floor((t_s - curve->start_s) / curve->cell_s);
            const bool inside = cell >= 0.0 && cell < static_cast<double>(curve->mean.size());
            const std::size_t k = inside ? static_cast<std::size_t>(cell) : 0;
            text += inside ? "," + number(curve->low[k]) + "," + number(curve->mean[k]) + "," +
                                 number(curve->high[k])
                           : ",,,";
        }
        text += '\n';
    }
    return text;
}

}  // namespace

std::vector<CurveFile> curve_files(const report::Behaviour& behaviour) {
    std::vector<CurveFile> files;
    for (const behaviour::Outcome& outcome : behaviour.outcomes) {
        for (const Plot& plot : outcome.plots) {
            std::vector<const PlotCurve*> cells, samples;
            for (const PlotCurve& curve : plot.curves) {
                if (curve.is_envelope()) {
                    cells.push_back(&curve);
                } else if (!curve.t_s.empty()) {
                    samples.push_back(&curve);
                }
            }
            if (!cells.empty()) {
                files.push_back({outcome.scenario.id, plot.id, table_of_cells(cells)});
            }
            if (!samples.empty()) {
                const std::string id = plot.id + (cells.empty() ? "" : "-samples");
                files.push_back({outcome.scenario.id, id, table_of_samples(samples)});
            }
        }
    }
    return files;
}

}  // namespace etchback::cli
