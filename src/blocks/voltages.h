// Voltages that are known at once: from the supply, rectifiers, Zener diodes, LED strings, shunt
// regulators with their dividers, a controller's thresholds and turns ratios, resistor chains
// between known ends. No simulation.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/figure.h"
#include "circuit/circuit.h"
#include "circuit/domains.h"

namespace etchback::blocks {

// The largest voltage between two nets that one reasoned way gives.
struct VoltageBetween {
    circuit::NetId from, to;                    // `from` is the more positive where that is known
    double working_v_peak = 0.0;                // in normal use at the supply's upper limit
    double working_v_rms = 0.0;                 // for AC; equal to the mean for DC
    bool alternating = false;                   // changes sign: mains side of a rectifier
    std::optional<double> single_fault_v_peak;  // higher, if one part fails (feedback open, load
                                                // open), where a known limit stops it
    bool bound_only = false;  // nothing holds it in normal use that we know of: it cannot be more
    bool unlimited_on_open_load = false;  // constant-current output with nothing found to stop it
    std::string because;                  // "BR1 charges C2 to the crest of the mains, 325 V"
    std::string fault_because;  // "with LED1 open, ..."; empty where there is no fault voltage
    base::Figure figure;
};

struct Voltages {
    std::vector<VoltageBetween> known;  // sorted by nets

    // Between two nets in either order; the larger claim where several ways give one.
    const VoltageBetween* between(circuit::NetId a, circuit::NetId b) const;
};

Voltages voltages(const circuit::Circuit& circuit,
                  const circuit::Domains& domains,
                  const dossier::Dossier& dossier);

}  // namespace etchback::blocks
