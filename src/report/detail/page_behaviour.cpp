#include "report/detail/page_behaviour.h"

#include <fmt/format.h>

#include "report/detail/words.h"

namespace etchback::report::detail {

std::vector<StyledPlot> plots_of(const ScenarioView& scenario, bool standalone) {
    std::vector<StyledPlot> all;
    for (const behaviour::Plot& plot : scenario.outcome->plots) {
        std::vector<PlotMark> marks;
        for (const PlotMark& mark : scenario.marks) {
            if (mark.t_s >= plot.start_s && mark.t_s <= plot.end_s) {
                marks.push_back(mark);
            }
        }
        all.push_back({&plot,
                       {.standalone = standalone,
                        .heading = scenario.title,
                        .means = shows_means(plot),
                        .marks = std::move(marks)}});
    }
    return all;
}

std::vector<StyledPlot> plots_of(const BehaviourView& view) {
    std::vector<StyledPlot> all;
    for (const ScenarioView& scenario : view.scenarios) {
        for (StyledPlot& plot : plots_of(scenario, false)) {
            all.push_back(std::move(plot));
        }
    }
    return all;
}

std::string in_short(const ScenarioView& scenario) {
    if (!scenario.in_order) {
        return "not in order";
    }
    std::string words = scenario.exceeded > 0 ? counted(static_cast<std::size_t>(scenario.exceeded),
                                                        "limit exceeded",
                                                        "limits exceeded")
                                              : "no known rating exceeded";
    return words;
}

FigureParts parted(const std::vector<SimulatedFigure>& figures) {
    FigureParts parts;
    for (const SimulatedFigure& figure : figures) {
        (figure.id.starts_with("dissipation.") ? parts.dissipations : parts.main).push_back(figure);
    }
    return parts;
}

StressParts parted(const std::vector<StressView>& rows) {
    StressParts parts;
    for (const StressView& row : rows) {
        (row.half_used ? parts.near : parts.far).push_back(row);
    }
    return parts;
}

}  // namespace etchback::report::detail
