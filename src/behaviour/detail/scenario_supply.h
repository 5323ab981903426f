// Which voltage the words nominal, low and high mean for a dossier.
#pragma once

#include <optional>

#include "behaviour/scenario.h"
#include "dossier/dossier.h"

namespace etchback::behaviour::detail {

// RMS volts, or volts of a direct supply; docs/scenarios.md has the rule. Nothing where the
// dossier says nothing of it: then the model's own supply (a battery, a part's value) is the
// nominal one, and low and high are 10 % from it.
std::optional<double> supply_v(const dossier::Dossier& dossier, Scenario::Supply which);

constexpr double usual_tolerance = 0.1;

}  // namespace etchback::behaviour::detail
