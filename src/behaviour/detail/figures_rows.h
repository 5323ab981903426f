// The numbers that a person asks for, from what was measured.
#pragma once

#include <optional>
#include <vector>

#include "behaviour/detail/scenario_stretch.h"
#include "behaviour/scenario.h"

namespace etchback::behaviour::detail {

// Of the last stretch of `run`; quantities of the supply are those at its terminals.
//
// Current, apparent power and power factor are given twice: of the first 40 harmonics, which is
// what a meter behind its filter shows and what IEC 61000-3-2 speaks of, and raw, with all of the
// switching ripple that a converter sends back.
std::vector<FigureRow> figures_of(const StretchedRun& run, const Model& model);

// Of the supply's current; nothing for a direct supply. `phase_rad` is the supply's at t = 0.
std::optional<Harmonics> harmonics_of(const StretchedRun& run,
                                      const Model& model,
                                      double phase_rad);

// With `harmonics`, the figures of the first 40 harmonics can be told.
void add_harmonic_figures(std::vector<FigureRow>& figures,
                          const StretchedRun& run,
                          const Model& model,
                          const Harmonics& harmonics);

// Dissipation of each part that takes part in it, largest first.
void add_dissipation(std::vector<FigureRow>& figures, const StretchedRun& run, const Model& model);

}  // namespace etchback::behaviour::detail
