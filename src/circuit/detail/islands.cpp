#include "circuit/detail/islands.h"

#include <algorithm>

namespace etchback::circuit::detail {

namespace {

using parts::Coupling;
using parts::PinRole;

bool ties_inside(const Part& part, const std::string& side) {
    switch (part.kind.coupling) {
        case Coupling::conductive:
            return true;
        case Coupling::none:
            return false;
        case Coupling::capacitive:
        case Coupling::gap:
            return !side.empty();
        case Coupling::magnetic:
        case Coupling::optical:
            return true;
    }
    return true;
}

void join_part(const Part& part, base::DisjointSets& islands) {
    if (is_mains(part)) {
        return;  // its leads are tied by their roles
    }
    for (const auto& [side, nets] : nets_by_side(part)) {
        for (const NetId net : nets) {
            if (ties_inside(part, side)) {
                islands.join(nets.front().index, net.index);
            }
        }
    }
}

void join_nets(const std::vector<NetId>& nets, base::DisjointSets& islands) {
    for (const NetId net : nets) {
        islands.join(nets.front().index, net.index);
    }
}

bool spans_islands(const Part& part, base::DisjointSets& islands) {
    const auto sides = nets_by_side(part);
    for (const auto& [side, nets] : sides) {
        if (!islands.together(sides.begin()->second.front().index, nets.front().index)) {
            return true;
        }
    }
    return false;
}

}  // namespace

std::map<std::string, std::vector<NetId>> nets_by_side(const Part& part) {
    std::map<std::string, std::vector<NetId>> sides;
    for (const Pin& pin : part.pins) {
        if (pin.net.known()) {
            sides[pin.side].push_back(pin.net);
        }
    }
    return sides;
}

bool is_weak_link(const Part& part) {
    if (part.kind.coupling != Coupling::capacitive && part.kind.coupling != Coupling::gap) {
        return false;
    }
    for (const Pin& pin : part.pins) {
        if (!pin.side.empty()) {
            return false;
        }
    }
    return true;
}

bool is_line(const Circuit& circuit, NetId net) {
    const Net& it = circuit[net];
    return it.role == "live" || it.role == "neutral" ||
           std::any_of(it.pins.begin(), it.pins.end(), [&](const PinRef& ref) {
               return is_mains(circuit[ref.part]) && circuit[ref].role == parts::PinRole::line;
           });
}

bool is_other_supply(const Part& part) {
    return part.kind.family == "source" && !is_mains(part);
}

bool is_mains(const Part& part) {
    return part.kind.id == "mains";
}

base::DisjointSets conductive_islands(const Circuit& circuit) {
    base::DisjointSets islands(circuit.nets.size());
    for (const Part& part : circuit.parts) {
        join_part(part, islands);
    }
    std::vector<NetId> mains;
    std::vector<NetId> earth;
    for (std::size_t i = 0; i < circuit.nets.size(); ++i) {
        const NetId net{static_cast<int>(i)};
        if (is_line(circuit, net)) {
            mains.push_back(net);
        } else if (circuit.nets[i].role == "earth") {
            earth.push_back(net);
        }
    }
    join_nets(mains, islands);
    join_nets(earth, islands);
    return islands;
}

std::vector<bool> anchored_nets(const Circuit& circuit, base::DisjointSets& islands) {
    std::vector<bool> root(circuit.nets.size());
    const auto anchor = [&](NetId net) {
        root[static_cast<std::size_t>(islands.find(net.index))] = true;
    };
    for (std::size_t i = 0; i < circuit.nets.size(); ++i) {
        const Net& net = circuit.nets[i];
        if (!net.role.empty() || (net.note && net.note->touchable)) {
            anchor(NetId{static_cast<int>(i)});
        }
    }
    for (const Part& part : circuit.parts) {
        const auto sides = nets_by_side(part);
        const bool sided = sides.size() > 1 && part.kind.coupling != Coupling::none;
        if (is_other_supply(part) || (sided && spans_islands(part, islands))) {
            for (const auto& [side, nets] : sides) {
                anchor(nets.front());
            }
        }
    }
    std::vector<bool> anchored(circuit.nets.size());
    for (std::size_t i = 0; i < circuit.nets.size(); ++i) {
        anchored[i] = root[static_cast<std::size_t>(islands.find(static_cast<int>(i)))];
    }
    return anchored;
}

}  // namespace etchback::circuit::detail
