// Capacitive droppers: a capacitor in series with a mains line whose reactance sets the current of
// a small load.
#pragma once

#include <optional>
#include <vector>

#include "blocks/mains.h"
#include "circuit/circuit.h"
#include "circuit/domains.h"

namespace etchback::blocks {

struct Dropper {
    circuit::PartId capacitor;
    bool in_live = true;                // which line it stands in
    circuit::NetId line_end, load_end;  // its two nets
    std::vector<circuit::NetId> node;   // the load's end with what series parts tie to it, sorted
    std::vector<circuit::NetId> back;   // the other line, sorted
    bool full_wave = true;              // a bridge; else one diode to the load, one past it
    std::vector<circuit::NetId> plus, minus;  // the load's rails, sorted
    std::vector<circuit::PartId> rectifiers;

    // What limits the voltage between the rails: LED strings and Zener diodes, the lowest first.
    struct Limit {
        circuit::PartId part;
        double volts = 0.0;
        bool is_led = false;
    };
    std::vector<Limit> limits;

    double capacitance_f = 0.0;
    // Upper bound, the load taken as a short circuit: I = 2·π·f·C·U.
    double current_a_rms = 0.0;
    // Mean current into the load by charge balance (bridge: 4·f·C·(√2·U - Vo - 2·Vf)); absent where
    // the load's voltage is not known.
    std::optional<double> load_current_a;
};

// In the order of the capacitors' names.
std::vector<Dropper> droppers(const circuit::Circuit& circuit,
                              const circuit::Domains& domains,
                              const MainsLines& mains);

}  // namespace etchback::blocks
