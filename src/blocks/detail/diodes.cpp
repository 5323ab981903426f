// Sources of knowledge: Zener diodes and suppressors hold a voltage down, LED strings hold their
// knee, linear regulators give theirs.
#include <algorithm>

#include "blocks/detail/ac_source.h"
#include "blocks/detail/clamps.h"
#include "blocks/detail/knowledge.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;
using circuit::Part;

// A clamp between a rail and the reference of its frame keeps what would otherwise go higher.
void clamp(Level& rail, const Part& part, double limit_v) {
    const std::string words = part.name + " holds it at " + volts(limit_v);
    if (rail.high_v > limit_v && is_zener(part)) {
        rail.high_v = limit_v;
        rail.steady_v = std::min(rail.steady_v, limit_v);
        rail.because = words;
        rail.formula = "U = Vz";
        rail.worked = "U";
        rail.evidence.push_back(evidence_of(part, volts(limit_v)));
        rail.parts.push_back(part.name);
    }
    const bool open_ended =
        rail.unlimited_on_open_load || rail.fault_high_v.value_or(0.0) > limit_v;
    if (open_ended) {
        rail.unlimited_on_open_load = false;
        rail.fault_high_v = std::max(limit_v, rail.high_v);
        rail.fault_because = "with the feedback or the load open, " + words;
        rail.evidence.push_back(evidence_of(part, volts(limit_v)));
    }
}

void learn_clamp(Knowledge& known, const Part& part) {
    const auto p = poles(part);
    if (!p) {
        return;
    }
    const NetId high = p->negative;  // the cathode
    const NetId low = p->positive;
    for (Frame& frame : known.frames) {
        if (!contains(frame.levels.front().nets, low)) {
            continue;
        }
        for (std::size_t i = 1; i < frame.levels.size(); ++i) {
            if (contains(frame.levels[i].nets, high)) {
                clamp(frame.levels[i], part, clamp_v(part));
                return;
            }
        }
        if (is_zener(part) && known.frame_of(high) == nullptr) {
            Level level;
            level.nets = {high};
            level.high_v = clamp_v(part);
            if (reservoir(known.circuit, level.nets, frame.levels.front().nets) != nullptr) {
                level.steady_v = level.high_v;
            } else {
                level.form = Form::switching;  // its course in time is not known
            }
            level.because = part.name + " holds it at " + volts(level.high_v) + " at most";
            level.formula = "U = Vz";
            level.worked = "U";
            level.source = "definition";
            level.assumed = is_doubtful(part, {"value"});
            level.evidence = {evidence_of(part, volts(level.high_v))};
            level.parts = {part.name};
            frame.levels.push_back(std::move(level));
            return;
        }
    }
}

// A string fed from a rail through a current regulator: its own knee lies across it; a capacitor
// beside it charges to the rail when it opens.
void learn_led_string(Knowledge& known, const Part& part) {
    const auto p = poles(part);
    const auto knee = led_knee_v(part);
    if (!p || !knee || known.between(p->positive, p->negative)) {
        return;
    }
    VoltageBetween v;
    v.from = p->positive;
    v.to = p->negative;
    v.working_v_peak = v.working_v_rms = *knee;
    v.because = "the LED string " + part.name + " holds its knee of " + volts(*knee);
    v.figure.symbol = "U";
    v.figure.value = *knee;
    v.figure.unit = base::Unit::volt;
    v.figure.formula = "U = n·Vf";
    v.figure.worked = "U = " + volts(*knee);
    v.figure.source = "definition";
    v.figure.assumed = is_doubtful(part, {"count", "forward_voltage", "value", "properties"});
    v.figure.parts = {part.name};
    v.figure.evidence = {evidence_of(part, "knee " + volts(*knee))};
    for (const NetId end : {p->positive, p->negative}) {
        const Frame* frame = known.frame_of(end);
        const Level* level = frame != nullptr ? frame->of(end) : nullptr;
        if (frame == nullptr) {
            continue;
        }
        const double rail =
            std::max(level->high_v, frame->levels.size() > 1 ? frame->levels[1].high_v : 0.0);
        if (rail > v.single_fault_v_peak.value_or(*knee)) {
            v.single_fault_v_peak = rail;
        }
    }
    if (v.single_fault_v_peak) {
        v.fault_because = "with the string open, its rail of " + volts(*v.single_fault_v_peak) +
                          " is the only limit found";
    }
    known.direct.push_back(std::move(v));
}

void learn_regulator(Knowledge& known, const Part& part) {
    const NetId out = part.net("output");
    const NetId ground = part.net("ground");
    if (!out.known() || !ground.known() || !part.value() ||
        part.kind.value_unit != base::Unit::volt) {
        return;
    }
    Level level;
    level.nets = {out};
    level.high_v = level.steady_v = *part.value();
    level.because = "the regulator " + part.name + " gives " + volts(level.high_v);
    level.formula = "U = Ureg";
    level.worked = "U";
    level.source = "definition";
    level.assumed = is_doubtful(part, {"value", "type"});
    level.evidence = {evidence_of(part, volts(level.high_v))};
    level.parts = {part.name};
    if (Frame* frame = known.frame_of(ground);
        frame != nullptr && contains(frame->levels.front().nets, ground)) {
        known.add_level(*frame, std::move(level));
    } else if (frame == nullptr && known.frame_of(out) == nullptr) {
        Level zero;
        zero.nets = {ground};
        known.frames.push_back({{zero, std::move(level)}});
    }
}

}  // namespace

bool is_clamp(const Part& part) {
    return (is_zener(part) || part.kind.id == "tvs_diode" ||
            part.kind.id == "bidirectional_tvs_diode") &&
           part.value().value_or(0.0) > 0.0;
}

double clamp_v(const Part& part) {
    if (is_zener(part)) {
        return *part.value();
    }
    return property(part, "clamping_voltage").value_or(1.4 * *part.value());
}

void learn_diodes(Knowledge& known) {
    for (const Part& part : known.circuit.parts) {
        if (is_clamp(part)) {
            learn_clamp(known, part);
        } else if (is_led_string(part)) {
            learn_led_string(known, part);
        } else if (is_linear_regulator(part)) {
            learn_regulator(known, part);
        }
    }
}

}  // namespace etchback::blocks::detail
