#include "blocks/discharge.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "blocks/chains.h"
#include "blocks/detail/ac_source.h"
#include "blocks/kinds.h"

namespace etchback::blocks {
namespace {

using circuit::Circuit;
using circuit::NetId;
using circuit::PartId;
using Nets = std::vector<NetId>;

// All capacitors between two groups of nets; `first` leads.
void sum_up(PlugCapacitor& c, const Circuit& circuit, const Nets& a, const Nets& b) {
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const circuit::Part& part = circuit.parts[i];
        const auto both = is_capacitor(part) ? ends(part) : std::nullopt;
        if (!both || !part.value()) {
            continue;
        }
        const bool here = (contains(a, both->first) && contains(b, both->second)) ||
                          (contains(b, both->first) && contains(a, both->second));
        if (here) {
            c.total_f += *part.value();
            if (PartId{static_cast<int>(i)} != c.capacitor) {
                c.with.push_back(part.name);
            }
        }
    }
}

// A load of coil or wire between the lines carries the charge off at once.
std::string load_across(const Circuit& circuit, const Nets& a, const Nets& b) {
    const auto joins = [&](NetId x, NetId y) {
        return (contains(a, x) && contains(b, y)) || (contains(b, x) && contains(a, y));
    };
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const circuit::Part& part = circuit.parts[i];
        const auto both = ends(part);
        const bool load = is_inductor(part) || part.kind.family == "load";
        if ((load && both && joins(both->first, both->second)) ||
            joins(part.net("coil1"), part.net("coil2"))) {
            return part.name;
        }
        for (const detail::WindingEnds& w :
             detail::windings_of(circuit, PartId{static_cast<int>(i)})) {
            if (joins(w.dot, w.end)) {
                return part.name;
            }
        }
    }
    return {};
}

void find_bleed(PlugCapacitor& c, const Circuit& circuit, const Nets& a, const Nets& b) {
    const auto chains = resistor_chains(circuit, {}, united(a, b));
    c.bleed_ohm = resistance_between(chains, a, b, &c.bleeders);
    if (c.bleed_ohm <= 0.0) {
        c.other_path = load_across(circuit, a, b);
    }
}

// A bridge on both lines whose rail has film capacitors only: resistors on the rail bleed through
// it.
void find_bleed_behind_bridge(PlugCapacitor& c, const Circuit& circuit, const MainsLines& mains) {
    for (const circuit::Part& part : circuit.parts) {
        if (!is_bridge(part) || !mains.across(part.net("~1"), part.net("~2")) ||
            !part.net("+").known() || !part.net("-").known()) {
            continue;
        }
        const Nets minus = tied(circuit, {part.net("-")}, most_bus_ohm);
        const Nets plus = tied(circuit, {part.net("+")}, most_bus_ohm, minus);
        if (detail::reservoir(circuit, plus, minus) != nullptr) {
            continue;
        }
        std::vector<PartId> used;
        const double ohm = resistance_between(
            resistor_chains(circuit, {}, united(plus, minus)), plus, minus, &used);
        if (ohm > 0.0) {
            c.bleed_ohm = ohm;
            c.bleeders = used;
            c.through_rectifier = true;
            sum_up(c, circuit, plus, minus);
            return;
        }
    }
}

}  // namespace

double PlugCapacitor::after_v(double seconds) const {
    if (bleed_ohm <= 0.0) {
        return other_path.empty() ? start_v : 0.0;
    }
    return start_v * std::exp(-seconds / tau_s());
}

double PlugCapacitor::time_to_s(double volts) const {
    return start_v <= volts ? 0.0 : tau_s() * std::log(start_v / volts);
}

std::vector<PlugCapacitor> plug_capacitors(const Circuit& circuit,
                                           const circuit::Domains& domains,
                                           const MainsLines& mains) {
    std::vector<PlugCapacitor> found;
    if (!mains.found()) {
        return found;
    }
    const auto dropping = droppers(circuit, domains, mains);
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        const circuit::Part& part = circuit.parts[i];
        const auto both = is_capacitor(part) ? ends(part) : std::nullopt;
        if (!both || !part.value()) {
            continue;
        }
        PlugCapacitor c;
        c.capacitor = PartId{static_cast<int>(i)};
        c.with = {part.name};
        c.start_v = mains.high_v_peak;
        const auto d = std::find_if(dropping.begin(), dropping.end(), [&](const Dropper& each) {
            return each.capacitor == c.capacitor;
        });
        if (mains.across(both->first, both->second)) {
            sum_up(c, circuit, mains.live, mains.neutral);
            find_bleed(c, circuit, mains.live, mains.neutral);
            if (!c.bleeds()) {
                find_bleed_behind_bridge(c, circuit, mains);
            }
        } else if (d != dropping.end()) {
            const Nets& line = d->in_live ? mains.live : mains.neutral;
            c.in_series = true;
            sum_up(c, circuit, line, d->node);
            find_bleed(c, circuit, line, d->node);
        } else {
            continue;
        }
        std::sort(c.bleeders.begin(), c.bleeders.end());
        c.bleeders.erase(std::unique(c.bleeders.begin(), c.bleeders.end()), c.bleeders.end());
        found.push_back(std::move(c));
    }
    return found;
}

double es1_charge_limit_v(double farad) {
    struct Row {
        double nf, volts;
    };
    static constexpr std::array<Row, 10> rows = {{{4.0, 1000},
                                                  {8.0, 500},
                                                  {12, 350},
                                                  {18, 250},
                                                  {28, 200},
                                                  {41, 150},
                                                  {61, 125},
                                                  {91, 100},
                                                  {170, 75},
                                                  {300, 60}}};
    const double nf = farad * 1e9;
    if (nf <= rows.front().nf) {
        return rows.front().volts;
    }
    for (std::size_t i = 1; i < rows.size(); ++i) {
        if (nf <= rows[i].nf) {
            const double t = (nf - rows[i - 1].nf) / (rows[i].nf - rows[i - 1].nf);
            return rows[i - 1].volts + t * (rows[i].volts - rows[i - 1].volts);
        }
    }
    return rows.back().volts;
}

}  // namespace etchback::blocks
