#include "blocks/mains.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "blocks/kinds.h"

namespace etchback::blocks {
namespace {

using circuit::Circuit;
using circuit::NetId;
using circuit::PartId;

enum class Line { live, neutral, contested };

std::vector<NetId> nets_of_role(const Circuit& circuit, std::string_view role) {
    std::vector<NetId> nets;
    for (std::size_t i = 0; i < circuit.nets.size(); ++i) {
        if (circuit.nets[i].role == role) {
            nets.push_back(NetId{static_cast<int>(i)});
        }
    }
    return nets;
}

using Assignment = std::map<NetId, Line>;

// One step outward from both lines at once, so that neither is favoured. A net that both reach
// in the same step is the middle of a load and belongs to neither.
bool grow(const Circuit& circuit, Assignment& lines) {
    Assignment reached;
    for (const circuit::Part& part : circuit.parts) {
        for (const auto& [a, b] : series_paths(part, most_series_ohm)) {
            for (const auto& [from, to] : {std::pair(a, b), std::pair(b, a)}) {
                const auto at = lines.find(from);
                if (at == lines.end() || at->second == Line::contested || lines.contains(to) ||
                    circuit[to].role == "earth") {
                    continue;
                }
                const auto [it, is_new] = reached.try_emplace(to, at->second);
                if (!is_new && it->second != at->second) {
                    it->second = Line::contested;
                }
            }
        }
    }
    lines.insert(reached.begin(), reached.end());
    return !reached.empty();
}

void set_voltage(MainsLines& mains, const dossier::Supply& supply) {
    if (supply.voltage) {
        mains.high_v_rms = supply.voltage->value.high;
        mains.evidence.push_back({base::Evidence::Kind::supply,
                                  "supply voltage",
                                  base::to_text(supply.voltage->value),
                                  supply.voltage->place});
    } else {
        mains.high_v_rms = 253.0;
        mains.voltage_assumed = true;
        mains.evidence.push_back({base::Evidence::Kind::assumption,
                                  "supply voltage",
                                  "not stated: 230 V + 10 % (IEC 60038, from memory)",
                                  {}});
    }
    mains.high_v_peak = std::numbers::sqrt2 * mains.high_v_rms;
    if (supply.frequency) {
        mains.low_hz = supply.frequency->value.low;
        mains.high_hz = supply.frequency->value.high;
    } else {
        mains.frequency_assumed = true;
    }
}

void set_series(MainsLines& mains, const Circuit& circuit) {
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const auto paths = series_paths(circuit.parts[i], most_series_ohm);
        const bool ties = std::any_of(paths.begin(), paths.end(), [&](const auto& path) {
            return (mains.on_live(path.first) && mains.on_live(path.second)) ||
                   (mains.on_neutral(path.first) && mains.on_neutral(path.second));
        });
        if (ties) {
            mains.series.push_back(PartId{static_cast<int>(i)});
        }
    }
}

}  // namespace

bool contains(const std::vector<NetId>& sorted, NetId net) {
    return std::binary_search(sorted.begin(), sorted.end(), net);
}

bool MainsLines::on_live(NetId net) const {
    return contains(live, net);
}
bool MainsLines::on_neutral(NetId net) const {
    return contains(neutral, net);
}
bool MainsLines::across(NetId a, NetId b) const {
    return (on_live(a) && on_neutral(b)) || (on_live(b) && on_neutral(a));
}

MainsLines mains_lines(const Circuit& circuit, const dossier::Supply& supply) {
    MainsLines mains;
    mains.earth = nets_of_role(circuit, "earth");
    mains.live_terminals = nets_of_role(circuit, "live");
    mains.neutral_terminals = nets_of_role(circuit, "neutral");
    if (supply.kind != dossier::Supply::Kind::ac || mains.live_terminals.empty() ||
        mains.neutral_terminals.empty()) {
        return mains;
    }
    Assignment lines;
    for (const NetId net : mains.live_terminals) {
        lines[net] = Line::live;
    }
    for (const NetId net : mains.neutral_terminals) {
        lines[net] = Line::neutral;
    }
    while (grow(circuit, lines)) {
    }
    for (const auto& [net, line] : lines) {
        if (line != Line::contested) {
            (line == Line::live ? mains.live : mains.neutral).push_back(net);
        }
    }
    set_voltage(mains, supply);
    set_series(mains, circuit);
    return mains;
}

std::vector<NetId> tied(const Circuit& circuit,
                        std::vector<NetId> seeds,
                        double most_ohm,
                        const std::vector<NetId>& stop) {
    std::vector<NetId> group = std::move(seeds);
    std::sort(group.begin(), group.end());
    group.erase(std::unique(group.begin(), group.end()), group.end());
    for (bool grown = true; grown;) {
        grown = false;
        for (const circuit::Part& part : circuit.parts) {
            for (const auto& [a, b] : series_paths(part, most_ohm)) {
                for (const auto& [from, to] : {std::pair(a, b), std::pair(b, a)}) {
                    if (contains(group, from) && !contains(group, to) && !contains(stop, to) &&
                        !is_switching_net(circuit, to)) {
                        group.insert(std::upper_bound(group.begin(), group.end(), to), to);
                        grown = true;
                    }
                }
            }
        }
    }
    return group;
}

}  // namespace etchback::blocks
