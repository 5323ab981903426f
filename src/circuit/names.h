// Names of parts, for sentences and lists.
#pragma once

#include <string>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::circuit {

// In the order of `parts`.
std::vector<std::string> names_of(const Circuit& circuit, const std::vector<PartId>& parts);

}  // namespace etchback::circuit
