// Sources of knowledge: the mains, a DC supply, and the voltages that the dossier states.
#include <algorithm>
#include <cmath>

#include "blocks/detail/knowledge.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;

void learn_mains(Knowledge& known) {
    const MainsLines& mains = known.mains;
    Level neutral;
    neutral.nets = mains.neutral;
    Level live;
    live.nets = mains.live;
    live.low_v = -mains.high_v_peak;
    live.high_v = mains.high_v_peak;
    live.steady_v = mains.high_v_rms;
    live.form = Form::sine;
    live.because = "the mains reaches its crest of " + volts(mains.high_v_peak) +
                   " at its upper limit of " + volts(mains.high_v_rms) + " RMS";
    live.formula = "U = √2 · Umax";
    live.worked = "U = 1.414 · " + volts(mains.high_v_rms);
    live.source = "definition of the RMS value of a sine";
    live.assumed = mains.voltage_assumed;
    live.evidence = mains.evidence;
    known.frames.push_back({{neutral, live}});
}

bool is_dc_source(const circuit::Part& part) {
    return part.kind.family == "source" && !is_mains(part);
}

// A battery has its own voltage; another source has the supply's.
std::optional<SupplyLimit> source_limit(const Knowledge& known, const circuit::Part& part) {
    const auto& own = part.said.value;
    if (own && own->value.unit == base::Unit::volt) {
        return SupplyLimit{own->value.high, evidence_of(part, base::to_text(own->value))};
    }
    const bool dc = known.dossier.supply.kind == dossier::Supply::Kind::dc;
    return dc ? supply_limit(known.dossier) : std::nullopt;
}

void learn_dc(Knowledge& known) {
    for (const circuit::Part& part : known.circuit.parts) {
        if (!is_dc_source(part)) {
            continue;
        }
        const NetId plus = part.net("+");
        const NetId minus = part.net("-");
        const auto limit = source_limit(known, part);
        if (!limit || !plus.known() || !minus.known() || plus == minus) {
            continue;
        }
        Level low;
        low.nets = tied(known.circuit, {minus}, 1.0, {plus});
        Level high;
        high.nets = tied(known.circuit, {plus}, 1.0, low.nets);
        high.high_v = high.steady_v = limit->volts;
        high.because = part.name + " supplies up to " + volts(limit->volts) +
                       (limit->evidence.kind == base::Evidence::Kind::claim ? ", as claimed" : "");
        high.formula = "U = Umax";
        high.worked = "U";
        high.source = "definition";
        high.evidence.push_back(limit->evidence);
        high.parts = {part.name};
        if (known.frame_of(minus) == nullptr) {
            known.frames.push_back({{low, high}});
        }
    }
}

}  // namespace

void learn_supply(Knowledge& known) {
    if (known.mains.found()) {
        learn_mains(known);
    }
    learn_dc(known);
}

void learn_notes(Knowledge& known) {
    for (std::size_t i = 0; i < known.circuit.nets.size(); ++i) {
        const NetId net{static_cast<int>(i)};
        const auto& note = known.circuit.nets[i].note;
        if (!note || !note->voltage) {
            continue;
        }
        const int domain = known.domains.of(net);
        const NetId reference = known.domains.domains[static_cast<std::size_t>(domain)].reference;
        if (!reference.known() || reference == net) {
            continue;
        }
        Level level;
        level.nets = {net};
        const double stated = note->voltage->value.value;
        level.low_v = std::min(0.0, note->voltage->value.low);
        level.high_v = std::max(0.0, note->voltage->value.high);
        level.steady_v = stated;
        level.because =
            "the dossier states " + volts(stated) + " for " + known.circuit.nets[i].name;
        level.formula = "U as stated";
        level.worked = "U";
        level.source = "the dossier's note";
        level.evidence.push_back({base::Evidence::Kind::net,
                                  known.circuit.nets[i].name,
                                  "stated " + volts(stated),
                                  note->voltage->place});
        if (Frame* frame = known.frame_of(reference);
            frame != nullptr && contains(frame->levels.front().nets, reference)) {
            known.add_level(*frame, std::move(level));
        } else if (frame == nullptr && known.frame_of(net) == nullptr) {
            Level zero;
            zero.nets = {reference};
            known.frames.push_back({{zero, level}});
        }
    }
}

namespace {

void claim_barrier(Knowledge& known, NetId from, NetId to, std::vector<std::string> parts) {
    const MainsLines& mains = known.mains;
    VoltageBetween v;
    v.from = from;
    v.to = to;
    v.working_v_peak = mains.high_v_peak;
    v.working_v_rms = mains.high_v_rms;
    v.alternating = true;
    v.because =
        "the mains stands across the insulation when the isolated side is earthed or touched";
    v.figure.symbol = "U";
    v.figure.value = v.working_v_peak;
    v.figure.unit = base::Unit::volt;
    v.figure.formula = "U = √2 · Umax";
    v.figure.worked = "U = 1.414 · " + volts(mains.high_v_rms) + " = " + volts(v.working_v_peak);
    v.figure.source = "upper bound: isolated side at earth";
    v.figure.parts = std::move(parts);
    v.figure.evidence = mains.evidence;
    v.figure.assumed = mains.voltage_assumed;
    known.direct.push_back(std::move(v));
}

}  // namespace

void learn_barriers(Knowledge& known) {
    if (!known.mains.found()) {
        return;
    }
    for (const Chain& chain : known.bridges) {
        std::vector<std::string> parts;
        for (const circuit::PartId id : chain.parts()) {
            parts.push_back(known.circuit[id].name);
        }
        claim_barrier(known, chain.from(), chain.to(), std::move(parts));
    }
    for (const circuit::Bridge& bridge : known.domains.bridges) {
        const circuit::Part& part = known.circuit[bridge.part];
        const auto both = ends(part);
        if (!both || bridge.coupling != parts::Coupling::capacitive) {
            continue;
        }
        const auto [a, b] = *both;
        if (known.domains.isolated_from_mains(a) == known.domains.isolated_from_mains(b)) {
            continue;
        }
        const bool a_isolated = known.domains.isolated_from_mains(a);
        claim_barrier(known, a_isolated ? b : a, a_isolated ? a : b, {part.name});
    }
}

}  // namespace etchback::blocks::detail
