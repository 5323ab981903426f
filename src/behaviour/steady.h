// The periodic steady state, faster than by waiting for it.
//
// From one period of the mains to the next, the slow voltages (output and supply capacitors,
// regulators) map to new ones; the steady state is where they map to themselves. Waiting applies
// that map again and again. Here the next starting point is mixed from the last few so that the
// remaining change would vanish if the map were linear (D. G. Anderson, "Iterative procedures for
// nonlinear integral equations", J. ACM 12, 1965). Time runs on all the while: machines keep their
// memory, and what is fast settles by itself.
#pragma once

#include <functional>
#include <string>

#include "behaviour/simulation.h"

namespace etchback::behaviour {

struct SteadyOptions {
    double period_s = 0.02;
    int most_periods = 150;
    // Largest change of any slow voltage over a period, relative to itself (never to less than
    // 50 mV), at which the state counts as periodic; must hold twice in a row. Six periods in a
    // row within 1 % that go to and fro without a trend count too: switching that does not keep
    // step with the mains is never still.
    double tolerance = 2e-4;
    int plain_periods = 2;  // run first without mixing
    int memory = 5;         // starting points that are mixed
    bool mix = true;        // false: wait; for proofs and comparisons
};

struct Steady {
    bool found = false;
    int periods = 0;      // simulated
    double change = 0.0;  // of the slow voltage that moved most in the last period
    std::string of;       // its branch
    std::string words;    // a sentence for the report
    Ending ending = Ending::reached;
};

// Goes on from where the simulation stands, and leaves it at the end of the last period. What was
// measured before is gone. A run that breaks off says so in `ending`.
Steady find_steady(Simulation& simulation, const SteadyOptions& options);

}  // namespace etchback::behaviour
