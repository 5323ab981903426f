// First figures: what follows from structure and values alone, each with its arithmetic.
//
// Series and parallel sets, dividers, RC time constants, the peak of the mains range, bleed time
// and residual voltage of each capacitor across the mains, voltage and dissipation of each resistor
// whose voltage is known at once, the knee of LED strings, and the voltages that they rest on.
#pragma once

#include <vector>

#include "base/figure.h"
#include "blocks/voltages.h"
#include "circuit/circuit.h"
#include "circuit/domains.h"
#include "circuit/reductions.h"

namespace etchback::blocks {

// Sorted by topic, then by part name. Figure ids: series.*, parallel.*, divider.*, time_constant.*,
// mains_peak, bleed_time.*, residual.*, dissipation.*, voltage.*, led_knee.* ...
std::vector<base::Figure> structure_figures(const circuit::Circuit& circuit,
                                            const circuit::Domains& domains,
                                            const std::vector<circuit::Reduction>& reductions,
                                            const Voltages& voltages,
                                            const dossier::Dossier& dossier);

}  // namespace etchback::blocks
