#include "circuit/detail/low_paths.h"

#include <limits>
#include <map>
#include <optional>
#include <string>

namespace etchback::circuit::detail {

namespace {

bool is_one_of(const std::string& family, std::initializer_list<const char*> families) {
    for (const char* each : families) {
        if (family == each) {
            return true;
        }
    }
    return false;
}

// The resistance of a part across its pins, if it is or may be low.
std::optional<double> low_ohm(const Part& part, bool benefit_of_doubt) {
    const std::string& family = part.kind.family;
    if (is_one_of(family,
                  {"fuse", "jumper", "inductor", "choke", "transformer", "switch", "relay"})) {
        return 0.0;
    }
    if (is_one_of(family, {"resistor", "thermistor"}) && part.kind.value_unit == base::Unit::ohm) {
        const auto value = part.value();
        if (value && *value < beep_ohm) {
            return *value;
        }
        return !value && benefit_of_doubt ? std::optional(0.0) : std::nullopt;
    }
    if (part.kind.id == "unknown" && benefit_of_doubt) {
        return 0.0;
    }
    return std::nullopt;
}

}  // namespace

std::vector<LowPath> low_paths(const Circuit& circuit, bool benefit_of_doubt) {
    std::vector<LowPath> paths;
    for (const Part& part : circuit.parts) {
        const auto ohm = low_ohm(part, benefit_of_doubt);
        if (!ohm) {
            continue;
        }
        std::map<std::string, NetId> first;  // of each side
        for (const Pin& pin : part.pins) {
            if (!pin.net.known()) {
                continue;
            }
            const auto [it, is_new] = first.emplace(pin.side, pin.net);
            if (!is_new && it->second != pin.net) {
                paths.push_back({it->second, pin.net, *ohm, part.kind.family == "transformer"});
            }
        }
    }
    return paths;
}

double least_ohm(const std::vector<LowPath>& paths, std::size_t nets, NetId from, NetId to) {
    std::vector<double> ohm(nets, std::numeric_limits<double>::infinity());
    const auto at = [&](NetId net) -> double& { return ohm[static_cast<std::size_t>(net.index)]; };
    at(from) = 0.0;
    for (bool nearer = true; nearer;) {
        nearer = false;
        for (const LowPath& path : paths) {
            for (const auto& [a, b] : {std::pair(path.a, path.b), std::pair(path.b, path.a)}) {
                if (at(a) + path.ohm < at(b)) {
                    at(b) = at(a) + path.ohm;
                    nearer = true;
                }
            }
        }
    }
    return at(to);
}

base::DisjointSets same_dc(const Circuit& circuit) {
    base::DisjointSets sets(circuit.nets.size());
    for (const LowPath& path : low_paths(circuit, false)) {
        if (!path.winding) {
            sets.join(path.a.index, path.b.index);
        }
    }
    return sets;
}

}  // namespace etchback::circuit::detail
