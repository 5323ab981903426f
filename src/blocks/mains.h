// The two lines that feed a mains-powered board, each with every net that series parts (fuse, NTC,
// choke, low-ohm resistor ...) tie to it, and the upper limit of the supply.
#pragma once

#include <optional>
#include <vector>

#include "base/figure.h"
#include "circuit/circuit.h"

namespace etchback::blocks {

struct MainsLines {
    std::vector<circuit::NetId> live;     // sorted; the terminal's net and what is tied to it
    std::vector<circuit::NetId> neutral;  // sorted; the same for the other line
    std::vector<circuit::NetId> earth;    // sorted
    std::vector<circuit::NetId> live_terminals, neutral_terminals;
    std::vector<circuit::PartId> series;  // parts that tie nets to a line, sorted
    double high_v_rms = 0.0;              // upper limit of the supply
    double high_v_peak = 0.0;
    double low_hz = 50.0;
    double high_hz = 50.0;
    bool voltage_assumed = false;  // the dossier states none: 230 V + 10 % (IEC 60038)
    bool frequency_assumed = false;
    std::vector<base::Evidence> evidence;

    bool found() const { return !live.empty() && !neutral.empty(); }
    bool on_live(circuit::NetId net) const;
    bool on_neutral(circuit::NetId net) const;
    bool on_line(circuit::NetId net) const { return on_live(net) || on_neutral(net); }
    // Do the two nets lie on different lines?
    bool across(circuit::NetId a, circuit::NetId b) const;
};

// The supply's upper limit and what says so: what the dossier states, or what the item is claimed
// to take where that is more or nothing is stated. What its label allows, somebody will plug it
// into.
struct SupplyLimit {
    double volts = 0.0;  // RMS for AC
    base::Evidence evidence;
};
std::optional<SupplyLimit> supply_limit(const dossier::Dossier& dossier);

// Empty lines where the supply is DC or no net is known to be live and neutral. A part that would
// tie the two lines together is a load across them and ties nothing.
MainsLines mains_lines(const circuit::Circuit& circuit, const dossier::Dossier& dossier);

// All nets tied to `seeds` through series parts, `seeds` included, sorted. Goes neither into nets
// of `stop` nor into a switching net (a drain).
std::vector<circuit::NetId> tied(const circuit::Circuit& circuit,
                                 std::vector<circuit::NetId> seeds,
                                 double most_ohm,
                                 const std::vector<circuit::NetId>& stop = {});

// A resistor of at most this many ohms in a mains line counts as series part, not as load.
constexpr double most_series_ohm = 1000.0;
// The same behind a rectifier.
constexpr double most_bus_ohm = 100.0;

// Both together, sorted, each once.
std::vector<circuit::NetId> united(std::vector<circuit::NetId> a,
                                   const std::vector<circuit::NetId>& b);

bool contains(const std::vector<circuit::NetId>& sorted, circuit::NetId net);

}  // namespace etchback::blocks
