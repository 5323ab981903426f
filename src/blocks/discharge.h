// Capacitors that hold mains voltage at the plug's pins after it is pulled, and what discharges
// them.
#pragma once

#include <string>
#include <vector>

#include "blocks/droppers.h"
#include "blocks/mains.h"
#include "circuit/circuit.h"
#include "circuit/domains.h"

namespace etchback::blocks {

struct PlugCapacitor {
    circuit::PartId capacitor;
    bool in_series = false;                 // a dropper; else across the mains
    double total_f = 0.0;                   // with all other capacitors across the same two nodes
    std::vector<std::string> with;          // their names, natural order, this one first
    double start_v = 0.0;                   // crest of the mains
    double bleed_ohm = 0.0;                 // 0: no resistive path found
    std::vector<circuit::PartId> bleeders;  // sorted
    bool through_rectifier =
        false;               // by way of a bridge into resistors on a rail without reservoir
    std::string other_path;  // a winding or a load across the mains discharges it: its part's name

    bool bleeds() const { return bleed_ohm > 0.0 || !other_path.empty(); }
    double tau_s() const { return bleed_ohm * total_f; }
    double after_v(double seconds) const;  // start_v where nothing bleeds it
    double time_to_s(double volts) const;  // 0 where it starts below
};

// In the order of the capacitors' names. A bridge into a reservoir capacitor is no bleed path: it
// discharges the capacitor no further than the reservoir's own voltage.
std::vector<PlugCapacitor> plug_capacitors(const circuit::Circuit& circuit,
                                           const circuit::Domains& domains,
                                           const MainsLines& mains);

// What may remain on a capacitor of `farad` that an ordinary person can touch: IEC 62368-1:2018,
// Table 5 (ES1), between its rows by linear interpolation, from memory. 60 V from 300 nF up.
double es1_charge_limit_v(double farad);

}  // namespace etchback::blocks
