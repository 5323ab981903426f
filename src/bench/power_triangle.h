// The power triangle from readings: P, U, I, power factor, S and N, any missing one computed, with
// uncertainty by JCGM 100:2008 (the GUM), and the verdict where there are more readings than
// needed.
//
// Read are the quantities 'supply voltage', 'supply current', 'input power', 'power factor',
// 'apparent power' and 'reactive power' (or 'non-active power'; meters show as reactive power what
// is left of S beside P, which with distorted currents is more than the fundamental's).
//
// Uncertainty. What the dossier states is a half-width at about 95 %, so u is half of it; a reading
// written as a range is taken likewise. Where nothing is stated, u is assumed from two parts: 1 %
// of the reading at k = 2 (a usual meter; common practice), and half a unit of its last digit,
// evenly spread (GUM 4.3.7). Figures that rest on that say so (`assumed`). A zero at the end of a
// written number is not known here (20.0 W is 20 W), which errs towards more uncertainty. Readings
// of one group are taken as independent of each other. Several of one quantity count as their
// weighted mean.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/figure.h"
#include "bench/uncertainty.h"
#include "dossier/dossier.h"

namespace etchback::bench {

struct PowerTriangle {
    std::string group;  // of the readings: "warm, 231 V"
    std::optional<Estimate> voltage_v_rms;
    std::optional<Estimate> current_a_rms;
    std::optional<Estimate> power_w;
    std::optional<Estimate> power_factor;
    std::optional<Estimate> apparent_va;
    std::optional<Estimate> non_active_var;  // sqrt(S^2 - P^2)
    std::vector<base::Figure> figures;       // of what was computed

    // Where all four are read: (P - U·I·PF) divided by its uncertainty at k = 2, so beyond 1 and -1
    // the readings disagree. Else, and where it is the greater, the same of another check that
    // fails: S against U·I, P against S·PF, S against P and N, P above U·I, a power factor above 1,
    // two readings of one quantity.
    std::optional<double> disagreement;
    std::string disagreement_text;  // empty unless beyond 1
    // Which reading, changed alone by the least in its own uncertainty, would settle it (and not
    // break another check); the reading's quantity. Empty unless beyond 1.
    std::string suspect;
};

// One triangle per group of readings that has at least two of these quantities, or one that cannot
// be (a power factor above 1), in the file's order.
std::vector<PowerTriangle> power_triangles(const std::vector<dossier::Reading>& readings);

}  // namespace etchback::bench
