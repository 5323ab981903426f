#include "blocks/voltages.h"

#include <algorithm>
#include <set>

#include "blocks/detail/knowledge.h"
#include "blocks/insulation.h"
#include "blocks/kinds.h"

namespace etchback::blocks {
namespace {

using circuit::NetId;
using detail::Knowledge;
using Pair = std::pair<NetId, NetId>;

Pair ordered(NetId a, NetId b) {
    return {std::min(a, b), std::max(a, b)};
}

void add(std::set<Pair>& pairs, NetId a, NetId b) {
    if (a.known() && b.known() && a != b) {
        pairs.insert(ordered(a, b));
    }
}

// The pairs that somebody may ask for: across each part, each rail against its reference, and all
// that was claimed directly.
std::set<Pair> pairs_of_interest(const Knowledge& known) {
    std::set<Pair> pairs;
    for (const circuit::Part& part : known.circuit.parts) {
        if (const auto both = ends(part)) {
            add(pairs, both->first, both->second);
        } else if (is_bridge(part)) {
            add(pairs, part.net("+"), part.net("-"));
            add(pairs, part.net("~1"), part.net("~2"));
        } else if (is_transistor(part)) {
            add(pairs, part.net("drain"), part.net("source"));
            add(pairs, part.net("collector"), part.net("emitter"));
        }
    }
    for (const detail::Frame& frame : known.frames) {
        for (std::size_t i = 1; i < frame.levels.size(); ++i) {
            const detail::Level& level = frame.levels[i];
            if (level.form == detail::Form::dc || level.form == detail::Form::full_wave) {
                add(pairs,
                    detail::principal(known.circuit, level.nets),
                    detail::principal(known.circuit, frame.levels.front().nets));
            }
        }
    }
    for (const VoltageBetween& v : known.direct) {
        add(pairs, v.from, v.to);
    }
    return pairs;
}

// The parts that lie across the pair belong to the figure as well.
void name_parts_across(base::Figure& figure, const circuit::Circuit& circuit, const Pair& pair) {
    for (const circuit::Part& part : circuit.parts) {
        const auto both = ends(part);
        const bool named =
            std::find(figure.parts.begin(), figure.parts.end(), part.name) != figure.parts.end();
        if (both && ordered(both->first, both->second) == pair && !named && !is_connector(part)) {
            figure.parts.push_back(part.name);
        }
    }
}

}  // namespace

const VoltageBetween* Voltages::between(NetId a, NetId b) const {
    const VoltageBetween* best = nullptr;
    for (const VoltageBetween& v : known) {
        if (ordered(v.from, v.to) == ordered(a, b) &&
            (best == nullptr || v.working_v_peak > best->working_v_peak)) {
            best = &v;
        }
    }
    return best;
}

Voltages voltages(const circuit::Circuit& circuit,
                  const circuit::Domains& domains,
                  const dossier::Dossier& dossier) {
    const Insulation apart = insulation(circuit, domains);
    Knowledge known{
        circuit, apart.domains, dossier, mains_lines(circuit, dossier), apart.bridges, {}, {}};
    detail::learn_supply(known);
    detail::learn_rectifiers(known);
    detail::learn_droppers(known);
    detail::learn_outputs(known);
    detail::learn_notes(known);
    detail::learn_controllers(known);
    detail::learn_drains(known);
    detail::learn_diodes(known);
    detail::learn_bases(known);
    detail::learn_barriers(known);
    detail::learn_chains(known);

    Voltages out;
    for (const auto& [a, b] : pairs_of_interest(known)) {
        if (auto v = known.between(a, b)) {
            name_parts_across(v->figure, circuit, {a, b});
            detail::name_doubts(v->figure, circuit);
            out.known.push_back(std::move(*v));
        }
    }
    return out;
}

}  // namespace etchback::blocks
