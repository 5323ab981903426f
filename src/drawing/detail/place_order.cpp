#include "drawing/detail/place_order.h"

#include <algorithm>
#include <cmath>
#include <queue>

#include "base/disjoint_sets.h"
#include "base/text.h"
#include "drawing/detail/place_linear.h"

namespace etchback::drawing::detail {

namespace {

using circuit::Circuit;
using circuit::Domain;
using circuit::NetId;
using circuit::Part;
using parts::PinRole;

// ---- zones -------------------------------------------------------------------------------------

// An isolation that is worth a line: both sides fed, or something couples them on purpose.
bool worth_a_line(const circuit::Domains& domains, const circuit::Bridge& bridge, int a, int b) {
    const auto fed = [&](int d) {
        const Domain::Nature nature = domains.domains[static_cast<std::size_t>(d)].nature;
        return nature == Domain::Nature::mains || nature == Domain::Nature::isolated;
    };
    return bridge.coupling == parts::Coupling::magnetic ||
           bridge.coupling == parts::Coupling::optical || (fed(a) && fed(b));
}

struct Isles {
    std::vector<int> of_domain;  // isle of each domain
    std::vector<std::vector<int>> next;
};

Isles isles_of(const circuit::Domains& domains) {
    const int n = static_cast<int>(domains.domains.size());
    base::DisjointSets sets(static_cast<std::size_t>(n));
    std::vector<std::pair<int, int>> lines;
    for (const circuit::Bridge& bridge : domains.bridges) {
        for (std::size_t i = 1; i < bridge.domains.size(); ++i) {
            const int a = bridge.domains[0];
            const int b = bridge.domains[i];
            if (worth_a_line(domains, bridge, a, b)) {
                lines.emplace_back(a, b);
            }
        }
    }
    for (const circuit::Bridge& bridge : domains.bridges) {
        for (std::size_t i = 1; i < bridge.domains.size(); ++i) {
            const int a = bridge.domains[0];
            const int b = bridge.domains[i];
            if (worth_a_line(domains, bridge, a, b)) {
                continue;
            }
            const int ra = sets.find(a);
            const int rb = sets.find(b);
            const bool lined = std::any_of(lines.begin(), lines.end(), [&](const auto& line) {
                const int x = sets.find(line.first);
                const int y = sets.find(line.second);
                return (x == ra && y == rb) || (x == rb && y == ra);
            });
            if (!lined) {
                sets.join(a, b);
            }
        }
    }
    Isles isles;
    isles.next.resize(static_cast<std::size_t>(n));
    for (int i = 0; i < n; ++i) {
        isles.of_domain.push_back(sets.find(i));
    }
    for (const auto& [a, b] : lines) {
        const int x = isles.of_domain[static_cast<std::size_t>(a)];
        const int y = isles.of_domain[static_cast<std::size_t>(b)];
        if (x != y) {
            isles.next[static_cast<std::size_t>(x)].push_back(y);
            isles.next[static_cast<std::size_t>(y)].push_back(x);
        }
    }
    return isles;
}

// The zone of an isle is its distance from the isle that is fed.
Zones zones_of(const Circuit& circuit, const circuit::Domains& domains) {
    Zones zones;
    const int n = static_cast<int>(domains.domains.size());
    const Isles isles = isles_of(domains);
    std::vector<int> depth(static_cast<std::size_t>(n), -1);
    std::vector<int> starts;
    for (int p = 0; p < static_cast<int>(circuit.parts.size()); ++p) {
        if (terminal_of(circuit, p) != Terminal::source) {
            continue;
        }
        for (const circuit::Pin& pin : circuit.parts[static_cast<std::size_t>(p)].pins) {
            if (pin.net.known()) {
                starts.push_back(domains.of(pin.net));
            }
        }
    }
    if (n > 0 && domains.domains[0].nature == Domain::Nature::mains) {
        starts.assign(1, 0);
    }
    for (int i = 0; i < n; ++i) {
        starts.push_back(i);
    }
    for (const int start : starts) {
        const int isle = isles.of_domain[static_cast<std::size_t>(start)];
        if (depth[static_cast<std::size_t>(isle)] >= 0) {
            continue;
        }
        std::queue<int> open;
        open.push(isle);
        depth[static_cast<std::size_t>(isle)] = 0;
        while (!open.empty()) {
            const int at = open.front();
            open.pop();
            for (const int to : isles.next[static_cast<std::size_t>(at)]) {
                if (depth[static_cast<std::size_t>(to)] < 0) {
                    depth[static_cast<std::size_t>(to)] = depth[static_cast<std::size_t>(at)] + 1;
                    open.push(to);
                }
            }
        }
    }
    for (int i = 0; i < n; ++i) {
        const int isle = isles.of_domain[static_cast<std::size_t>(i)];
        zones.of_domain.push_back(depth[static_cast<std::size_t>(isle)]);
        zones.count = std::max(zones.count, zones.of_domain.back() + 1);
    }
    for (int i = 0; i < static_cast<int>(circuit.nets.size()); ++i) {
        const int domain = domains.of(NetId{i});
        zones.of_net.push_back(domain < 0 ? 0 : zones.of_domain[static_cast<std::size_t>(domain)]);
    }
    return zones;
}

// ---- returns and supplies ----------------------------------------------------------------------

bool is_return_name(const std::string& name) {
    const std::string low = base::lowered(name);
    return low == "gnd" || low == "0v" || low == "vss" || low == "agnd" || low == "pgnd" ||
           low == "dgnd" || low == "com" || low == "hv-" || low == "out-" || low == "v-";
}

bool feeds_return(const Circuit& circuit, const circuit::Net& net) {
    return std::any_of(net.pins.begin(), net.pins.end(), [&](const circuit::PinRef& ref) {
        return circuit[ref].role == PinRole::negative && is_family(circuit[ref.part], {"source"});
    });
}

// The plus of one source and the minus of another.
bool between_supplies(const Circuit& circuit, const circuit::Net& net) {
    return feeds_return(circuit, net) &&
           std::any_of(net.pins.begin(), net.pins.end(), [&](const circuit::PinRef& ref) {
               return circuit[ref].role == PinRole::positive &&
                      is_family(circuit[ref.part], {"source"});
           });
}

// What a domain's parts stand on: the net declared so, else the minus of what feeds it, else what
// the domain takes for its reference, else a net with the name of a return.
NetId return_of(const Circuit& circuit, const Domain& domain) {
    NetId fed, named, middle;
    for (const NetId net : domain.nets) {
        const circuit::Net& n = circuit[net];
        if (n.role == "return") {
            return net;
        }
        middle = !middle.known() && between_supplies(circuit, n) ? net : middle;
        fed = !fed.known() && feeds_return(circuit, n) ? net : fed;
        named = !named.known() && is_return_name(n.name) ? net : named;
    }
    return middle.known()             ? middle
           : fed.known()              ? fed
           : domain.reference.known() ? domain.reference
                                      : named;
}

std::vector<bool> returns_of(const Circuit& circuit, const circuit::Domains& domains) {
    std::vector<bool> is_return(circuit.nets.size(), false);
    for (const Domain& domain : domains.domains) {
        const NetId low = return_of(circuit, domain);
        if (low.known()) {
            is_return[static_cast<std::size_t>(low.index)] = true;
        }
        for (const NetId net : domain.nets) {
            if (circuit[net].role == "earth") {
                is_return[static_cast<std::size_t>(net.index)] = true;
            }
        }
    }
    return is_return;
}

bool is_supply(const Circuit& circuit, const circuit::Net& net) {
    return std::any_of(net.pins.begin(), net.pins.end(), [&](const circuit::PinRef& ref) {
        const PinRole role = circuit[ref].role;
        return role == PinRole::supply || role == PinRole::positive;
    });
}

int parts_in_zone(const Circuit& circuit, const Zones& zones, int zone) {
    int count = 0;
    for (const Part& part : circuit.parts) {
        count += std::any_of(part.pins.begin(), part.pins.end(), [&](const circuit::Pin& pin) {
            return pin.net.known() && zones.of_net[static_cast<std::size_t>(pin.net.index)] == zone;
        });
    }
    return count;
}

bool is_amplifier(const Part& part) {
    return part.kind.symbol == "op_amp" || part.kind.symbol == "comparator";
}

bool feeds_amplifier(const Circuit& circuit, const circuit::Net& net) {
    return std::any_of(net.pins.begin(), net.pins.end(), [&](const circuit::PinRef& ref) {
        const PinRole role = circuit[ref].role;
        return (role == PinRole::supply || role == PinRole::ground) &&
               is_amplifier(circuit[ref.part]);
    });
}

// Amplifiers between a positive and a negative supply: nobody draws their supply wires.
bool has_two_supplies(const Circuit& circuit) {
    return std::any_of(circuit.nets.begin(), circuit.nets.end(), [&](const circuit::Net& net) {
        return between_supplies(circuit, net);
    });
}

// What keeps a net at a level of its own: a source, a load, a bridge's plus, a chip that it feeds,
// a capacitor that holds it.
bool is_held(const Circuit& circuit, const circuit::Net& net, const std::vector<bool>& is_return) {
    const auto to_return = [&](const Part& part) {
        return std::any_of(part.pins.begin(), part.pins.end(), [&](const circuit::Pin& pin) {
            return pin.net.known() && is_return[static_cast<std::size_t>(pin.net.index)];
        });
    };
    return std::any_of(net.pins.begin(), net.pins.end(), [&](const circuit::PinRef& ref) {
        const PinRole role = circuit[ref].role;
        const Part& part = circuit[ref.part];
        return role == PinRole::supply ||
               (role == PinRole::positive &&
                (is_family(part, {"source", "load", "bridge", "led_st"}) ||
                 (is_family(part, {"capacitor"}) && to_return(part))));
    });
}

// What is passed on to the other end of a part of these families; of a choke, to the end of the
// same winding.
template <typename Visit>
void each_in_line(const Circuit& circuit,
                  std::initializer_list<const char*> families,
                  Visit visit) {
    for (const Part& part : circuit.parts) {
        const bool two = part.pins.size() == 2 && is_family(part, families);
        if (!two && !is_family(part, {"choke"})) {
            continue;
        }
        for (std::size_t i = 0; i < part.pins.size(); ++i) {
            for (std::size_t k = i + 1; k < part.pins.size(); ++k) {
                const circuit::Pin& a = part.pins[i];
                const circuit::Pin& b = part.pins[k];
                if ((two || a.side == b.side) && a.net.known() && b.net.known()) {
                    visit(static_cast<std::size_t>(a.net.index),
                          static_cast<std::size_t>(b.net.index));
                }
            }
        }
    }
}

// From the mains through all that lies in line, up to the rectifier or the switch.
std::vector<bool> alternating_of(const Circuit& circuit, const std::vector<bool>& is_return) {
    std::vector<bool> on(circuit.nets.size(), false);
    for (const Part& part : circuit.parts) {
        for (const circuit::Pin& pin : part.pins) {
            if (pin.net.known() && pin.role == PinRole::line) {
                on[static_cast<std::size_t>(pin.net.index)] = true;
            }
        }
    }
    for (bool changed = true; changed;) {
        changed = false;
        each_in_line(
            circuit,
            {"resistor", "ntc", "inductor", "fuse", "switch", "capacitor"},
            [&](std::size_t a, std::size_t b) {
                if (on[a] != on[b] && !is_return[on[a] ? a : b] && !is_return[on[a] ? b : a]) {
                    on[a] = on[b] = changed = true;
                }
            });
    }
    return on;
}

// The neutral and what differs from it by few ohms only.
std::vector<bool> neutral_of(const Circuit& circuit) {
    std::vector<bool> on(circuit.nets.size(), false);
    for (const Part& part : circuit.parts) {
        for (const circuit::Pin& pin : part.pins) {
            if (pin.net.known() && is_neutral(pin)) {
                on[static_cast<std::size_t>(pin.net.index)] = true;
            }
        }
    }
    for (bool changed = true; changed;) {
        changed = false;
        each_in_line(
            circuit, {"ntc", "inductor", "fuse", "switch"}, [&](std::size_t a, std::size_t b) {
                if (on[a] != on[b]) {
                    on[a] = on[b] = changed = true;
                }
            });
    }
    return on;
}

Rail rail_of(const Circuit& circuit, const Order& order, int net, bool is_return) {
    const circuit::Net& n = circuit.nets[static_cast<std::size_t>(net)];
    if (!is_return && feeds_return(circuit, n)) {
        return Rail::bottom;
    }
    if (n.pins.size() < 3) {
        return Rail::none;
    }
    if (is_return) {
        return between_supplies(circuit, n) ? Rail::none : Rail::bottom;
    }
    const bool high = order.potential[static_cast<std::size_t>(net)] > 0.8;
    return high && order.held[static_cast<std::size_t>(net)] ? Rail::top : Rail::none;
}

// Returns, and supplies with a name that feed chips and stages; not what goes out to a load.
bool may_be_signs(const Circuit& circuit, const Order& order, int net, bool is_return) {
    const circuit::Net& n = circuit.nets[static_cast<std::size_t>(net)];
    if (n.pins.size() < 3 || is_return) {
        return is_return && n.pins.size() >= 3;
    }
    return order.rails[static_cast<std::size_t>(net)] != Rail::none && named_by_person(n.name) &&
           std::none_of(n.pins.begin(), n.pins.end(), [&](const circuit::PinRef& ref) {
               return terminal_of(circuit, ref.part.index) == Terminal::load;
           });
}

NetStyle style_of(const Circuit& circuit, const Order& order, int net, bool is_return) {
    const circuit::Net& n = circuit.nets[static_cast<std::size_t>(net)];
    const auto pins = n.pins.size();
    if (pins <= 1) {
        return pins == 1 && named_by_person(n.name) ? NetStyle::flagged : NetStyle::open;
    }
    if (has_two_supplies(circuit)) {
        if (between_supplies(circuit, n)) {
            return NetStyle::returns;
        }
        if (!is_return && feeds_amplifier(circuit, n)) {
            return NetStyle::rail;
        }
    }
    const int around =
        parts_in_zone(circuit, order.zones, order.zones.of_net[static_cast<std::size_t>(net)]);
    if (is_return) {
        return pins >= 5 && around >= 14 ? NetStyle::returns : NetStyle::wired;
    }
    if (pins >= 14 || (pins >= 9 && (is_supply(circuit, n) || around >= 30))) {
        return NetStyle::rail;
    }
    return NetStyle::wired;
}

NetSign::Kind sign_of(const Circuit& circuit,
                      const circuit::Domains& domains,
                      int net,
                      bool is_return) {
    if (!is_return) {
        return NetSign::Kind::rail;
    }
    if (circuit.nets[static_cast<std::size_t>(net)].role == "earth") {
        return NetSign::Kind::earth;
    }
    const int domain = domains.of(NetId{net});
    const bool mains = domain >= 0 && domains.domains[static_cast<std::size_t>(domain)].nature ==
                                          Domain::Nature::mains;
    return mains ? NetSign::Kind::mains_return : NetSign::Kind::isolated_return;
}

// ---- flow --------------------------------------------------------------------------------------

double flow_offset(const Circuit& circuit, const Order& order, int part, const circuit::Pin& pin) {
    const Part& p = circuit.parts[static_cast<std::size_t>(part)];
    const int zone = order.zones.of_net[static_cast<std::size_t>(pin.net.index)];
    int low = zone;
    int high = zone;
    for (const circuit::Pin& other : p.pins) {
        if (other.net.known()) {
            const int z = order.zones.of_net[static_cast<std::size_t>(other.net.index)];
            low = std::min(low, z);
            high = std::max(high, z);
        }
    }
    if (low != high) {
        return zone == low ? -1.0 : 1.0;
    }
    const bool bridge = is_family(p, {"bridge"});
    if (bridge) {
        return pin.role == PinRole::positive || pin.role == PinRole::negative ? 1.0 : -1.0;
    }
    if (pin.role == PinRole::input) {
        return -1.0;
    }
    if (pin.role == PinRole::output) {
        return 1.0;
    }
    if (p.pins.size() == 2 && is_family(p, {"diode"}) && !is_family(p, {"zener"})) {
        return pin.role == PinRole::positive ? -0.5 : pin.role == PinRole::negative ? 0.5 : 0.0;
    }
    return 0.0;
}

void solve_flow(const Circuit& circuit, Order& order, const std::vector<bool>& is_return) {
    const int nets = static_cast<int>(circuit.nets.size());
    const int parts = static_cast<int>(circuit.parts.size());
    const double far = 2.0 + std::sqrt(static_cast<double>(parts));
    Springs springs(nets + parts);
    for (int i = 0; i < nets + parts; ++i) {
        springs.pin(i, 1e-4, far / 2.0);
    }
    for (int p = 0; p < parts; ++p) {
        const Terminal terminal = terminal_of(circuit, p);
        if (terminal != Terminal::none) {
            springs.pin(nets + p, 3.0, terminal == Terminal::source ? 0.0 : far);
        }
        for (const circuit::Pin& pin : circuit.parts[static_cast<std::size_t>(p)].pins) {
            if (!pin.net.known()) {
                continue;
            }
            const auto net = static_cast<std::size_t>(pin.net.index);
            const double crowd = static_cast<double>(circuit.nets[net].pins.size());
            const double weight = is_return[net] ? 0.01 : crowd > 8.0 ? 0.2 : 1.0;
            springs.tie(nets + p, pin.net.index, weight, flow_offset(circuit, order, p, pin));
        }
    }
    const std::vector<double> x = springs.solve();
    order.net_flow.assign(x.begin(), x.begin() + nets);
    order.part_flow.assign(x.begin() + nets, x.end());
}

}  // namespace

bool named_by_person(const std::string& net_name) {
    if (net_name.empty() || net_name[0] == '$') {
        return false;
    }
    std::string low = base::lowered(net_name);
    if (low.find('(') != std::string::npos || low.starts_with("unconnected")) {
        return false;
    }
    for (const char* prefix : {"net", "n"}) {
        if (low.starts_with(prefix)) {
            low = low.substr(std::string(prefix).size());
            break;
        }
    }
    return low.empty() || low.find_first_not_of("0123456789-_$# ") != std::string::npos;
}

Order order_of(const Circuit& circuit, const circuit::Domains& domains) {
    Order order;
    order.zones = zones_of(circuit, domains);
    const std::vector<bool> is_return = returns_of(circuit, domains);
    order.alternating = alternating_of(circuit, is_return);
    order.neutral = neutral_of(circuit);
    order.potential = potentials_of(circuit, is_return, order.alternating);
    for (const circuit::Net& net : circuit.nets) {
        order.held.push_back(is_held(circuit, net, is_return));
    }
    for (int i = 0; i < static_cast<int>(circuit.nets.size()); ++i) {
        const bool low = is_return[static_cast<std::size_t>(i)];
        order.styles.push_back(style_of(circuit, order, i, low));
        order.signs.push_back(sign_of(circuit, domains, i, low));
        order.rails.push_back(rail_of(circuit, order, i, low));
        order.spare_wires.push_back(may_be_signs(circuit, order, i, low));
    }
    solve_flow(circuit, order, is_return);
    return order;
}

}  // namespace etchback::drawing::detail
