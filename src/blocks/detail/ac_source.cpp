#include "blocks/detail/ac_source.h"

#include <cmath>

#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;
using circuit::PartId;

// The winding that lies across the mains, if one does.
const WindingEnds* across_mains(const std::vector<WindingEnds>& windings, const MainsLines& mains) {
    for (const WindingEnds& w : windings) {
        if (mains.across(w.dot, w.end)) {
            return &w;
        }
    }
    return nullptr;
}

AcSource secondary_source(const Knowledge& known,
                          const circuit::Part& part,
                          const WindingEnds& winding,
                          double ratio) {
    AcSource source;
    source.a = tied(known.circuit, {winding.dot}, most_bus_ohm, {winding.end});
    source.b = tied(known.circuit, {winding.end}, most_bus_ohm, source.a);
    source.peak_v = known.mains.high_v_peak * ratio;
    source.rms_v = known.mains.high_v_rms * ratio;
    source.assumed = known.mains.voltage_assumed || is_doubtful(part, {"windings"});
    source.name = "winding " + winding.name + " of " + part.name;
    source.parts = {part.name};
    source.evidence = known.mains.evidence;
    source.evidence.push_back(evidence_of(part, "turns of its windings"));
    return source;
}

}  // namespace

std::vector<AcSource> ac_sources(const Knowledge& known) {
    std::vector<AcSource> sources;
    const MainsLines& mains = known.mains;
    if (!mains.found()) {
        return sources;
    }
    sources.push_back({mains.live,
                       mains.neutral,
                       mains.high_v_peak,
                       mains.high_v_rms,
                       mains.voltage_assumed,
                       "the mains",
                       {},
                       mains.evidence});
    for (std::size_t i = 0; i < known.circuit.parts.size(); ++i) {
        const auto windings = windings_of(known.circuit, PartId{static_cast<int>(i)});
        const WindingEnds* primary = across_mains(windings, mains);
        for (const WindingEnds& w : windings) {
            const auto ratio = primary != nullptr ? ratio_of(w, *primary) : std::nullopt;
            if (ratio && !mains.on_line(w.dot) && !mains.on_line(w.end)) {
                sources.push_back(secondary_source(known, known.circuit.parts[i], w, *ratio));
            }
        }
    }
    return sources;
}

const circuit::Part* reservoir(const circuit::Circuit& circuit,
                               const std::vector<NetId>& plus,
                               const std::vector<NetId>& minus) {
    for (const circuit::Part& part : circuit.parts) {
        const auto both = is_capacitor(part) ? ends(part) : std::nullopt;
        if (!both) {
            continue;
        }
        const auto [a, b] = *both;
        const bool between =
            (contains(plus, a) && contains(minus, b)) || (contains(plus, b) && contains(minus, a));
        if (between && (is_electrolytic(part) || part.value().value_or(0.0) >= 1e-6)) {
            return &part;
        }
    }
    return nullptr;
}

std::vector<WindingEnds> windings_of(const circuit::Circuit& circuit, PartId id) {
    std::vector<WindingEnds> found;
    const circuit::Part& part = circuit[id];
    for (const dossier::Winding& w : part.said.windings) {
        if (w.pins.size() < 2) {
            continue;
        }
        WindingEnds ends;
        ends.transformer = id;
        ends.name = w.name.value.empty() ? std::to_string(found.size() + 1) : w.name.value;
        ends.dot = part.net(w.pins.front().value);
        ends.end = part.net(w.pins.back().value);
        if (w.turns && w.turns->value > 0.0) {
            ends.turns = w.turns->value;
        }
        if (w.inductance && w.inductance->value.value > 0.0) {
            ends.inductance_h = w.inductance->value.value;
        }
        if (ends.dot.known() && ends.end.known() && ends.dot != ends.end) {
            found.push_back(std::move(ends));
        }
    }
    return found;
}

std::optional<double> ratio_of(const WindingEnds& a, const WindingEnds& b) {
    if (a.turns && b.turns) {
        return *a.turns / *b.turns;
    }
    if (a.inductance_h && b.inductance_h) {
        return std::sqrt(*a.inductance_h / *b.inductance_h);
    }
    return std::nullopt;
}

}  // namespace etchback::blocks::detail
