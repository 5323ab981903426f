// Of which two nets structure proves that one is the more positive.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/disjoint_sets.h"
#include "circuit/circuit.h"

namespace etchback::circuit::detail {

struct Order {
    NetId high, low;
    std::optional<PartId> from;  // the part that sets it; none: a note
    std::string because;         // "BR1 makes 'HV+' more positive than 'HV-'"
};

// Sorted by part, then by nets.
//
// A bridge rectifier by its plus and minus, four diodes as a bridge, a battery or DC source, a chip
// by its supply and ground pins, a winding behind a diode (no direct voltage stands on a winding,
// so what the diode charges lies beyond the winding's other end), and a voltage that a note gives
// against the declared return of the same domain.
std::vector<Order> known_orders(const Circuit& circuit);

}  // namespace etchback::circuit::detail
