// Figures of resistors with capacitors: time constants.
#include <algorithm>
#include <map>

#include "blocks/chains.h"
#include "blocks/detail/knowledge.h"
#include "blocks/detail/topics.h"
#include "blocks/kinds.h"

namespace etchback::blocks::detail {

using circuit::NetId;
using circuit::PartId;

namespace {

// Capacitors that lie between the same two nets count as one.
struct CapacitorSet {
    std::pair<NetId, NetId> nets;
    double farad = 0.0;
    std::vector<PartId> parts;
};

std::vector<CapacitorSet> capacitor_sets(const circuit::Circuit& circuit) {
    std::map<std::pair<NetId, NetId>, CapacitorSet> sets;
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const circuit::Part& part = circuit.parts[i];
        const auto both =
            is_capacitor(part) && part.value().value_or(0.0) > 0.0 ? ends(part) : std::nullopt;
        if (both) {
            const auto nets = std::minmax(both->first, both->second);
            CapacitorSet& set = sets[{nets.first, nets.second}];
            set.nets = {nets.first, nets.second};
            set.farad += *part.value();
            set.parts.push_back(PartId{static_cast<int>(i)});
        }
    }
    std::vector<CapacitorSet> all;
    for (auto& [nets, set] : sets) {
        all.push_back(std::move(set));
    }
    return all;
}

void time_constant(Topic& topic,
                   const CapacitorSet& set,
                   double ohm,
                   std::vector<PartId> resistors,
                   const std::string& title) {
    std::sort(resistors.begin(), resistors.end());
    auto f = figure("time_constant." + joined(topic.circuit, set.parts, ".") + "." +
                        joined(topic.circuit, resistors, "."),
                    title,
                    "τ",
                    ohm * set.farad,
                    base::Unit::second);
    f.formula = "τ = R·C";
    f.worked = "τ = " + in_ohms(ohm) + " · " + text_of(set.farad, base::Unit::farad);
    f.source = "definition";
    rest_on(f, topic.circuit, resistors);
    rest_on(f, topic.circuit, set.parts);
    topic.out.push_back(std::move(f));
}

// A resistor that fills a capacitor at a chip's sense input against the return: a filter. Anything
// else at the node would make another time constant of it.
void filters(Topic& topic, const CapacitorSet& set, const std::vector<Chain>& chains) {
    for (const auto& [node, base_net] : {set.nets, std::pair(set.nets.second, set.nets.first)}) {
        std::vector<const Chain*> fed;
        for (const Chain& chain : chains) {
            if (chain.from() == node || chain.to() == node) {
                fed.push_back(&chain);
            }
        }
        if (!is_tap(topic.circuit, node) || topic.circuit[node].role == "return" ||
            topic.circuit[base_net].role != "return" || fed.size() != 1) {
            continue;
        }
        const Chain& only = *fed.front();
        const NetId far = only.from() == node ? only.to() : only.from();
        if (far != base_net) {
            time_constant(topic,
                          set,
                          only.ohm(),
                          only.parts(),
                          "Time constant of the filter " +
                              joined(topic.circuit, only.parts(), " and ") + ", " +
                              joined(topic.circuit, set.parts, " and "));
        }
    }
}

}  // namespace

// A time constant says something where a resistance lies right across a capacitor (it discharges
// it), or where a lone resistor fills a capacitor that a chip's input looks at.
void time_figures(Topic& topic) {
    const auto chains =
        resistor_chains(topic.circuit, {.pass_inputs = true, .pass_capacitors = false});
    for (const CapacitorSet& set : capacitor_sets(topic.circuit)) {
        std::vector<PartId> across;
        const double parallel =
            resistance_between(chains, {set.nets.first}, {set.nets.second}, &across);
        if (parallel > 0.0) {
            time_constant(topic,
                          set,
                          parallel,
                          across,
                          "Time constant of " + joined(topic.circuit, set.parts, " and ") +
                              " with " + joined(topic.circuit, across, " and "));
        } else {
            filters(topic, set, chains);
        }
    }
}

}  // namespace etchback::blocks::detail
