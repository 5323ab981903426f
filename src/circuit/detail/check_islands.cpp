// Parts that hang together but with nothing else.
#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "base/disjoint_sets.h"
#include "base/text.h"
#include "circuit/detail/sanity_checks.h"

namespace etchback::circuit::detail {

namespace {

struct Island {
    std::vector<const Part*> parts;
    std::vector<std::string> nets;
    bool fed = false;

    bool operator<(const Island& o) const {  // the greatest is the circuit itself
        return std::tuple(fed, parts.size()) < std::tuple(o.fed, o.parts.size());
    }
};

std::vector<NetId> nets_on(const Part& part) {
    std::vector<NetId> nets;
    for (const Pin& pin : part.pins) {
        if (pin.net.known()) {
            nets.push_back(pin.net);
        }
    }
    return nets;
}

base::DisjointSets joined_nets(const Circuit& circuit) {
    base::DisjointSets sets(circuit.nets.size());
    for (const Part& part : circuit.parts) {
        const auto nets = nets_on(part);
        for (const NetId net : nets) {
            sets.join(nets.front().index, net.index);
        }
    }
    return sets;
}

// By the least net of each.
std::map<int, Island> islands_of(const Circuit& circuit, base::DisjointSets& sets) {
    std::map<int, Island> islands;
    for (const Part& part : circuit.parts) {
        const auto nets = nets_on(part);
        if (!nets.empty()) {
            Island& island = islands[sets.find(nets.front().index)];
            island.parts.push_back(&part);
            island.fed = island.fed || part.kind.family == "source";
        }
    }
    for (std::size_t i = 0; i < circuit.nets.size(); ++i) {
        islands[sets.find(static_cast<int>(i))].nets.push_back(circuit.nets[i].name);
    }
    return islands;
}

// Some part that is not fitted would join this island to another.
bool bridged_by_unfitted(const Circuit& circuit,
                         const dossier::Dossier& dossier,
                         base::DisjointSets& sets,
                         int island) {
    for (const dossier::Part& part : dossier.parts) {
        bool here = false;
        bool elsewhere = false;
        for (const dossier::PinUse& use : part.pins) {
            if (const auto net = circuit.net(use.net); net && !part.fitted) {
                (sets.find(net->index) == island ? here : elsewhere) = true;
            }
        }
        if (here && elsewhere) {
            return true;
        }
    }
    return false;
}

std::string some_of(const std::vector<std::string>& names) {
    constexpr std::size_t most = 6;
    if (names.size() <= most) {
        return base::listed(names);
    }
    return fmt::format("{} and {} more",
                       fmt::join(names.begin(), names.begin() + most, ", "),
                       names.size() - most);
}

}  // namespace

void check_islands(const Circuit& circuit, const dossier::Dossier& dossier, Complaints& out) {
    base::DisjointSets sets = joined_nets(circuit);
    const auto islands = islands_of(circuit, sets);
    const auto main =
        std::max_element(islands.begin(), islands.end(), [](const auto& a, const auto& b) {
            return a.second < b.second;
        });
    for (auto it = islands.begin(); it != islands.end(); ++it) {
        if (it == main) {
            continue;
        }
        const Island& island = it->second;
        std::vector<std::string> parts;
        for (const Part* part : island.parts) {
            parts.push_back(part->name);
        }
        const bool loose_ends =
            std::all_of(island.parts.begin(), island.parts.end(), [](const Part* part) {
                return part->kind.coupling == parts::Coupling::none || part->kind.id == "unknown";
            });
        out.push_back(
            {ComplaintKind::unconnected_island,
             {island.parts.front()->said.place,
              fmt::format("{} {} joined to nothing else in the circuit",
                          some_of(parts),
                          parts.size() == 1 ? "is" : "are"),
              fmt::format("follow the copper of {} further", some_of(island.nets))},
             parts,
             island.nets,
             island.fed || loose_ends || bridged_by_unfitted(circuit, dossier, sets, it->first)});
    }
}

}  // namespace etchback::circuit::detail
