// What holds the voltage of a converter's output, in normal use and when its feedback or load
// opens.
#pragma once

#include "blocks/detail/knowledge.h"
#include "blocks/outputs.h"

namespace etchback::blocks::detail {

struct Reasoned {
    double volts = 0.0;  // upper end of its tolerance
    double nominal = 0.0;
    std::string because, formula, worked, source;
    bool assumed = false;
    std::vector<std::string> parts;
    std::vector<base::Evidence> evidence;
};

// All that is known: shunt regulator with divider, Zener diode with optocoupler, LED strings; the
// label's claim where nothing else tells.
std::vector<Reasoned> normal_outputs(const Knowledge& known,
                                     const Output& out,
                                     const std::vector<Output>& all);

// Feedback or load open: the controller's over-voltage limit on its supply or on a divider of the
// auxiliary winding, times the turns ratio. The lower of the two where there are both.
std::optional<Reasoned> fault_output(const Knowledge& known,
                                     const Output& out,
                                     const std::vector<Output>& all);

// A shunt regulator or a Zener diode with an optocoupler holds the voltage: no constant-current
// output.
bool regulated(const Knowledge& known, const Output& out);

}  // namespace etchback::blocks::detail
