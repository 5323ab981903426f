// The return (0 V) of a galvanic domain.
#pragma once

#include <vector>

#include "circuit/circuit.h"

namespace etchback::circuit::detail {

// See Domain::reference.
NetId reference_of(const Circuit& circuit, const std::vector<NetId>& nets);

}  // namespace etchback::circuit::detail
