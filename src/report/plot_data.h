// The curves of a page's plots for data/report/plot.js, as JSON that is safe inside a script
// element.
#pragma once

#include <string>
#include <vector>

#include "report/plot.h"

namespace etchback::report {

// One entry for each plot, in their order. Values are whole numbers of 16 bits over the range of
// their curve, little-endian in base 64; times of 32 bits over the span of the plot.
std::string plot_data_json(const std::vector<StyledPlot>& plots);

}  // namespace etchback::report
