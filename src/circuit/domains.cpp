#include "circuit/domains.h"

#include <algorithm>
#include <map>
#include <set>

#include "base/text.h"
#include "circuit/detail/islands.h"
#include "circuit/detail/reference.h"

namespace etchback::circuit {

namespace {

using base::DisjointSets;

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

// Islands that are no domain of their own, joined through capacitors and gaps, and the anchored
// islands that each of these groups leads to.
struct Floaters {
    base::DisjointSets groups;
    std::map<int, std::set<int>> reaches;  // group -> anchored islands
};

std::vector<const Part*> weak_links(const Circuit& circuit) {
    std::vector<const Part*> links;
    for (const Part& part : circuit.parts) {
        if (detail::is_weak_link(part)) {
            links.push_back(&part);
        }
    }
    return links;
}

std::vector<int> nets_of(const Part& part) {
    std::vector<int> nets;
    for (const Pin& pin : part.pins) {
        if (pin.net.known()) {
            nets.push_back(pin.net.index);
        }
    }
    return nets;
}

Floaters float_up(const std::vector<const Part*>& links,
                  base::DisjointSets islands,
                  const std::vector<bool>& anchored) {
    Floaters floaters{islands, {}};
    for (const Part* link : links) {
        const std::vector<int> nets = nets_of(*link);
        for (const int a : nets) {
            for (const int b : nets) {
                if (!anchored[at(a)] && !anchored[at(b)]) {
                    floaters.groups.join(a, b);
                }
            }
        }
    }
    for (std::size_t i = 0; i < anchored.size(); ++i) {
        if (!anchored[i]) {
            floaters.reaches[floaters.groups.find(static_cast<int>(i))];
        }
    }
    for (const Part* link : links) {
        const std::vector<int> nets = nets_of(*link);
        for (const int a : nets) {
            for (const int b : nets) {
                if (!anchored[at(a)] && anchored[at(b)]) {
                    floaters.reaches[floaters.groups.find(a)].insert(islands.find(b));
                }
            }
        }
    }
    return floaters;
}

// Where nothing is fed, islands of two nets or more serve as anchors. True if there were any.
bool anchor_unfed(Floaters& floaters, base::DisjointSets& islands, std::vector<bool>& anchored) {
    std::map<int, int> size;
    for (std::size_t i = 0; i < anchored.size(); ++i) {
        ++size[islands.find(static_cast<int>(i))];
    }
    bool any = false;
    for (std::size_t i = 0; i < anchored.size(); ++i) {
        const int net = static_cast<int>(i);
        if (!anchored[i] && floaters.reaches[floaters.groups.find(net)].empty() &&
            size[islands.find(net)] > 1) {
            anchored[i] = true;
            any = true;
        }
    }
    return any;
}

// Per net the least net of its domain, and for nodes "between" the domains that they hang between.
struct Partition {
    std::vector<int> domain_of;
    std::map<int, std::set<int>> between;
};

Partition partition(const Circuit& circuit) {
    base::DisjointSets islands = detail::conductive_islands(circuit);
    std::vector<bool> anchored = detail::anchored_nets(circuit, islands);
    const auto links = weak_links(circuit);
    Floaters floaters = float_up(links, islands, anchored);
    if (anchor_unfed(floaters, islands, anchored)) {
        floaters = float_up(links, islands, anchored);
    }
    Partition out;
    for (std::size_t i = 0; i < anchored.size(); ++i) {
        const int net = static_cast<int>(i);
        int home = islands.find(net);
        if (!anchored[i]) {
            const int group = floaters.groups.find(net);
            const std::set<int>& reached = floaters.reaches.at(group);
            home = reached.size() == 1 ? *reached.begin() : group;
            if (reached.size() > 1) {
                out.between[group] = reached;
            }
        }
        out.domain_of.push_back(home);
    }
    return out;
}

// A winding of a transformer (a choke's windings only pass on), a battery, a DC source.
bool feeds(const Circuit& circuit, PinRef ref) {
    const Part& part = circuit[ref.part];
    return part.kind.family == "transformer" || detail::is_other_supply(part);
}

Domain::Nature nature_of(const Circuit& circuit, const std::vector<NetId>& nets) {
    bool earth = false;
    bool fed = false;
    for (const NetId net : nets) {
        if (detail::is_line(circuit, net)) {
            return Domain::Nature::mains;
        }
        const Net& it = circuit[net];
        earth = earth || it.role == "earth";
        fed = fed || it.role == "return" ||
              std::any_of(it.pins.begin(), it.pins.end(), [&](const PinRef& ref) {
                  return feeds(circuit, ref);
              });
    }
    if (earth) {
        return Domain::Nature::earth;
    }
    return fed ? Domain::Nature::isolated : Domain::Nature::floating;
}

std::string_view word_of(Domain::Nature nature) {
    switch (nature) {
        case Domain::Nature::mains:
            return "mains";
        case Domain::Nature::isolated:
            return "isolated";
        case Domain::Nature::earth:
            return "earth";
        case Domain::Nature::floating:
            return "floating";
    }
    return "";
}

// Mains and earth are joined wherever they enter, so there is one of each; the others are counted.
// Where no mains is written down, nothing is called isolated from it.
void name_domains(std::vector<Domain>& domains) {
    std::map<Domain::Nature, int> count;
    const bool any_mains = std::any_of(domains.begin(), domains.end(), [](const Domain& d) {
        return d.nature == Domain::Nature::mains;
    });
    for (Domain& domain : domains) {
        if (!domain.between.empty()) {
            continue;
        }
        const bool plain = domain.nature == Domain::Nature::isolated && !any_mains;
        domain.name = plain ? "side" : word_of(domain.nature);
        if (domain.nature == Domain::Nature::isolated ||
            domain.nature == Domain::Nature::floating) {
            domain.name += " " + std::to_string(++count[domain.nature]);
        }
    }
    std::map<std::string, int> repeats;
    for (Domain& domain : domains) {
        if (!domain.between.empty()) {
            std::vector<std::string> ends;
            for (const int end : domain.between) {
                ends.push_back(domains[at(end)].name);
            }
            domain.name = "between " + base::listed(ends);
            if (const int n = ++repeats[domain.name]; n > 1) {
                domain.name += " (" + std::to_string(n) + ")";
            }
        }
    }
}

std::vector<Domain> make_domains(const Circuit& circuit, const Partition& parted) {
    std::map<int, std::vector<NetId>> nets;
    for (std::size_t i = 0; i < parted.domain_of.size(); ++i) {
        nets[parted.domain_of[i]].push_back(NetId{static_cast<int>(i)});
    }
    std::vector<Domain> domains;
    for (auto& [home, members] : nets) {
        Domain domain;
        const bool hangs = parted.between.contains(home);
        domain.nature = hangs ? Domain::Nature::floating : nature_of(circuit, members);
        domain.reference = detail::reference_of(circuit, members);
        domain.nets = std::move(members);
        domains.push_back(std::move(domain));
    }
    std::sort(domains.begin(), domains.end(), [](const Domain& a, const Domain& b) {
        const auto key = [](const Domain& d) {
            return std::pair(d.nature != Domain::Nature::mains, d.nets.front());
        };
        return key(a) < key(b);
    });
    return domains;
}

void set_between(Domains& out, const Partition& parted) {
    for (const auto& [home, ends] : parted.between) {
        std::set<int> between;
        for (const int end : ends) {
            between.insert(out.of_net[at(end)]);
        }
        out.domains[at(out.of_net[at(home)])].between.assign(between.begin(), between.end());
    }
}

std::vector<Bridge> make_bridges(const Circuit& circuit, const Domains& out) {
    std::vector<Bridge> bridges;
    for (std::size_t p = 0; p < circuit.parts.size(); ++p) {
        const Part& part = circuit.parts[p];
        std::set<int> touched;
        for (const int net : nets_of(part)) {
            const int domain = out.of_net[at(net)];
            const std::vector<int>& between = out.domains[at(domain)].between;
            if (between.empty() || !detail::is_weak_link(part)) {
                touched.insert(domain);
            } else {
                touched.insert(between.begin(), between.end());
            }
        }
        if (touched.size() > 1 && !detail::is_mains(part)) {
            bridges.push_back({PartId{static_cast<int>(p)},
                               std::vector<int>(touched.begin(), touched.end()),
                               part.kind.coupling});
        }
    }
    return bridges;
}

}  // namespace

bool Domains::isolated_from_mains(NetId net) const {
    const auto is_mains = [&](int i) { return domains[at(i)].nature == Domain::Nature::mains; };
    const int own = of(net);
    const std::vector<int>& between = domains[at(own)].between;
    return !is_mains(own) && std::none_of(between.begin(), between.end(), is_mains);
}

Domains domains(const Circuit& circuit) {
    const Partition parted = partition(circuit);
    Domains out;
    out.domains = make_domains(circuit, parted);
    out.of_net.resize(circuit.nets.size());
    for (std::size_t d = 0; d < out.domains.size(); ++d) {
        for (const NetId net : out.domains[d].nets) {
            out.of_net[at(net.index)] = static_cast<int>(d);
        }
    }
    set_between(out, parted);
    name_domains(out.domains);
    out.bridges = make_bridges(circuit, out);
    return out;
}

std::string_view name_of(Domain::Nature nature) {
    switch (nature) {
        case Domain::Nature::mains:
            return "mains";
        case Domain::Nature::isolated:
            return "isolated";
        case Domain::Nature::earth:
            return "earth";
        case Domain::Nature::floating:
            return "floating";
    }
    return "";
}

}  // namespace etchback::circuit
