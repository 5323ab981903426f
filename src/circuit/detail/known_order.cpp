#include "circuit/detail/known_order.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "circuit/detail/islands.h"
#include "circuit/detail/sanity_checks.h"
#include "circuit/domains.h"

namespace etchback::circuit::detail {

namespace {

using parts::PinRole;

class Finder {
public:
    explicit Finder(const Circuit& circuit) : circuit_(circuit) {}

    std::vector<Order> find() {
        for (std::size_t i = 0; i < circuit_.parts.size(); ++i) {
            const PartId id{static_cast<int>(i)};
            from_poles(id);
            from_chip(id);
            from_windings(id);
        }
        from_four_diodes();
        from_notes();
        std::stable_sort(orders_.begin(), orders_.end(), [](const Order& a, const Order& b) {
            const auto key = [](const Order& o) {
                return std::tuple(!o.from, o.from.value_or(PartId{}), o.high, o.low);
            };
            return key(a) < key(b);
        });
        return std::move(orders_);
    }

private:
    std::string name(NetId net) const { return in_quotes(circuit_[net].name); }

    void add(NetId high, NetId low, std::optional<PartId> from, const std::string& reason) {
        if (high.known() && low.known() && high != low) {
            orders_.push_back(
                {high,
                 low,
                 from,
                 fmt::format("{} makes {} more positive than {}", reason, name(high), name(low))});
        }
    }

    NetId first_with(const Part& part, PinRole role) const {
        for (const Pin& pin : part.pins) {
            if (pin.role == role && pin.net.known()) {
                return pin.net;
            }
        }
        return {};
    }

    void from_poles(PartId id) {
        const Part& part = circuit_[id];
        if (part.kind.id == "bridge_rectifier" || is_other_supply(part)) {
            add(first_with(part, PinRole::positive),
                first_with(part, PinRole::negative),
                id,
                part.name);
        }
    }

    // Linear regulators are left out: a negative one has its input below its ground.
    void from_chip(PartId id) {
        const Part& part = circuit_[id];
        if (part.kind.family == "controller" || part.kind.family == "amplifier") {
            add(first_with(part, PinRole::supply),
                first_with(part, PinRole::ground),
                id,
                part.name);
        }
    }

    static bool is_rectifier(const Part& part) {
        return part.kind.id == "diode" || part.kind.id == "schottky_diode";
    }

    void from_windings(PartId id) {
        const Part& part = circuit_[id];
        if (part.kind.family != "transformer") {
            return;
        }
        for (const auto& [side, nets] : nets_by_side(part)) {
            for (const NetId end : nets) {
                for (const NetId other : nets) {
                    if (end != other) {
                        from_winding_end(end, other, part.name + ", " + side);
                    }
                }
            }
        }
    }

    // A diode at `end` of a winding whose other end is on `other`.
    void from_winding_end(NetId end, NetId other, const std::string& winding) {
        for (const PartId id : circuit_.parts_on(end)) {
            const Part& diode = circuit_[id];
            if (!is_rectifier(diode)) {
                continue;
            }
            const NetId anode = diode.net("anode");
            const NetId cathode = diode.net("cathode");
            const std::string reason =
                fmt::format("{} behind the winding ({})", diode.name, winding);
            if (anode == end) {
                add(cathode, other, id, reason);
            } else if (cathode == end) {
                add(other, anode, id, reason);
            }
        }
    }

    // Two nets from each of which a diode leads to a common plus, and to each of which one leads
    // from a common minus.
    void from_four_diodes() {
        std::map<NetId, std::vector<std::pair<NetId, PartId>>> ups;    // anode -> cathodes
        std::map<NetId, std::vector<std::pair<NetId, PartId>>> downs;  // cathode -> anodes
        for (std::size_t i = 0; i < circuit_.parts.size(); ++i) {
            const Part& part = circuit_.parts[i];
            if (is_rectifier(part) && part.net("anode").known() && part.net("cathode").known()) {
                const PartId id{static_cast<int>(i)};
                ups[part.net("anode")].emplace_back(part.net("cathode"), id);
                downs[part.net("cathode")].emplace_back(part.net("anode"), id);
            }
        }
        std::map<std::pair<NetId, NetId>, std::pair<int, PartId>> arms;  // plus, minus -> count
        for (const auto& [net, cathodes] : ups) {
            if (!downs.contains(net)) {
                continue;
            }
            for (const auto& [plus, up] : cathodes) {
                for (const auto& [minus, down] : downs.at(net)) {
                    auto& [count, first] = arms[{plus, minus}];
                    first = count++ == 0 ? up : std::min(first, up);
                }
            }
        }
        for (const auto& [poles, arm] : arms) {
            if (arm.first >= 2) {
                add(poles.first,
                    poles.second,
                    arm.second,
                    "the bridge of diodes with " + circuit_[arm.second].name);
            }
        }
    }

    void from_notes() {
        const Domains found = domains(circuit_);
        for (std::size_t i = 0; i < circuit_.nets.size(); ++i) {
            const Net& net = circuit_.nets[i];
            const NetId id{static_cast<int>(i)};
            const NetId zero = found.domains[static_cast<std::size_t>(found.of(id))].reference;
            if (!net.note || !net.note->voltage || !zero.known() ||
                circuit_[zero].role != "return") {
                continue;
            }
            const dossier::Quantity& voltage = net.note->voltage->value;
            const std::string reason = "the voltage written for " + in_quotes(net.name);
            if (voltage.low > 0.0) {
                add(id, zero, std::nullopt, reason);
            } else if (voltage.high < 0.0) {
                add(zero, id, std::nullopt, reason);
            }
        }
    }

    const Circuit& circuit_;
    std::vector<Order> orders_;
};

}  // namespace

std::vector<Order> known_orders(const Circuit& circuit) {
    return Finder(circuit).find();
}

}  // namespace etchback::circuit::detail
