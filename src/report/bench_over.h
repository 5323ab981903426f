// What a simulation says to a recorded waveform: the same curve, and the same figures.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "bench/lay_over.h"
#include "bench/record.h"
#include "report/behaviour_view.h"

namespace etchback::report {

// A recorded curve and the simulated one of the same place, laid over each other.
struct Over {
    std::string id;     // "voltage", "current", "light", "switching", "start"
    std::string title;  // "Current over one cycle of the mains"
    base::Unit unit = base::Unit::none;
    bench::LaidOver both;
    std::string words;  // the difference in figures, a sentence
    bool is_cycle = false;
};

// Of the scenario that the record names; none where it was not run or shows no such curve. Light is
// held against the current of the LEDs, both over their means: how light follows current is not
// simulated.
std::vector<Over> overs_of(const bench::Record& record,
                           const Behaviour& behaviour,
                           const dossier::Dossier& dossier);

// The figure of the record's scenario that says the same as one of the record; nothing where there
// is none.
std::optional<double> simulated_value(const base::Figure& figure,
                                      const bench::Record& record,
                                      const Behaviour& behaviour);

}  // namespace etchback::report
