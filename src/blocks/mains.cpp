#include "blocks/mains.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "base/text.h"
#include "blocks/kinds.h"

namespace etchback::blocks {
namespace {

using circuit::Circuit;
using circuit::NetId;
using circuit::PartId;

std::vector<NetId> nets_of_role(const Circuit& circuit, std::string_view role) {
    std::vector<NetId> nets;
    for (std::size_t i = 0; i < circuit.nets.size(); ++i) {
        if (circuit.nets[i].role == role) {
            nets.push_back(NetId{static_cast<int>(i)});
        }
    }
    return nets;
}

// Nets at a pin of the mains' own parts, whatever else a note calls them (a return that is
// neutral).
std::vector<NetId> at_mains_pin(const Circuit& circuit, std::string_view pin) {
    std::vector<NetId> nets;
    for (const circuit::Part& part : circuit.parts) {
        if (is_mains(part) && part.net(pin).known()) {
            nets.push_back(part.net(pin));
        }
    }
    return nets;
}

// What a series part puts in the way, in ohms; next to nothing for a fuse or a coil.
double series_ohm(const circuit::Part& part) {
    const bool resists = is_resistor(part) || is_ntc(part) || part.kind.id == "ptc_thermistor";
    return std::max(0.01, resists ? part.value().value_or(1.0) : 0.0);
}

using Distances = std::map<NetId, double>;

// The least series resistance from a terminal to each net that series parts reach.
Distances distances(const Circuit& circuit, const std::vector<NetId>& terminals) {
    Distances best;
    for (const NetId net : terminals) {
        best[net] = 0.0;
    }
    for (bool shorter = true; shorter;) {
        shorter = false;
        for (const circuit::Part& part : circuit.parts) {
            for (const auto& [a, b] : series_paths(part, most_series_ohm)) {
                for (const auto& [from, to] : {std::pair(a, b), std::pair(b, a)}) {
                    const auto at = best.find(from);
                    if (at == best.end() || circuit[to].role == "earth") {
                        continue;
                    }
                    const double ohm = at->second + series_ohm(part);
                    const auto [it, is_new] = best.try_emplace(to, ohm);
                    if (is_new || ohm < it->second) {
                        it->second = ohm;
                        shorter = true;
                    }
                }
            }
        }
    }
    return best;
}

// A net belongs to the line that is far nearer; one that is not much nearer to either is the middle
// of a load and belongs to neither.
constexpr double far_nearer = 100.0;

void assign(MainsLines& mains, const Circuit& circuit) {
    const Distances to_live = distances(circuit, mains.live_terminals);
    const Distances to_neutral = distances(circuit, mains.neutral_terminals);
    const auto belongs = [](const Distances& own, const Distances& other, NetId net) {
        const auto there = other.find(net);
        return there == other.end() || own.at(net) * far_nearer < there->second;
    };
    for (const auto& [net, ohm] : to_live) {
        if (belongs(to_live, to_neutral, net)) {
            mains.live.push_back(net);
        }
    }
    for (const auto& [net, ohm] : to_neutral) {
        if (belongs(to_neutral, to_live, net)) {
            mains.neutral.push_back(net);
        }
    }
}

void set_voltage(MainsLines& mains, const dossier::Dossier& dossier) {
    if (const auto limit = supply_limit(dossier)) {
        mains.high_v_rms = limit->volts;
        mains.evidence.push_back(limit->evidence);
    } else {
        mains.high_v_rms = 253.0;
        mains.voltage_assumed = true;
        mains.evidence.push_back({base::Evidence::Kind::assumption,
                                  "supply voltage",
                                  "not stated: 230 V + 10 % (IEC 60038, from memory)",
                                  {}});
    }
    mains.high_v_peak = std::numbers::sqrt2 * mains.high_v_rms;
    if (dossier.supply.frequency) {
        mains.low_hz = dossier.supply.frequency->value.low;
        mains.high_hz = dossier.supply.frequency->value.high;
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

std::vector<NetId> united(std::vector<NetId> a, const std::vector<NetId>& b) {
    a.insert(a.end(), b.begin(), b.end());
    std::sort(a.begin(), a.end());
    a.erase(std::unique(a.begin(), a.end()), a.end());
    return a;
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

std::optional<SupplyLimit> supply_limit(const dossier::Dossier& dossier) {
    std::optional<SupplyLimit> limit;
    if (const auto& stated = dossier.supply.voltage) {
        limit = SupplyLimit{stated->value.high,
                            {base::Evidence::Kind::supply,
                             "supply voltage",
                             base::to_text(stated->value),
                             stated->place}};
    }
    for (const dossier::Claim& claim : dossier.claims) {
        const base::Quantity& value = claim.value.value;
        const bool speaks = base::lowered(claim.quantity.value) == "supply voltage" &&
                            value.unit == base::Unit::volt && value.high > 0.0;
        if (speaks && (!limit || value.high > limit->volts)) {
            limit = SupplyLimit{value.high,
                                {base::Evidence::Kind::claim,
                                 claim.quantity.value,
                                 base::to_text(value),
                                 claim.place}};
        }
    }
    return limit;
}

MainsLines mains_lines(const Circuit& circuit, const dossier::Dossier& dossier) {
    MainsLines mains;
    mains.earth = nets_of_role(circuit, "earth");
    mains.live_terminals = united(nets_of_role(circuit, "live"), at_mains_pin(circuit, "L"));
    mains.neutral_terminals = united(nets_of_role(circuit, "neutral"), at_mains_pin(circuit, "N"));
    if (dossier.supply.kind != dossier::Supply::Kind::ac || mains.live_terminals.empty() ||
        mains.neutral_terminals.empty()) {
        return mains;
    }
    assign(mains, circuit);
    set_voltage(mains, dossier);
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
