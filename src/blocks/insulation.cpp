#include "blocks/insulation.h"

#include <algorithm>
#include <set>

#include "blocks/kinds.h"

namespace etchback::blocks {
namespace {

using circuit::Circuit;
using circuit::Domain;
using circuit::Domains;
using circuit::NetId;
using circuit::PartId;

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

bool is_mains_side(const Domains& domains, NetId net) {
    return domains.domains[at(domains.of(net))].nature == Domain::Nature::mains;
}

// The same circuit with these parts taken out; ids stay what they are.
Circuit without(Circuit circuit, const std::set<PartId>& parts) {
    for (const PartId id : parts) {
        for (circuit::Pin& pin : circuit.parts[at(id.index)].pins) {
            pin.net = {};
        }
    }
    for (circuit::Net& net : circuit.nets) {
        std::erase_if(net.pins,
                      [&](const circuit::PinRef& ref) { return parts.contains(ref.part); });
    }
    return circuit;
}

// High chains with both ends on the mains side, as far as the domains with them go.
std::vector<Chain> high_chains(const Circuit& circuit, const Domains& domains) {
    std::vector<Chain> found;
    for (Chain& chain : resistor_chains(circuit)) {
        if (chain.ohm() >= least_bridge_ohm && is_mains_side(domains, chain.from()) &&
            is_mains_side(domains, chain.to())) {
            found.push_back(std::move(chain));
        }
    }
    return found;
}

bool can_be_touched(const Circuit& circuit, const Domain& domain) {
    return std::any_of(domain.nets.begin(), domain.nets.end(), [&](NetId id) {
        const circuit::Net& net = circuit[id];
        return (net.note && net.note->touchable) ||
               std::any_of(net.pins.begin(), net.pins.end(), [&](const circuit::PinRef& ref) {
                   return circuit[ref.part].said.touchable;
               });
    });
}

Chain turned(const Chain& chain) {
    Chain back;
    for (auto it = chain.links.rbegin(); it != chain.links.rend(); ++it) {
        back.links.push_back({it->to, it->from, it->ohm, it->parts});
    }
    return back;
}

}  // namespace

Insulation insulation(const Circuit& circuit, const Domains& domains) {
    const auto candidates = high_chains(circuit, domains);
    std::set<PartId> out;
    for (const Chain& chain : candidates) {
        const auto parts = chain.parts();
        out.insert(parts.begin(), parts.end());
    }
    Insulation found;
    if (out.empty()) {
        found.domains = domains;
        return found;
    }
    const Domains apart = circuit::domains(without(circuit, out));
    const auto is_beyond = [&](NetId net) {
        const Domain& domain = apart.domains[at(apart.of(net))];
        return domain.nature == Domain::Nature::isolated ||
               (domain.nature == Domain::Nature::floating && can_be_touched(circuit, domain));
    };
    std::set<PartId> bridging;
    for (const Chain& chain : candidates) {
        const bool straight = is_mains_side(apart, chain.from()) && is_beyond(chain.to());
        const bool crossed = is_mains_side(apart, chain.to()) && is_beyond(chain.from());
        if (straight || crossed) {
            const auto parts = chain.parts();
            bridging.insert(parts.begin(), parts.end());
            found.bridges.push_back(straight ? chain : turned(chain));
        }
    }
    found.domains = bridging.empty() ? domains : circuit::domains(without(circuit, bridging));
    return found;
}

BridgeResistance resistance_to(const Insulation& insulation, int domain) {
    BridgeResistance r;
    double siemens = 0.0;
    for (const Chain& chain : insulation.bridges) {
        if (insulation.domains.of(chain.to()) != domain) {
            continue;
        }
        siemens += 1.0 / chain.ohm();
        const auto parts = chain.parts();
        r.parts.insert(r.parts.end(), parts.begin(), parts.end());
    }
    std::sort(r.parts.begin(), r.parts.end());
    if (siemens <= 0.0) {
        return r;
    }
    r.whole_ohm = r.after_one_short_ohm = 1.0 / siemens;
    for (const Chain& chain : insulation.bridges) {
        for (const Link& link : chain.links) {
            if (insulation.domains.of(chain.to()) != domain) {
                continue;
            }
            const double left = chain.links.size() > 1 ? chain.ohm() - link.ohm : 0.0;
            const double others = siemens - 1.0 / chain.ohm();
            const double ohm = left > 0.0 ? 1.0 / (others + 1.0 / left) : 0.0;
            r.after_one_short_ohm = std::min(r.after_one_short_ohm, ohm);
        }
    }
    return r;
}

}  // namespace etchback::blocks
