// Source of knowledge: rectifiers on an AC source. With a reservoir or without, the crest is
// reached.
#include <algorithm>
#include <numbers>

#include "base/text.h"
#include "blocks/detail/ac_source.h"
#include "blocks/droppers.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;
using Nets = std::vector<NetId>;

// Diodes by what they do to the two lines of a source.
struct Rectifier {
    Nets plus_from_a, plus_from_b;    // cathodes' nets of diodes whose anode is on line a, b
    Nets minus_from_a, minus_from_b;  // anodes' nets of diodes whose cathode is on line a, b
    std::vector<std::string> parts;
    std::vector<base::Evidence> evidence;
};

void add_bridge(Rectifier& r, const circuit::Part& part, const AcSource& source) {
    const NetId ac1 = part.net("~1");
    const NetId ac2 = part.net("~2");
    const bool straight = contains(source.a, ac1) && contains(source.b, ac2);
    const bool crossed = contains(source.b, ac1) && contains(source.a, ac2);
    if ((!straight && !crossed) || !part.net("+").known() || !part.net("-").known()) {
        return;
    }
    r.plus_from_a.push_back(part.net("+"));
    r.plus_from_b.push_back(part.net("+"));
    r.minus_from_a.push_back(part.net("-"));
    r.minus_from_b.push_back(part.net("-"));
    r.parts.push_back(part.name);
    r.evidence.push_back(evidence_of(part, "rectifies " + source.name));
}

void add_diode(Rectifier& r, const circuit::Part& part, const AcSource& source) {
    const auto p = poles(part);
    if (!p || (contains(source.a, p->positive) && contains(source.b, p->negative)) ||
        (contains(source.b, p->positive) && contains(source.a, p->negative))) {
        return;
    }
    const std::size_t before =
        r.plus_from_a.size() + r.plus_from_b.size() + r.minus_from_a.size() + r.minus_from_b.size();
    if (contains(source.a, p->positive)) {
        r.plus_from_a.push_back(p->negative);
    } else if (contains(source.b, p->positive)) {
        r.plus_from_b.push_back(p->negative);
    }
    if (contains(source.a, p->negative)) {
        r.minus_from_a.push_back(p->positive);
    } else if (contains(source.b, p->negative)) {
        r.minus_from_b.push_back(p->positive);
    }
    if (r.plus_from_a.size() + r.plus_from_b.size() + r.minus_from_a.size() +
            r.minus_from_b.size() >
        before) {
        r.parts.push_back(part.name);
        r.evidence.push_back(evidence_of(part, "rectifies " + source.name));
    }
}

// Diodes behind a dropper rectify its current, not the mains' voltage.
std::vector<circuit::PartId> behind_droppers(const Knowledge& known) {
    std::vector<circuit::PartId> parts;
    for (const Dropper& d : droppers(known.circuit, known.domains, known.mains)) {
        parts.insert(parts.end(), d.rectifiers.begin(), d.rectifiers.end());
    }
    return parts;
}

Rectifier rectifier_on(const Knowledge& known, const AcSource& source) {
    Rectifier r;
    const auto passed_over = behind_droppers(known);
    for (std::size_t i = 0; i < known.circuit.parts.size(); ++i) {
        const circuit::Part& part = known.circuit.parts[i];
        const circuit::PartId id{static_cast<int>(i)};
        if (std::find(passed_over.begin(), passed_over.end(), id) != passed_over.end()) {
            continue;
        }
        if (is_bridge(part)) {
            add_bridge(r, part, source);
        } else if (is_diode(part)) {
            add_diode(r, part, source);
        }
    }
    return r;
}

Level level_from(const AcSource& source, const Rectifier& r, Nets nets) {
    Level level;
    level.nets = std::move(nets);
    level.assumed = source.assumed;
    level.parts = r.parts;
    level.parts.insert(level.parts.end(), source.parts.begin(), source.parts.end());
    level.evidence = source.evidence;
    level.evidence.insert(level.evidence.end(), r.evidence.begin(), r.evidence.end());
    level.source = "common practice: diode drops neglected";
    return level;
}

// Level of a line against the negative rail of a full bridge: half-waves.
Level line_level(const AcSource& source, const Rectifier& r, const Nets& nets) {
    Level level = level_from(source, r, nets);
    level.high_v = source.peak_v;
    level.steady_v = source.peak_v / 2.0;
    level.form = Form::half_wave;
    level.because = "each line of " + source.name + " swings to its crest of " +
                    volts(source.peak_v) + " above the negative rail";
    level.formula = "U = √2 · Umax";
    level.worked = "U = 1.414 · " + volts(source.rms_v);
    return level;
}

struct Rail {
    double times = 1.0;  // crests above the reference
    bool full_wave = true;
    const circuit::Part* reservoir = nullptr;
    const circuit::Part* other = nullptr;  // of a doubler: the lower of its two reservoirs
};

Level rail_level(const AcSource& source, const Rectifier& r, Nets nets, const Rail& rail) {
    Level level = level_from(source, r, std::move(nets));
    const double peak = source.peak_v * rail.times;
    level.high_v = peak;
    level.formula = rail.times > 1.0 ? "U = 2 · √2 · Umax" : "U = √2 · Umax";
    level.worked = (rail.times > 1.0 ? "U = 2 · 1.414 · " : "U = 1.414 · ") + volts(source.rms_v);
    const std::string by = base::listed(r.parts);
    const std::string verb = r.parts.size() > 1 ? " charge " : " charges ";
    if (rail.times > 1.0) {
        level.steady_v = peak;
        level.because = by + verb + rail.reservoir->name + " and " + rail.other->name +
                        " one after the other, together to twice the crest of " + source.name +
                        ", " + volts(peak);
        level.parts.push_back(rail.reservoir->name);
        level.parts.push_back(rail.other->name);
    } else if (rail.reservoir != nullptr) {
        level.steady_v = peak;
        level.because = by + verb + rail.reservoir->name + " to the crest of " + source.name +
                        ", " + volts(peak);
        level.parts.push_back(rail.reservoir->name);
    } else {
        level.steady_v = rail.full_wave ? source.rms_v * rail.times : peak / 2.0;
        level.form = rail.full_wave ? Form::full_wave : Form::half_wave;
        level.because = "the rectified wave of " + source.name + " reaches its crest of " +
                        volts(peak) + " although no large capacitor holds it";
    }
    return level;
}

NetId shared(const Nets& a, const Nets& b) {
    for (const NetId net : a) {
        if (std::find(b.begin(), b.end(), net) != b.end()) {
            return net;
        }
    }
    return {};
}

bool fits(const Knowledge& known, const Nets& reference) {
    return std::none_of(known.frames.begin(), known.frames.end(), [&](const Frame& f) {
        return f.levels.front().nets == reference;
    });
}

void full_bridge(Knowledge& known, const AcSource& s, const Rectifier& r, NetId plus, NetId minus) {
    Nets line_nets = s.a;
    line_nets.insert(line_nets.end(), s.b.begin(), s.b.end());
    std::sort(line_nets.begin(), line_nets.end());
    Level low;
    low.nets = tied(known.circuit, {minus}, most_bus_ohm, line_nets);
    Nets stop = line_nets;
    stop.insert(stop.end(), low.nets.begin(), low.nets.end());
    std::sort(stop.begin(), stop.end());
    const Nets high = tied(known.circuit, {plus}, most_bus_ohm, stop);
    if (!fits(known, low.nets)) {
        return;
    }
    Frame frame;
    const circuit::Part* store = reservoir(known.circuit, high, low.nets);
    frame.levels.push_back(low);
    frame.levels.push_back(rail_level(s, r, high, {1.0, true, store}));
    frame.levels.push_back(line_level(s, r, s.a));
    frame.levels.push_back(line_level(s, r, s.b));
    known.frames.push_back(std::move(frame));
}

// One line is the return; the rail lies a crest above it. The frame of the source has it already.
void half_wave(Knowledge& known,
               const AcSource& s,
               const Rectifier& r,
               const Nets& line,
               const Nets& back,
               NetId plus) {
    Nets stop = line;
    stop.insert(stop.end(), back.begin(), back.end());
    std::sort(stop.begin(), stop.end());
    const Nets high = tied(known.circuit, {plus}, most_bus_ohm, stop);
    Level zero;
    zero.nets = back;
    Level wave = level_from(s, r, line);
    wave.low_v = -s.peak_v;
    wave.high_v = s.peak_v;
    wave.steady_v = s.rms_v;
    wave.form = Form::sine;
    wave.because = s.name + " swings by its crest of " + volts(s.peak_v) + " to either side";
    wave.formula = "U = √2 · Umax";
    wave.worked = "U = 1.414 · " + volts(s.rms_v);
    const Level rail = rail_level(s, r, high, {1.0, false, reservoir(known.circuit, high, back)});
    for (Frame& frame : known.frames) {
        if (frame.levels.front().nets == back) {
            known.add_level(frame, rail);
            return;
        }
    }
    known.frames.push_back({{zero, rail, wave}});
}

void claim_one_crest(Knowledge& known, const Level& level, const Nets& upper, const Nets& lower) {
    for (const NetId from : upper) {
        for (const NetId to : lower) {
            VoltageBetween v;
            v.from = from;
            v.to = to;
            v.working_v_peak = v.working_v_rms = level.high_v;
            v.because = level.because;
            v.figure.symbol = "U";
            v.figure.value = level.high_v;
            v.figure.unit = base::Unit::volt;
            v.figure.formula = level.formula;
            v.figure.worked = level.worked + " = " + volts(level.high_v);
            v.figure.source = level.source;
            v.figure.assumed = level.assumed;
            v.figure.parts = level.parts;
            v.figure.evidence = level.evidence;
            known.direct.push_back(std::move(v));
        }
    }
}

// Diodes of both directions on one line, the other line between two capacitors.
void doubler(Knowledge& known,
             const AcSource& s,
             const Rectifier& r,
             const Nets& line,
             const Nets& middle,
             NetId plus,
             NetId minus) {
    Nets stop = s.a;
    stop.insert(stop.end(), s.b.begin(), s.b.end());
    std::sort(stop.begin(), stop.end());
    Level low;
    low.nets = tied(known.circuit, {minus}, most_bus_ohm, stop);
    const Nets high = tied(known.circuit, {plus}, most_bus_ohm, stop);
    const circuit::Part* store = reservoir(known.circuit, high, middle);
    const circuit::Part* low_store = reservoir(known.circuit, middle, low.nets);
    if (store == nullptr || low_store == nullptr || !fits(known, low.nets)) {
        return;
    }
    Level wave = line_level(s, r, line);
    wave.high_v = 2.0 * s.peak_v;
    Frame frame;
    frame.levels = {low,
                    rail_level(s, r, high, {2.0, true, store, low_store}),
                    rail_level(s, r, middle, {1.0, true, low_store}),
                    wave};
    // The two capacitors charge one after the other: neither ever sees both crests.
    claim_one_crest(known, rail_level(s, r, high, {1.0, true, store}), high, middle);
    claim_one_crest(known, frame.levels[2], middle, low.nets);
    known.frames.push_back(std::move(frame));
}

void learn_one(Knowledge& known, const AcSource& s) {
    const Rectifier r = rectifier_on(known, s);
    const NetId plus = shared(r.plus_from_a, r.plus_from_b);
    const NetId minus = shared(r.minus_from_a, r.minus_from_b);
    if (plus.known() && minus.known()) {
        full_bridge(known, s, r, plus, minus);
        return;
    }
    for (const bool from_a : {true, false}) {
        const Nets& up = from_a ? r.plus_from_a : r.plus_from_b;
        const Nets& down = from_a ? r.minus_from_a : r.minus_from_b;
        const Nets& line = from_a ? s.a : s.b;
        const Nets& other = from_a ? s.b : s.a;
        if (!up.empty() && !down.empty()) {
            doubler(known, s, r, line, other, up.front(), down.front());
        } else if (!up.empty()) {
            half_wave(known, s, r, line, other, up.front());
        }
    }
}

}  // namespace

void learn_rectifiers(Knowledge& known) {
    for (const AcSource& source : ac_sources(known)) {
        learn_one(known, source);
    }
}

}  // namespace etchback::blocks::detail
