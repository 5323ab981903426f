// The power triangle from readings: P, U, I, power factor, S and Q, any missing one computed, with
// uncertainty by JCGM 100:2008 (the GUM), and the verdict where there are more readings than
// needed.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/figure.h"
#include "dossier/dossier.h"

namespace etchback::bench {

// A value with its standard uncertainty (k = 1).
struct Estimate {
    double value = 0.0;
    double u = 0.0;
    bool operator==(const Estimate&) const = default;
};

struct PowerTriangle {
    std::string group;  // of the readings: "warm, 231 V"
    std::optional<Estimate> voltage_v_rms;
    std::optional<Estimate> current_a_rms;
    std::optional<Estimate> power_w;
    std::optional<Estimate> power_factor;
    std::optional<Estimate> apparent_va;
    std::optional<Estimate> non_active_var;  // sqrt(S^2 - P^2)
    std::vector<base::Figure> figures;       // of what was computed

    // Where all four are read: P - U·I·PF, against its uncertainty (normalised, k = 2 counts as 1).
    std::optional<double> disagreement;
    std::string disagreement_text;
    // Which reading, changed alone by the least in its own uncertainty, would settle it.
    std::string suspect;
};

// One triangle per group of readings that has at least two of the four, in the file's order.
std::vector<PowerTriangle> power_triangles(const std::vector<dossier::Reading>& readings);

}  // namespace etchback::bench
