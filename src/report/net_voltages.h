// What an engineer writes at the test points of a circuit: voltages as read, else as simulated.
#pragma once

#include <string>
#include <vector>

#include "circuit/domains.h"
#include "drawing/sheet.h"
#include "report/behaviour_view.h"

namespace etchback::report {

struct NetVoltages {
    std::vector<drawing::NetVoltage> shown;  // readings first
    std::vector<std::string> notes;          // how they are to be read; why none are simulated
};

// The scenario whose voltages are shown, and which must have been run with them
// (SimulateOptions::nets_of).
inline constexpr const char* scenario_of_voltages = "normal";

// A net has the voltage of its note or of a reading against the return of its domain; the live side
// of the mains that of a reading of the supply. Where none is, what the simulation says of normal
// use: the mean; from lowest to highest where it swings; RMS where it alternates. It stands beside
// a reading, too, where they differ by more than the reading's uncertainty and `models_good_for`.
// `behaviour` may be null: then nothing is simulated and nothing is said of it. A run that failed
// or is in doubt shows nothing, and a note says so.
NetVoltages net_voltages(const dossier::Dossier& dossier,
                         const std::vector<dossier::Reading>& readings,
                         const circuit::Circuit& circuit,
                         const circuit::Domains& domains,
                         const Behaviour* behaviour);

// "12.1 V"; "0 … 358 V" where it swings by more than half of its peak; "230 V~" for a sine round 0.
std::string in_words(const behaviour::NetFigure& net);

// Share of a DC voltage that models with nominal values leave open; common practice.
inline constexpr double models_good_for = 0.02;

}  // namespace etchback::report
