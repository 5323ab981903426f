// Parts that hold a voltage down: Zener diodes and suppressor diodes with a stated voltage.
#pragma once

#include "circuit/circuit.h"

namespace etchback::blocks::detail {

bool is_clamp(const circuit::Part& part);

// Where it holds: the Zener voltage, or 40 % above a suppressor's own (common practice), or what
// the part states as clamping voltage.
double clamp_v(const circuit::Part& part);

}  // namespace etchback::blocks::detail
