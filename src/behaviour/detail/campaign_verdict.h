// What a fault does, told by holding the circuit with it against the healthy one.
#pragma once

#include <string>
#include <vector>

#include "behaviour/scenario.h"

namespace etchback::behaviour::detail {

// What one looks at, over the same span in both.
struct Look {
    struct Load {
        std::string part;
        double volts = 0.0, amps = 0.0;  // means
        double rms_amps = 0.0;
        bool operator==(const Load&) const = default;
    };
    std::vector<Load> loads;
    std::vector<double> notable;  // means of what else is worth a look: the controller's supply ...
    double supply_a_rms = 0.0;
    std::vector<StressRow> exceeded;  // ratings passed
    std::vector<StoryLine> story;     // since the fault
    std::string gave_up;              // why the engine could not go on; empty: it went on
};

struct Verdict {
    std::string verdict;  // one of those below
    std::string words;    // a sentence or more: everything that was noticed
    bool operator==(const Verdict&) const = default;
};

// In the order of their weight, the first that holds is the verdict:
// - "not simulated": the engine gave up
// - "fuse opens": a fuse or a fusible resistor melts
// - "supply shorted": ten times the healthy supply current, and nothing opens
// - "over-stress": a part bears more than its rating and did not before, or clearly more than
// before
// - "restarts": a controller starts anew, and the output is not what it was
// - "output lost": every load that had power has less than a twentieth of it
// - "output changed": a load's voltage, current or RMS current changed by a twentieth or more
// - "no change"
Verdict judge(const Look& healthy, const Look& faulty);

}  // namespace etchback::behaviour::detail
