// Voltages of nets, as somebody with a probe at a test point would see them.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "behaviour/detail/scenario_stretch.h"
#include "behaviour/scenario.h"

namespace etchback::behaviour::detail {

struct NetProbes {
    std::string net;
    ProbeId to_return;
    std::optional<ProbeId> to_neutral;
};

// Probes of all nets of the model, by name; those against the neutral are added to its network,
// which therefore must not have been given away yet.
std::vector<NetProbes> net_probes_of(Model& model);

std::vector<ProbeId> probes_of(const std::vector<NetProbes>& nets);

// Of the last stretch, which must have measured the probes.
std::vector<NetFigure> net_figures_of(const StretchedRun& run, const std::vector<NetProbes>& nets);

}  // namespace etchback::behaviour::detail
