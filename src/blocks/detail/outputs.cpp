// Source of knowledge: rectified windings. In normal use the output is what its feedback, its LED
// string or the dossier says; with the feedback or the load open, the controller's over-voltage
// limit times the turns ratio stops it, or nothing does.
#include "blocks/outputs.h"

#include <algorithm>

#include "base/text.h"
#include "blocks/chains.h"
#include "blocks/detail/knowledge.h"
#include "blocks/detail/output_limits.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

void take_normal(Level& level, const Reasoned& r) {
    if (r.volts <= level.high_v) {
        return;
    }
    level.high_v = r.volts;
    level.steady_v = r.nominal;
    level.because = r.because;
    level.formula = r.formula;
    level.worked = r.worked;
    level.source = r.source;
    level.assumed = level.assumed || r.assumed;
    level.parts.insert(level.parts.end(), r.parts.begin(), r.parts.end());
    level.evidence.insert(level.evidence.end(), r.evidence.begin(), r.evidence.end());
}

void take_fault(Level& level, const Reasoned& r) {
    level.fault_high_v = r.volts;
    level.fault_because = r.because;
    level.assumed = level.assumed || r.assumed;
    level.evidence.insert(level.evidence.end(), r.evidence.begin(), r.evidence.end());
}

// An output that feeds LEDs, or a controller of which the dossier says so.
bool constant_current(const Knowledge& known, const Output& out) {
    const auto& parts = known.circuit.parts;
    return !out.led_strings.empty() ||
           std::any_of(parts.begin(), parts.end(), [](const circuit::Part& part) {
               const std::string family = base::lowered(part.said.family.value);
               return is_controller(part) && (family.find("constant current") != family.npos ||
                                              family.find("constant-current") != family.npos);
           });
}

// Two strings of LEDs on one constant current: the lower knee wins, but a bound takes the higher.
void learn_output(Knowledge& known, const Output& out, const std::vector<Output>& all) {
    Level level;
    level.nets = out.plus;
    level.evidence.push_back(evidence_of(
        known.circuit[out.diode],
        "rectifies winding " + out.winding + " of " + known.circuit[out.transformer].name));
    level.parts = {known.circuit[out.transformer].name, known.circuit[out.diode].name};
    std::sort(level.parts.begin(), level.parts.end());
    for (const Reasoned& r : normal_outputs(known, out, all)) {
        take_normal(level, r);
    }
    if (level.high_v <= 0.0) {
        return;
    }
    if (const auto fault = fault_output(known, out, all)) {
        take_fault(level, *fault);
    } else if (constant_current(known, out) && !out.controller && out.flyback &&
               !regulated(known, out)) {
        level.unlimited_on_open_load = true;
        level.fault_because = "with the load open, nothing was found that stops the output";
    }
    if (Frame* frame = known.frame_of(out.minus.front());
        frame != nullptr && contains(frame->levels.front().nets, out.minus.front())) {
        known.add_level(*frame, std::move(level));
        return;
    }
    Level zero;
    zero.nets = out.minus;
    known.frames.push_back({{zero, std::move(level)}});
}

}  // namespace

void learn_outputs(Knowledge& known) {
    const std::vector<Output> all = outputs(known.circuit);
    for (const Output& out : all) {
        if (!out.controller) {
            learn_output(known, out, all);
        }
    }
}

}  // namespace etchback::blocks::detail
