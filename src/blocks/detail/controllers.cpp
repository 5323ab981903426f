// Source of knowledge: a controller's thresholds on its supply.
#include <algorithm>

#include "blocks/detail/knowledge.h"
#include "blocks/kinds.h"
#include "blocks/outputs.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;
using circuit::Part;

// The supply is empty at plug-in and climbs to the start threshold; in use it may lie higher.
void learn_supply_pin(Knowledge& known, const Part& chip, const std::vector<Output>& all) {
    const NetId supply = supply_net(chip);
    const NetId ground = ground_net(chip);
    const auto start = threshold(chip, "start");
    const auto over = threshold(chip, "over_voltage");
    if (!supply.known() || !ground.known() || supply == ground || (!start && !over)) {
        return;
    }
    Level level;
    level.nets = {supply};
    for (const Output& out : all) {
        if (contains(out.plus, supply)) {
            level.nets = out.plus;
        }
    }
    level.high_v = start ? *start : *over;
    level.steady_v = threshold(chip, "stop").value_or(0.0);
    level.because = start ? chip.name + " starts when its supply reaches " + volts(*start) +
                                "; before that it is empty"
                          : chip.name + " stops when its supply reaches " + volts(*over);
    level.formula = start ? "U = Ustart" : "U = Uover-voltage";
    level.worked = "U";
    level.source = "the controller's thresholds";
    level.assumed = thresholds_doubtful(chip);
    level.evidence = {evidence_of(chip, "thresholds")};
    level.parts = {chip.name};
    if (start && over && *over > *start) {
        level.fault_high_v = *over;
        level.fault_because = "if the feedback opens, " + chip.name + " stops at " + volts(*over);
    }
    if (Frame* frame = known.frame_of(ground);
        frame != nullptr && contains(frame->levels.front().nets, ground)) {
        known.add_level(*frame, std::move(level));
    } else if (frame == nullptr && known.frame_of(supply) == nullptr) {
        Level zero;
        zero.nets = {ground};
        known.frames.push_back({{zero, std::move(level)}});
    }
}

}  // namespace

void learn_controllers(Knowledge& known) {
    const std::vector<Output> all = outputs(known.circuit);
    for (const Part& part : known.circuit.parts) {
        if (is_controller(part)) {
            learn_supply_pin(known, part, all);
        }
    }
}

}  // namespace etchback::blocks::detail
