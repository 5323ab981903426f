// Source of knowledge: capacitive droppers. The capacitor sees the mains; the rails behind it are
// held by an LED string or a Zener diode, or by nothing.
#include "blocks/droppers.h"

#include <algorithm>

#include "base/text.h"
#include "blocks/detail/knowledge.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;

void claim_capacitor(Knowledge& known, const Dropper& d) {
    const circuit::Part& part = known.circuit[d.capacitor];
    VoltageBetween v;
    v.from = d.line_end;
    v.to = d.load_end;
    v.working_v_peak = known.mains.high_v_peak;
    v.working_v_rms = known.mains.high_v_rms;
    v.alternating = true;
    v.because = part.name + " stands in series with the mains and takes nearly all of it";
    v.figure.symbol = "U";
    v.figure.value = v.working_v_peak;
    v.figure.unit = base::Unit::volt;
    v.figure.formula = "U = √2 · Umax";
    v.figure.worked =
        "U = 1.414 · " + volts(known.mains.high_v_rms) + " = " + volts(v.working_v_peak);
    v.figure.source = "upper bound: load taken as a short circuit";
    v.figure.parts = {part.name};
    v.figure.assumed = known.mains.voltage_assumed;
    v.figure.evidence = known.mains.evidence;
    v.figure.evidence.push_back(evidence_of(part, "in series with a mains line"));
    known.direct.push_back(std::move(v));
}

void set_normal(Level& rail, const Knowledge& known, const Dropper& d) {
    const double crest = known.mains.high_v_peak;
    if (d.limits.empty()) {
        rail.high_v = rail.steady_v = d.full_wave ? crest : 2.0 * crest;
        rail.bound_only = true;
        rail.because =
            "nothing was found that limits the voltage behind " + known.circuit[d.capacitor].name;
        rail.formula = d.full_wave ? "U = √2 · Umax" : "U = 2 · √2 · Umax";
        rail.worked =
            (d.full_wave ? "U = 1.414 · " : "U = 2 · 1.414 · ") + volts(known.mains.high_v_rms);
        return;
    }
    const Dropper::Limit& limit = d.limits.front();
    const circuit::Part& part = known.circuit[limit.part];
    rail.high_v = rail.steady_v = limit.volts;
    rail.because = part.name + " holds the rail at " + volts(limit.volts);
    rail.formula = limit.is_led ? "U = n · Vf" : "U = Vz";
    rail.worked = "U";
    rail.parts.push_back(part.name);
    rail.evidence.push_back(evidence_of(part, volts(limit.volts)));
    rail.assumed = rail.assumed || is_doubtful(part, {"value", "forward_voltage", "count"});
}

// With the LED string open, only a Zener diode stops the rail; without one it goes to the crest, or
// to twice the crest where a single diode pair makes a doubler of the dropper.
void set_fault(Level& rail, const Knowledge& known, const Dropper& d) {
    if (d.limits.empty() || !d.limits.front().is_led) {
        return;
    }
    const auto zener = std::find_if(
        d.limits.begin(), d.limits.end(), [](const auto& limit) { return !limit.is_led; });
    const std::string& load = known.circuit[d.limits.front().part].name;
    if (zener != d.limits.end()) {
        rail.fault_high_v = zener->volts;
        rail.fault_because = "with " + load + " open, " + known.circuit[zener->part].name +
                             " stops the rail at " + volts(zener->volts);
        return;
    }
    rail.fault_high_v = known.mains.high_v_peak * (d.full_wave ? 1.0 : 2.0);
    rail.fault_because = "with " + load + " open, " + known.circuit[d.capacitor].name +
                         " charges the rail to " + (d.full_wave ? "" : "twice ") +
                         "the crest of the mains, " + volts(*rail.fault_high_v);
}

void add_frame(Knowledge& known, const Dropper& d) {
    Level zero;
    zero.nets = d.minus;
    Level rail;
    rail.nets = d.plus;
    rail.assumed = known.mains.voltage_assumed;
    rail.source = "common practice";
    rail.evidence = known.mains.evidence;
    for (const circuit::PartId id : d.rectifiers) {
        rail.parts.push_back(known.circuit[id].name);
    }
    rail.parts.push_back(known.circuit[d.capacitor].name);
    set_normal(rail, known, d);
    set_fault(rail, known, d);

    const auto line = [&](const std::vector<NetId>& nets) {
        Level level;
        level.nets = nets;
        level.high_v = rail.high_v;
        level.bound_only = rail.bound_only;
        level.fault_high_v = rail.fault_high_v;
        level.fault_because = rail.fault_because;
        level.form = Form::switching;
        level.source = rail.source;
        level.because = rail.because;
        level.evidence = rail.evidence;
        level.parts = rail.parts;
        level.assumed = rail.assumed;
        return level;
    };
    Frame frame;
    frame.levels.push_back(zero);
    frame.levels.push_back(rail);
    for (const auto* nets : {&d.node, &d.back}) {
        if (*nets != d.minus && *nets != d.plus) {
            frame.levels.push_back(line(*nets));
        }
    }
    Level far = line(d.in_live ? known.mains.live : known.mains.neutral);
    far.low_v = -known.mains.high_v_peak;
    far.high_v = known.mains.high_v_peak + rail.high_v;
    far.fault_high_v.reset();
    far.form = Form::sine;
    far.formula = "U = √2 · Umax + Urail";
    far.worked = "U = " + volts(known.mains.high_v_peak) + " + " + volts(rail.high_v);
    far.steady_v = known.mains.high_v_rms;
    far.because = "the mains swings by its crest of " + volts(known.mains.high_v_peak);
    frame.levels.push_back(far);
    known.frames.push_back(std::move(frame));
}

}  // namespace

void learn_droppers(Knowledge& known) {
    for (const Dropper& d : droppers(known.circuit, known.domains, known.mains)) {
        claim_capacitor(known, d);
        add_frame(known, d);
    }
}

}  // namespace etchback::blocks::detail
