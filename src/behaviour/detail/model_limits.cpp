// What parts can stand: by the dossier, by their type, by their body.
#include <fmt/format.h>

#include <numbers>

#include "behaviour/detail/model_parts.h"

namespace etchback::behaviour::detail {
namespace {

using parts::RegisteredType;

struct Rating {
    double value = 0.0;
    bool assumed = false;
    std::string basis;
};

std::optional<Rating> stated(const std::optional<dossier::Amount>& said, std::string basis) {
    return said ? std::optional(Rating{said->value.value, false, std::move(basis)}) : std::nullopt;
}

std::optional<Rating> typed(const Builder& b, PartId id, double RegisteredType::*field) {
    const RegisteredType* type = b.type(id);
    if (type == nullptr || type->*field <= 0.0) {
        return std::nullopt;
    }
    return Rating{type->*field, true, fmt::format("{}: {}", type->type, type->source)};
}

std::optional<Rating> by_body(const Builder& b,
                              PartId id,
                              double parts::Body::*field,
                              base::Unit unit) {
    const circuit::Part& part = b.part(id);
    const parts::Body* body = b.tables.catalogue.body(part.said.body.value, part.kind.family);
    if (part.said.body.value.empty() || body == nullptr || body->*field <= 0.0) {
        return std::nullopt;
    }
    return Rating{
        body->*field,
        true,
        fmt::format("{}: usually {}", body->id, base::to_engineering(body->*field, unit))};
}

std::optional<Rating> first(std::initializer_list<std::optional<Rating>> all) {
    for (const auto& each : all) {
        if (each) {
            return each;
        }
    }
    return std::nullopt;
}

void put(Builder& b,
         PartId id,
         Limit::Kind kind,
         std::optional<ProbeId> probe,
         const std::optional<Rating>& rating) {
    Limit limit;
    limit.part = b.part(id).name;
    limit.kind = kind;
    limit.probe = probe;
    if (kind == Limit::Kind::power) {
        limit.owner = b.owner(id);
    }
    if (rating) {
        limit.rating = rating->value;
        limit.rating_assumed = rating->assumed;
        limit.basis = rating->basis;
    }
    b.model.limits.push_back(std::move(limit));
}

std::optional<ProbeId> amps(const Builder& b, PartId id) {
    const auto it = b.model.part_amps.find(b.part(id).name);
    return it == b.model.part_amps.end() ? std::nullopt : std::optional(it->second);
}

ProbeId volts(Builder& b, PartId id, std::string_view plus, std::string_view minus) {
    return b.network().probe_voltage(b.name(id, std::string(plus) + " to " + std::string(minus)),
                                     b.pin(id, plus),
                                     b.pin(id, minus));
}

ProbeId volts(Builder& b, PartId id) {
    return b.network().probe_voltage(b.name(id, "voltage"), b.pin(id, 0), b.pin(id, 1));
}

// The voltage that blocks a polarised two-pin part: from cathode to anode.
void limit_diode(Builder& b, PartId id) {
    const dossier::Part& said = b.part(id).said;
    const bool clamps = b.part(id).kind.id == "zener_diode" || b.part(id).kind.id == "tvs_diode";
    if (!clamps) {
        put(b,
            id,
            Limit::Kind::peak_voltage,
            volts(b, id, "cathode", "anode"),
            first({stated(said.rated_voltage, "rated voltage"),
                   typed(b, id, &RegisteredType::reverse_voltage_v)}));
    }
    put(b,
        id,
        Limit::Kind::mean_current,
        amps(b, id),
        first({stated(said.rated_current, "rated current"),
               typed(b, id, &RegisteredType::current_a)}));
    put(b,
        id,
        Limit::Kind::power,
        {},
        first({stated(said.rated_power, "rated power"), typed(b, id, &RegisteredType::power_w)}));
}

// An X or Y capacitor is rated by the RMS value of a sine, others by their highest voltage.
void limit_capacitor(Builder& b, PartId id) {
    const circuit::Part& part = b.part(id);
    auto rating = first({stated(part.said.rated_voltage, "rated voltage"),
                         by_body(b, id, &parts::Body::usual_voltage_v, base::Unit::volt)});
    if (rating && !part.kind.safety_class.empty()) {
        rating->value *= std::numbers::sqrt2;
        rating->basis += ", RMS, as the crest of a sine";
    }
    put(b, id, Limit::Kind::peak_voltage, volts(b, id), rating);
    std::optional<Rating> ripple;
    const auto said = part.said.properties.find("ripple_current");
    if (said != part.said.properties.end()) {
        ripple = Rating{said->second.value.value, false, "rated ripple current"};
    }
    if (part.kind.polarised || ripple) {
        put(b, id, Limit::Kind::rms_current, amps(b, id), ripple);
    }
}

void limit_resistor(Builder& b, PartId id) {
    const dossier::Part& said = b.part(id).said;
    if (b.part(id).pins.size() != 2 || b.silent.contains(id)) {
        return;
    }
    put(b,
        id,
        Limit::Kind::power,
        {},
        first({stated(said.rated_power, "rated power"),
               by_body(b, id, &parts::Body::usual_power_w, base::Unit::watt)}));
    put(b,
        id,
        Limit::Kind::peak_voltage,
        volts(b, id),
        first({stated(said.rated_voltage, "rated voltage"),
               by_body(b, id, &parts::Body::usual_voltage_v, base::Unit::volt)}));
}

void limit_transistor(Builder& b, PartId id) {
    const circuit::Part& part = b.part(id);
    const dossier::Part& said = part.said;
    const bool mosfet = part.pin("drain").has_value();
    const bool p_type = part.kind.id == "p_channel_mosfet" || part.kind.id == "pnp_transistor";
    const std::string_view high = mosfet ? "drain" : "collector";
    const std::string_view low = mosfet ? "source" : "emitter";
    put(b,
        id,
        Limit::Kind::peak_voltage,
        volts(b, id, p_type ? low : high, p_type ? high : low),
        first({stated(said.rated_voltage, "rated voltage"),
               typed(b, id, &RegisteredType::main_voltage_v)}));
    if (b.is_switch(id)) {
        const SwitchId channel = *b.driven.at(id).channel;
        const BranchId branch = b.network().switches()[static_cast<std::size_t>(channel.index)];
        put(b,
            id,
            Limit::Kind::mean_current,
            b.network().probe_current(b.name(id, "channel current"), branch),
            first({stated(said.rated_current, "rated current"),
                   typed(b, id, &RegisteredType::current_a)}));
    }
    put(b,
        id,
        Limit::Kind::power,
        {},
        first({stated(said.rated_power, "rated power"), typed(b, id, &RegisteredType::power_w)}));
}

void limit_rms_current(Builder& b, PartId id, const std::optional<Rating>& rating) {
    put(b, id, Limit::Kind::rms_current, amps(b, id), rating);
}

std::optional<Rating> own_value(const Builder& b, PartId id) {
    const auto value = b.part(id).value();
    return value ? std::optional(Rating{*value, false, "its value"}) : std::nullopt;
}

void limit_led(Builder& b, PartId id) {
    const dossier::Part& said = b.part(id).said;
    std::optional<Rating> rating = stated(said.rated_current, "rated current");
    const auto usual = said.properties.find("forward_current");
    if (!rating && usual != said.properties.end()) {
        const auto strings = said.properties.find("strings");
        const double many = strings == said.properties.end() ? 1.0 : strings->second.value.value;
        rating = Rating{usual->second.value.value * many, false, "its usual current"};
    }
    put(b, id, Limit::Kind::mean_current, amps(b, id), rating);
    put(b, id, Limit::Kind::power, {}, stated(said.rated_power, "rated power"));
}

void limit_part(Builder& b, PartId id) {
    const circuit::Part& part = b.part(id);
    const std::string& family = part.kind.family;
    const dossier::Part& said = part.said;
    if (family == "resistor") {
        limit_resistor(b, id);
    } else if (family == "capacitor") {
        limit_capacitor(b, id);
    } else if (family == "diode" && part.pin("anode") && !b.silent.contains(id)) {
        limit_diode(b, id);
    } else if (family == "transistor") {
        limit_transistor(b, id);
    } else if (family == "led") {
        limit_led(b, id);
    } else if (family == "fuse") {
        limit_rms_current(
            b, id, first({own_value(b, id), stated(said.rated_current, "rated current")}));
    } else if (family == "inductor") {
        limit_rms_current(b, id, stated(said.rated_current, "rated current"));
        std::optional<Rating> most;
        const auto saturation = said.properties.find("saturation_current");
        if (saturation != said.properties.end()) {
            most = Rating{saturation->second.value.value, false, "saturation current"};
        }
        put(b, id, Limit::Kind::peak_current, amps(b, id), most);
    } else if (family == "choke") {
        limit_rms_current(b, id, stated(said.rated_current, "rated current"));
    } else if (family == "bridge") {
        put(b,
            id,
            Limit::Kind::peak_voltage,
            volts(b, id, "plus", "minus"),
            first({stated(said.rated_voltage, "rated voltage"),
                   typed(b, id, &RegisteredType::reverse_voltage_v)}));
        put(b, id, Limit::Kind::power, {}, stated(said.rated_power, "rated power"));
    } else if (family == "varistor" || family == "thermistor") {
        put(b, id, Limit::Kind::peak_current, amps(b, id), std::nullopt);
        put(b, id, Limit::Kind::power, {}, stated(said.rated_power, "rated power"));
    } else if (family == "regulator") {
        put(b,
            id,
            Limit::Kind::power,
            {},
            first(
                {stated(said.rated_power, "rated power"), typed(b, id, &RegisteredType::power_w)}));
    }
}

}  // namespace

void find_limits(Builder& b) {
    for (std::size_t p = 0; p < b.circuit.parts.size(); ++p) {
        limit_part(b, PartId{static_cast<int>(p)});
    }
}

}  // namespace etchback::behaviour::detail
