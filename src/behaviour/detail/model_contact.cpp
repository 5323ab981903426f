// Switches, relays, loads, and parts that only join nets or are not simulated.
#include <fmt/format.h>

#include "behaviour/detail/model_machines.h"
#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

// Voltage that a load is made for: its own, the label's output voltage, or the supply's.
std::optional<double> load_volts(Builder& b, PartId id) {
    if (const auto& said = b.part(id).said.rated_voltage) {
        return said->value.value;
    }
    for (const dossier::Claim& claim : b.dossier.claims) {
        if (claim.quantity.value == "output voltage" && claim.value.value.value > 0) {
            return claim.value.value.value;
        }
    }
    if (b.dossier.supply.voltage) {
        return b.dossier.supply.voltage->value.value;
    }
    return std::nullopt;
}

std::optional<double> property(const Builder& b, PartId id, const char* key) {
    const auto& all = b.part(id).said.properties;
    const auto it = all.find(key);
    return it == all.end() || it->second.value.value <= 0.0 ? std::nullopt
                                                            : std::optional(it->second.value.value);
}

// Ohms of a load that takes so many watts or amperes.
std::optional<double> ohms(Builder& b,
                           PartId id,
                           std::optional<double> watt,
                           std::optional<double> amps) {
    if (watt && amps) {
        return *watt / (*amps * *amps);
    }
    const auto volts = load_volts(b, id);
    if (volts && watt) {
        return *volts * *volts / *watt;
    }
    if (volts && amps) {
        return *volts / *amps;
    }
    return std::nullopt;
}

void put_load(Builder& b, PartId id, std::optional<double> ohm, bool assumed) {
    const NodeId begin = b.load_terminals(id, b.pin(id, 0), b.pin(id, 1));
    if (!ohm) {
        b.note(fmt::format("{}: neither its resistance nor its power is known; it draws nothing",
                           b.part(id).name));
        b.conductor(id, "", begin, b.pin(id, 1), 1.0 / off_siemens);
        return;
    }
    const double now = b.number(id,
                                "resistance",
                                Known{base::Quantity::of(*ohm, base::Unit::ohm),
                                      assumed,
                                      "from its power and the voltage that it is made for"});
    b.conductor(id, "", begin, b.pin(id, 1), now);
}

}  // namespace

void model_load(Builder& b, PartId id) {
    const auto own = b.part(id).value();
    const auto watt = property(b, id, "power"), amps = property(b, id, "current");
    put_load(b, id, own ? own : ohms(b, id, watt, amps), !own && !(watt && amps));
}

void model_motor(Builder& b, PartId id) {
    const auto& rated = b.part(id).said;
    auto watt = b.part(id).value();
    if (!watt && rated.rated_power) {
        watt = rated.rated_power->value.value;
    }
    std::optional<double> amps;
    if (rated.rated_current) {
        amps = rated.rated_current->value.value;
    }
    const auto winding = property(b, id, "resistance");
    const auto running = ohms(b, id, watt, amps);
    if (running) {
        b.note(
            fmt::format("{}: taken as the resistance that draws its rated power; that it speeds "
                        "up and gives a voltage of its own is not simulated",
                        b.part(id).name));
    } else if (winding) {
        b.note(fmt::format("{}: taken as its winding at standstill", b.part(id).name));
    }
    put_load(b, id, running ? running : winding, true);
}

void model_lamp(Builder& b, PartId id) {
    const auto& said = b.part(id).said;
    auto watt = b.part(id).value();
    if (!watt && said.rated_power) {
        watt = said.rated_power->value.value;
    }
    std::optional<double> amps;
    if (said.rated_current) {
        amps = said.rated_current->value.value;
    }
    put_load(b, id, ohms(b, id, watt, amps), true);
}

void model_switch(Builder& b, PartId id) {
    b.note(fmt::format("{}: taken as closed", b.part(id).name));
    b.current(id, b.conductor(id, "", b.pin(id, 0), b.pin(id, 1), 1.0 / wire_siemens));
}

void model_relay(Builder& b, PartId id) {
    const NodeId from = b.pin(id, "coil1"), to = b.pin(id, "coil2");
    const double rated = b.number(id, "coil_voltage");
    std::optional<Known> coil;
    if (!b.part(id).said.properties.contains("coil_resistance")) {
        coil =
            Known{base::Quantity::of(rated * rated / b.number(id, "coil_power"), base::Unit::ohm),
                  true,
                  "usual power of a coil at its rated voltage"};
    }
    const double ohm = b.number(id, "coil_resistance", coil);
    b.winding(id, "coil", from, to, ohm * b.number(id, "coil_time"), ohm, "iron");
    RelayData data;
    data.part = b.part(id).name;
    data.coil_v = b.network().probe_voltage(b.name(id, "coil voltage"), from, to);
    data.pull_in_v = rated * b.number(id, "pull_in_share");
    data.drop_out_v = rated * b.number(id, "drop_out_share");
    const NodeId common = b.pin(id, "common");
    if (b.on_net(id, "no")) {
        data.made.push_back(b.add_switch(
            id, "make contact", common, b.pin(id, "no"), {wire_siemens, off_siemens, false}));
    }
    if (b.on_net(id, "nc")) {
        data.broken.push_back(b.add_switch(
            id, "break contact", common, b.pin(id, "nc"), {wire_siemens, off_siemens, true}));
    }
    b.machine(make_relay(data));
}

void model_nothing(Builder&, PartId) {}

void model_left_out(Builder& b, PartId id) {
    const circuit::Part& part = b.part(id);
    b.note(
        fmt::format("{}: a {} is not simulated; it is taken as open", part.name, part.kind.title));
}

// A circuit that names no load ends in a connector: its two nets on one side that the mains does
// not feed directly.
void load_of_connectors(Builder& b) {
    if (!b.model.terminals.loads.empty()) {
        return;
    }
    const auto fed_by_mains = [&](NetId net) {
        for (const circuit::PinRef& ref : b.circuit[net].pins) {
            const circuit::Part& part = b.part(ref.part);
            if (part.kind.family == "source") {
                return true;
            }
        }
        const std::string& role = b.circuit[net].role;
        return role == "live" || role == "neutral" || role == "earth";
    };
    for (std::size_t p = 0; p < b.circuit.parts.size(); ++p) {
        const PartId id{static_cast<int>(p)};
        const circuit::Part& part = b.part(id);
        if (part.kind.family != "connector") {
            continue;
        }
        // Between the return and the net on which most hangs; without a return, between the two
        // nets on which most hangs.
        std::optional<std::size_t> plus, minus;
        const auto weight = [&](std::size_t pin) {
            return b.circuit.parts_on(part.pins[pin].net).size();
        };
        for (std::size_t k = 0; k < part.pins.size(); ++k) {
            const NetId net = part.pins[k].net;
            if (!net.known() || fed_by_mains(net)) {
                continue;
            }
            if (b.net(net) == b.return_of(net)) {
                minus = k;
            } else if (!plus || weight(k) > weight(*plus)) {
                plus = k;
            }
        }
        for (std::size_t k = 0; k < part.pins.size() && plus && !minus; ++k) {
            const NetId net = part.pins[k].net;
            if (net.known() && net != part.pins[*plus].net && !fed_by_mains(net)) {
                minus = k;
            }
        }
        if (!plus || !minus || part.pins[*plus].net == part.pins[*minus].net) {
            continue;
        }
        const NodeId from = b.pin(id, *plus), to = b.pin(id, *minus);
        const NodeId begin = b.load_terminals(id, from, to);
        std::optional<double> amps;
        for (const dossier::Claim& claim : b.dossier.claims) {
            if (claim.quantity.value == "output current" && claim.value.value.value > 0) {
                amps = claim.value.value.value;
            }
        }
        const auto volts = load_volts(b, id);
        double ohm = 1.0 / off_siemens;
        if (amps && volts) {
            ohm = b.number(id,
                           "load_resistance",
                           Known{base::Quantity::of(*volts / *amps, base::Unit::ohm),
                                 true,
                                 "output voltage and current that the label claims"});
        } else {
            b.note(
                fmt::format("{}: nothing is said to be joined to it; it is left open", part.name));
        }
        b.conductor(id, "load", begin, to, ohm);
        return;
    }
}

}  // namespace etchback::behaviour::detail
