#include "blocks/chains.h"

#include <algorithm>
#include <map>
#include <set>

#include "blocks/kinds.h"
#include "blocks/mains.h"

namespace etchback::blocks {
namespace {

using circuit::Circuit;
using circuit::NetId;
using circuit::PartId;
using Pair = std::pair<NetId, NetId>;

// Resistors of a value between two nets, folded where they lie in parallel.
std::vector<Link> all_links(const Circuit& circuit) {
    std::map<Pair, Link> links;
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const circuit::Part& part = circuit.parts[i];
        const auto both = is_resistor(part) ? ends(part) : std::nullopt;
        if (!both || part.value().value_or(0.0) <= 0.0) {
            continue;
        }
        const auto [a, b] = std::minmax(both->first, both->second);
        Link& link = links[{a, b}];
        link.from = a;
        link.to = b;
        const double ohm = *part.value();
        link.ohm = link.parts.empty() ? ohm : 1.0 / (1.0 / link.ohm + 1.0 / ohm);
        link.parts.push_back(PartId{static_cast<int>(i)});
    }
    std::vector<Link> all;
    for (auto& [ends, link] : links) {
        all.push_back(std::move(link));
    }
    return all;
}

bool passes(const Circuit& circuit, circuit::PinRef pin, const ChainOptions& options) {
    const circuit::Part& part = circuit[pin.part];
    if (is_resistor(part)) {
        return part.value().value_or(0.0) > 0.0;
    }
    return is_test_point(part) || (options.pass_capacitors && is_capacitor(part)) ||
           (options.pass_inputs && is_high_impedance(circuit, pin));
}

// The middle of a chain: two links meet and nothing else draws current.
bool is_inner(const Circuit& circuit,
              NetId net,
              const std::vector<std::size_t>& links_here,
              const ChainOptions& options) {
    const auto& pins = circuit[net].pins;
    return links_here.size() == 2 && std::all_of(pins.begin(), pins.end(), [&](circuit::PinRef p) {
               return passes(circuit, p, options);
           });
}

Link turned(Link link) {
    std::swap(link.from, link.to);
    return link;
}

}  // namespace

double Chain::ohm() const {
    double sum = 0.0;
    for (const Link& link : links) {
        sum += link.ohm;
    }
    return sum;
}

std::vector<PartId> Chain::parts() const {
    std::vector<PartId> all;
    for (const Link& link : links) {
        all.insert(all.end(), link.parts.begin(), link.parts.end());
    }
    std::sort(all.begin(), all.end());
    return all;
}

std::vector<Chain> resistor_chains(const Circuit& circuit,
                                   const ChainOptions& options,
                                   const std::vector<NetId>& keep) {
    const std::vector<Link> links = all_links(circuit);
    std::map<NetId, std::vector<std::size_t>> at;
    for (std::size_t i = 0; i < links.size(); ++i) {
        at[links[i].from].push_back(i);
        at[links[i].to].push_back(i);
    }
    const auto inner = [&](NetId net) {
        return !contains(keep, net) && is_inner(circuit, net, at[net], options);
    };
    std::set<std::size_t> used;
    std::vector<Chain> chains;
    for (std::size_t i = 0; i < links.size(); ++i) {
        for (Link start : {links[i], turned(links[i])}) {
            if (used.contains(i) || inner(start.from)) {
                continue;
            }
            Chain chain;
            std::size_t here = i;
            for (;;) {
                chain.links.push_back(start);
                used.insert(here);
                if (!inner(start.to)) {
                    break;
                }
                const auto& both = at[start.to];
                here = both[0] == here ? both[1] : both[0];
                if (used.contains(here)) {
                    break;
                }
                start = links[here].from == start.to ? links[here] : turned(links[here]);
            }
            chains.push_back(std::move(chain));
        }
    }
    std::stable_sort(chains.begin(), chains.end(), [](const Chain& a, const Chain& b) {
        return std::pair(a.from(), a.to()) < std::pair(b.from(), b.to());
    });
    return chains;
}

double resistance_between(const std::vector<Chain>& chains,
                          const std::vector<NetId>& a,
                          const std::vector<NetId>& b,
                          std::vector<PartId>* used) {
    double siemens = 0.0;
    for (const Chain& chain : chains) {
        const bool joins = (contains(a, chain.from()) && contains(b, chain.to())) ||
                           (contains(b, chain.from()) && contains(a, chain.to()));
        if (!joins) {
            continue;
        }
        siemens += 1.0 / chain.ohm();
        if (used != nullptr) {
            const auto parts = chain.parts();
            used->insert(used->end(), parts.begin(), parts.end());
        }
    }
    return siemens > 0.0 ? 1.0 / siemens : 0.0;
}

}  // namespace etchback::blocks
