// The plots of a page or a paper: what is shown of each scenario.
#pragma once

#include <vector>

#include "report/behaviour_view.h"

namespace etchback::report::detail {

// The plots of all scenarios, in order, styled for embedding in the page.
std::vector<StyledPlot> plots_of(const ScenarioView& scenario, bool standalone);
std::vector<StyledPlot> plots_of(const BehaviourView& view);

// A few words that tell whether to open a folded scenario: "nothing exceeded; 12 events".
std::string in_short(const ScenarioView& scenario);

// Figures that a reader looks for, and the dissipation of every part.
struct FigureParts {
    std::vector<SimulatedFigure> main, dissipations;
};
FigureParts parted(const std::vector<SimulatedFigure>& figures);

// Rows at least half of whose rating is used, worst first, and the rest.
struct StressParts {
    std::vector<StressView> near, far;
};
StressParts parted(const std::vector<StressView>& rows);

}  // namespace etchback::report::detail
