// From the circuit of a dossier to a network: every part becomes elements and machines.
//
// Where the dossier does not give a parameter that a model needs (junction capacitance, slope of a
// diode, series resistance of a capacitor), the value comes from data/behaviour/*.toml by
// registered type, body or kind, and is listed as assumed with its range.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/quantity.h"
#include "behaviour/machine.h"
#include "behaviour/network.h"
#include "circuit/circuit.h"
#include "dossier/dossier.h"
#include "parts/types.h"

namespace etchback::behaviour {

// One parameter of a model that the dossier does not give.
struct Assumed {
    std::string part;       // "D3"
    std::string parameter;  // "junction capacitance"
    base::Quantity value;   // with its range
    std::string source;     // "common practice", a handbook ...
    bool operator==(const Assumed&) const = default;
};

// A parameter that tolerances and campaigns vary: "R9.value", "C8.value", "T1.leakage".
struct Parameter {
    std::string part;
    std::string name;
    double nominal = 0.0;
    double low = 0.0, high = 0.0;  // from tolerance, or from an assumed range
    base::Unit unit = base::Unit::none;
    bool assumed = false;
};

// One limit of a part and the probe that is held against it.
struct Limit {
    enum class Kind { peak_voltage, mean_current, rms_current, peak_current, power };
    std::string part;
    Kind kind = Kind::peak_voltage;
    std::optional<ProbeId> probe;  // of voltage or current; power is booked by owner
    std::optional<OwnerId> owner;
    std::optional<double> rating;  // none: shown without judgement
    bool rating_assumed = false;
    std::string basis;  // "marking", "1206: usually 0.25 W"
};

// Handles on what figures and scenarios speak of.
struct Terminals {
    std::vector<BranchId> mains;       // the supply's source; empty where there is none
    std::optional<KnobId> mains_peak;  // the amplitude of the mains; dips turn it
    double mains_hz = 0.0;             // 0 for a direct supply
    std::optional<ProbeId> mains_v, mains_a;
    struct Load {
        std::string part;     // "LED1", "M1", or "J2" for an open connector
        ProbeId volts, amps;  // across and through
        SwitchId series;      // opens the load
        SwitchId across;      // shorts it
        OwnerId owner;
    };
    std::vector<Load> loads;
    struct Watched {
        std::string name;  // net or part
        ProbeId volts;
    };
    std::vector<Watched> buses;     // nets behind a bridge
    std::vector<Watched> switches;  // transistors that a controller drives, across their ends
};

// Single faults and bridges are put in by switches or replaced elements; see campaign.h.
struct Fault {
    enum class Kind { open, shorted, bridged };
    Kind kind = Kind::open;
    std::string part;
    std::string pin, other_pin;  // open: that pin, or all of a two-pin part; bridged: both
    std::string id() const;      // "R9 open", "U1.CS-U1.DRV bridged"
    bool operator==(const Fault&) const = default;
};

struct ModelOptions {
    std::optional<double> supply_v_rms;  // or volts of a direct supply; else the nominal one
    std::optional<double> supply_hz;
    double supply_phase_rad = 0.0;  // at t = 0
    std::vector<Fault> faults;
    // Faults that are built in but asleep, each as a switch (some milliohms closed, some 1e-11 S
    // open), so that a campaign puts one in while the circuit runs. Model::dormant has them.
    std::vector<Fault> dormant;
    std::map<std::string, double> values;  // parameter ("R9.value") -> value that replaces it
};

struct Model {
    struct Dormant {
        SwitchId id;
        bool faulty = true;  // position in which the fault is there: closed (true) or open
    };
    Network network;
    std::vector<std::unique_ptr<Machine>> machines;
    std::map<std::string, ProbeId> net_volts;  // by net name, against the return of its domain
    std::map<std::string, ProbeId> part_amps;  // two-pin parts: current from the first pin
    std::map<std::string, OwnerId> owners;     // by part
    Terminals terminals;
    std::vector<Limit> limits;
    std::vector<Assumed> assumed;
    std::vector<Parameter> parameters;
    std::vector<Dormant> dormant;       // as in ModelOptions::dormant
    std::vector<std::string> left_out;  // "K1: relays are not simulated; taken as open"
    std::vector<ProbeId> notable;  // worth plotting: switch node, bus, output, controller supply
};

// Tables under data/behaviour and data/controllers, read once.
struct Tables;
base::Result<std::shared_ptr<const Tables>> load_tables(const std::filesystem::path& data_folder);

// Fails with sentences: no supply, a controller of an unknown family without thresholds, a value
// that a model cannot do without.
base::Result<Model> model_of(const circuit::Circuit& circuit,
                             const dossier::Dossier& dossier,
                             const std::vector<parts::RegisteredType>& types,
                             const Tables& tables,
                             const ModelOptions& options = {});

// Every single fault of the circuit, in the order of parts and pins: each part open and shorted,
// each pair of neighbouring pins of a part with more than two bridged.
std::vector<Fault> single_faults(const circuit::Circuit& circuit);

}  // namespace etchback::behaviour
