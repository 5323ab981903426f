// The rules, each a function that looks at the subject and reports what it finds.
#pragma once

#include "findings/detail/kit.h"

namespace etchback::findings::detail {

void no_fuse(const Kit& kit);
void no_inrush_limiting(const Kit& kit);
void plug_capacitors(const Kit& kit);  // x_capacitor_without_bleed, x_capacitor_slow_bleed
void dropper_capacitor_class(const Kit& kit);
void y_position_class(const Kit& kit);
void resistor_over_voltage(const Kit& kit);
void resistor_over_power(const Kit& kit);
void capacitor_over_voltage(const Kit& kit);  // and capacitor_little_margin
void load_not_isolated(const Kit& kit);       // and load_at_mains
void claims_contradict(const Kit& kit);
void readings_contradict_claims(const Kit& kit);
void readings_disagree(const Kit& kit);

}  // namespace etchback::findings::detail
