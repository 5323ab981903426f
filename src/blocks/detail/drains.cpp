// Source of knowledge: what a converter's switch makes of the bus: the drain, and the clamp beside
// it.
#include <algorithm>

#include "blocks/detail/ac_source.h"
#include "blocks/detail/clamps.h"
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
constexpr const char* allowance_words =
    "common practice: half of the reflected voltage allowed for the leakage spike";

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
        // What counts is plus against minus: a rail whose minus is not the zero of its frame says
        // nothing.
        const bool known_span = frame != nullptr && frame->of(out.minus.front()) != nullptr &&
                                frame->of(out.minus.front()) == &frame->levels.front() &&
                                frame->of(out.plus.front()) != &frame->levels.front();
        if (out.transformer != primary.transformer || out.controller || !known_span || !ratio ||
            !out.flyback) {
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

// How far the drain may rise above the bus, and why.
struct Rise {
    double volts = 0.0;
    std::string because, formula, worked, source;
    std::vector<base::Evidence> evidence;
};

// A suppressor or Zener diode from the drain to the bus, a diode in series with it on either side.
const Part* suppressor_at(const circuit::Circuit& circuit, NetId drain, NetId bus) {
    std::vector<NetId> from = {drain};
    std::vector<NetId> to = {bus};
    for (const Part& part : circuit.parts) {
        const auto p = is_diode(part) ? poles(part) : std::nullopt;
        if (p && p->positive == drain) {
            from.push_back(p->negative);
        }
        if (p && p->negative == bus) {
            to.push_back(p->positive);
        }
    }
    const auto has = [](const std::vector<NetId>& nets, NetId net) {
        return std::find(nets.begin(), nets.end(), net) != nets.end();
    };
    for (const Part& part : circuit.parts) {
        const auto both = is_clamp(part) ? ends(part) : std::nullopt;
        if (both && ((has(from, both->first) && has(to, both->second)) ||
                     (has(from, both->second) && has(to, both->first)))) {
            return &part;
        }
    }
    return nullptr;
}

Rise rise_by_suppressor(const Part& part) {
    Rise rise;
    rise.volts = clamp_v(part);
    rise.because = part.name + " stops it " + volts(rise.volts) + " above the bus";
    rise.formula = is_zener(part) ? "Vz" : "1.4·Vr";
    rise.worked = volts(rise.volts);
    rise.source = is_zener(part) ? "definition"
                                 : "common practice: a suppressor clamps 40 % above its voltage";
    rise.evidence = {evidence_of(part, volts(*part.value()))};
    return rise;
}

Rise rise_by_allowance(const Reflected& r) {
    Rise rise;
    rise.volts = r.volts * (1.0 + spike_allowance);
    rise.because = "the reflected voltage is " + volts(r.volts) + ", and " +
                   volts(spike_allowance * r.volts) + " are allowed for the leakage spike";
    rise.formula = "1.5·Np/Ns·(Uout + Vf)";
    rise.worked = "1.5 · " + r.worked;
    rise.source = allowance_words;
    rise.evidence = {
        {base::Evidence::Kind::assumption, "leakage spike", "half of the reflected voltage", {}}};
    return rise;
}

// A diode from the drain into a capacitor or resistor on the bus: the clamp's own voltage.
void learn_clamp(Knowledge& known, NetId bus, NetId drain, const Rise& rise) {
    for (const Part& part : known.circuit.parts) {
        const auto p = is_diode(part) ? poles(part) : std::nullopt;
        if (!p || p->positive != drain || p->negative == bus ||
            known.has_direct(p->negative, bus)) {
            continue;
        }
        VoltageBetween v;
        v.from = p->negative;
        v.to = bus;
        v.working_v_peak = v.working_v_rms = rise.volts;
        v.because = part.name + " charges the clamp: " + rise.because;
        v.figure.symbol = "U";
        v.figure.value = rise.volts;
        v.figure.unit = base::Unit::volt;
        v.figure.formula = "U = " + rise.formula;
        v.figure.worked = "U = " + rise.worked + " = " + volts(rise.volts);
        v.figure.source = rise.source;
        v.figure.assumed = true;
        v.figure.parts = {part.name};
        v.figure.evidence = rise.evidence;
        v.figure.evidence.push_back(evidence_of(part, "leads into the clamp"));
        known.direct.push_back(std::move(v));
    }
}

// The drain swings between 0 V and the bus plus what the windings and the leakage add.
void learn_drain(Knowledge& known, const WindingEnds& w, const std::vector<Output>& all) {
    const bool dot_is_drain = is_switching_net(known.circuit, w.dot);
    const NetId drain = dot_is_drain ? w.dot : w.end;
    const NetId bus = dot_is_drain ? w.end : w.dot;
    Frame* frame = known.frame_of(bus);
    if (frame == nullptr || frame->of(bus) == &frame->levels.front() ||
        is_switching_net(known.circuit, bus)) {
        return;
    }
    const Part* suppressor = suppressor_at(known.circuit, drain, bus);
    const Reflected r = reflected(known, w, all);
    if (suppressor == nullptr && r.output == nullptr) {
        return;
    }
    const Rise rise =
        suppressor != nullptr ? rise_by_suppressor(*suppressor) : rise_by_allowance(r);
    const Level& rail = *frame->of(bus);
    Level level;
    level.nets = {drain};
    level.high_v = rail.high_v + rise.volts;
    level.form = Form::switching;
    level.because = "the drain rises above the bus: " + rise.because;
    level.formula = "U = Ubus + " + rise.formula;
    level.worked = "U = " + volts(rail.high_v) + " + " + rise.worked;
    level.source = rise.source;
    level.assumed = true;
    level.evidence = rail.evidence;
    level.evidence.push_back(evidence_of(known.circuit[w.transformer], "turns"));
    level.evidence.insert(level.evidence.end(), rise.evidence.begin(), rise.evidence.end());
    level.parts = {known.circuit[w.transformer].name};
    known.add_level(*frame, std::move(level));
    learn_clamp(known, bus, drain, rise);
}

}  // namespace

void learn_drains(Knowledge& known) {
    const std::vector<Output> all = outputs(known.circuit);
    for (std::size_t i = 0; i < known.circuit.parts.size(); ++i) {
        for (const WindingEnds& w : windings_of(known.circuit, PartId{static_cast<int>(i)})) {
            if (is_switching_net(known.circuit, w.dot) || is_switching_net(known.circuit, w.end)) {
                learn_drain(known, w, all);
            }
        }
    }
}

}  // namespace etchback::blocks::detail
