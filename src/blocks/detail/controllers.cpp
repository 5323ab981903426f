// Source of knowledge: a controller's thresholds and what its switch makes of the bus.
#include <algorithm>

#include "blocks/detail/ac_source.h"
#include "blocks/detail/knowledge.h"
#include "blocks/kinds.h"
#include "blocks/outputs.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;
using circuit::Part;
using circuit::PartId;

// The leakage inductance lifts the drain above the plateau by about half of the reflected voltage
// where a clamp is well made: an allowance from common practice, not a limit.
constexpr double spike_allowance = 0.5;

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
    level.assumed = is_doubtful(chip, {"thresholds"});
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

// The voltage that the outputs throw back on the primary winding; the largest.
struct Reflected {
    double volts = 0.0;
    std::string worked;
    const Output* output = nullptr;
};

Reflected reflected(const Knowledge& known,
                    const WindingEnds& primary,
                    const std::vector<Output>& all) {
    Reflected best;
    for (const Output& out : all) {
        const Frame* frame = known.frame_of(out.plus.front());
        const auto ratio =
            blocks::turns_ratio(known.circuit, primary.transformer, primary.name, out.winding);
        if (out.transformer != primary.transformer || out.controller || frame == nullptr ||
            !ratio || !out.flyback) {
            continue;
        }
        const double v = *ratio * (frame->of(out.plus.front())->high_v + out.diode_drop_v);
        if (v > best.volts) {
            best = {v,
                    base::to_engineering(*ratio, base::Unit::none, {.digits = 3}) + " · (" +
                        volts(frame->of(out.plus.front())->high_v) + " + " +
                        volts(out.diode_drop_v) + ")",
                    &out};
        }
    }
    return best;
}

// A diode from the drain into a capacitor on the bus: the clamp's own voltage.
void learn_clamp(Knowledge& known, NetId bus, NetId drain, const Reflected& r, double clamp_v) {
    for (const Part& part : known.circuit.parts) {
        const auto p = is_diode(part) ? poles(part) : std::nullopt;
        if (!p || p->positive != drain || p->negative == bus) {
            continue;
        }
        for (const Part& other : known.circuit.parts) {
            const auto both =
                is_capacitor(other) || is_resistor(other) ? ends(other) : std::nullopt;
            const bool on = both && (both->first == p->negative || both->second == p->negative);
            const NetId far =
                on ? (both->first == p->negative ? both->second : both->first) : NetId{};
            if (!on || far != bus || known.has_direct(p->negative, bus)) {
                continue;
            }
            VoltageBetween v;
            v.from = p->negative;
            v.to = bus;
            v.working_v_peak = clamp_v;
            v.working_v_rms = clamp_v;
            v.because =
                part.name +
                " charges the clamp to the reflected voltage and the leakage spike, about " +
                volts(clamp_v);
            v.figure.symbol = "U";
            v.figure.value = clamp_v;
            v.figure.unit = base::Unit::volt;
            v.figure.formula = "U = 1.5·Np/Ns·(Uout + Vf)";
            v.figure.worked = "U = 1.5 · " + r.worked + " = " + volts(clamp_v);
            v.figure.source =
                "common practice: half of the reflected voltage allowed for the leakage spike";
            v.figure.assumed = true;
            v.figure.parts = {part.name, other.name};
            v.figure.evidence = {evidence_of(part, "clamp"),
                                 {base::Evidence::Kind::assumption,
                                  "leakage spike",
                                  "half of the reflected voltage",
                                  {}}};
            known.direct.push_back(std::move(v));
        }
    }
}

// The drain swings between 0 V and the bus plus the reflected voltage plus the spike.
void learn_drain(Knowledge& known, const WindingEnds& w, const std::vector<Output>& all) {
    const bool dot_is_drain = is_switching_net(known.circuit, w.dot);
    const NetId drain = dot_is_drain ? w.dot : w.end;
    const NetId bus = dot_is_drain ? w.end : w.dot;
    Frame* frame = known.frame_of(bus);
    if (frame == nullptr || frame->of(bus) == &frame->levels.front() ||
        is_switching_net(known.circuit, bus)) {
        return;
    }
    const Reflected r = reflected(known, w, all);
    if (r.output == nullptr) {
        return;
    }
    const Level& rail = *frame->of(bus);
    const double spike = spike_allowance * r.volts;
    Level level;
    level.nets = {drain};
    level.high_v = rail.high_v + r.volts + spike;
    level.form = Form::switching;
    level.because = "the drain rises above the bus by the reflected voltage " + volts(r.volts) +
                    " and an allowance of " + volts(spike) + " for the leakage spike";
    level.formula = "U = Ubus + Np/Ns·(Uout + Vf) + Uspike";
    level.worked = "U = " + volts(rail.high_v) + " + " + r.worked + " + " + volts(spike);
    level.source = "common practice: half of the reflected voltage allowed for the leakage spike";
    level.assumed = true;
    level.evidence = rail.evidence;
    level.evidence.push_back(evidence_of(known.circuit[w.transformer], "turns"));
    level.evidence.push_back(
        {base::Evidence::Kind::assumption, "leakage spike", "half of the reflected voltage", {}});
    level.parts = {known.circuit[w.transformer].name};
    known.add_level(*frame, std::move(level));
    learn_clamp(known, bus, drain, r, r.volts + spike);
}

}  // namespace

void learn_controllers(Knowledge& known) {
    const std::vector<Output> all = outputs(known.circuit);
    for (const Part& part : known.circuit.parts) {
        if (is_controller(part)) {
            learn_supply_pin(known, part, all);
        }
    }
    for (std::size_t i = 0; i < known.circuit.parts.size(); ++i) {
        for (const WindingEnds& w : windings_of(known.circuit, PartId{static_cast<int>(i)})) {
            if (is_switching_net(known.circuit, w.dot) || is_switching_net(known.circuit, w.end)) {
                learn_drain(known, w, all);
            }
        }
    }
}

}  // namespace etchback::blocks::detail
