// Runs a circuit until nothing changes any more from one period of the supply to the next.
#pragma once

#include <string>

#include "behaviour/detail/scenario_stretch.h"

namespace etchback::behaviour::detail {

struct Settling {
    Ending ending = Ending::reached;
    bool steady = false;
    std::string words;  // how it ended, and how far the last two periods differ
    // Between these instants the steady state was searched for by moving voltages (steady.h): what
    // the story tells from there never happened in a circuit left to itself. Equal: nowhere.
    double searched_from_s = 0.0, searched_to_s = 0.0;
};

// Goes on by whole periods from where the simulation stands, at most to `until_s`. At first it only
// waits: a start must be gone through. What is compared are means and RMS values over whole
// periods, since an instant's values depend on where in its own cycle a converter happens to be.
// From the last changes and how fast they die away follows how far the end still is: where that is
// less than `tolerance` of each quantity, it has settled; where it is near, the rest of the way is
// taken by find_steady(). The books of `run` leave that search out.
Settling settle(StretchedRun& run,
                const Model& model,
                double period_s,
                double until_s,
                double tolerance = 1e-3);

// A period of the supply; of a direct supply 10 ms, which is some cycles of any converter.
double period_of(const Terminals& terminals);

}  // namespace etchback::behaviour::detail
