// Resistors that bridge the insulation ("protective impedance"): high enough that touching what
// lies behind them may be harmless, so that they do not make it part of the mains, as any other
// conductive part would.
#pragma once

#include <vector>

#include "blocks/chains.h"
#include "circuit/circuit.h"
#include "circuit/domains.h"

namespace etchback::blocks {

struct Insulation {
    circuit::Domains domains;    // as if these resistors were not there
    std::vector<Chain> bridges;  // from() is tied to the mains, to() is isolated or can be touched
};

// The domains as they are where nothing bridges. Chains below `least_bridge_ohm` tie, whatever they
// lead to.
Insulation insulation(const circuit::Circuit& circuit, const circuit::Domains& domains);

constexpr double least_bridge_ohm = 100e3;

// Of all bridges to the nets of a domain: side by side, and with the one link short-circuited that
// matters most; 0 where one short circuit bridges the insulation, or where there is no bridge.
struct BridgeResistance {
    double whole_ohm = 0.0;
    double after_one_short_ohm = 0.0;
    std::vector<circuit::PartId> parts;  // sorted
};
BridgeResistance resistance_to(const Insulation& insulation, int domain);

}  // namespace etchback::blocks
