#include "blocks/kinds.h"

#include <algorithm>
#include <array>
#include <span>

#include "base/text.h"

namespace etchback::blocks {
namespace {

using circuit::NetId;
using circuit::Part;

bool one_of(std::string_view word, std::span<const std::string_view> words) {
    return std::find(words.begin(), words.end(), word) != words.end();
}

bool has_id(const Part& part, std::initializer_list<std::string_view> ids) {
    return std::find(ids.begin(), ids.end(), part.kind.id) != ids.end();
}

bool named(const circuit::Pin& pin, std::span<const std::string_view> names) {
    return one_of(base::lowered(pin.written), names) || one_of(base::lowered(pin.name), names);
}

NetId net_of_role(const Part& part,
                  parts::PinRole role,
                  std::span<const std::string_view> usual_names) {
    for (const circuit::Pin& pin : part.pins) {
        if (named(pin, usual_names) && pin.net.known()) {
            return pin.net;
        }
    }
    for (const circuit::Pin& pin : part.pins) {
        if (pin.role == role && pin.net.known()) {
            return pin.net;
        }
    }
    return {};
}

constexpr std::array<std::string_view, 6> supply_names = {
    "vcc", "vdd", "vin", "bp", "supply", "v+"};
constexpr std::array<std::string_view, 5> ground_names = {"gnd", "vss", "ground", "pgnd", "agnd"};
constexpr std::array<std::string_view, 14> sense_names = {"fb",
                                                          "cs",
                                                          "zcd",
                                                          "isen",
                                                          "vsen",
                                                          "vs",
                                                          "inv",
                                                          "mult",
                                                          "sns",
                                                          "sense",
                                                          "ref",
                                                          "dem",
                                                          "ovp",
                                                          "det"};
constexpr std::array<std::string_view, 5> switch_names = {
    "drain", "collector", "sw", "d", "hv_switch"};

}  // namespace

bool is_resistor(const Part& part) {
    return part.kind.family == "resistor";
}
bool is_capacitor(const Part& part) {
    return part.kind.family == "capacitor";
}
bool is_electrolytic(const Part& part) {
    return is_capacitor(part) && part.kind.id.find("electrolytic") != std::string::npos;
}
bool is_inductor(const Part& part) {
    return part.kind.family == "inductor";
}
bool is_common_mode_choke(const Part& part) {
    return has_id(part, {"common_mode_choke"});
}
bool is_transformer(const Part& part) {
    return part.kind.family == "transformer";
}
bool is_fuse(const Part& part) {
    return part.kind.family == "fuse" || part.kind.id == "fusible_resistor";
}
bool is_ntc(const Part& part) {
    return has_id(part, {"ntc_thermistor"});
}
bool is_diode(const Part& part) {
    return has_id(part, {"diode", "schottky_diode"});
}
bool is_zener(const Part& part) {
    return has_id(part, {"zener_diode"});
}
bool is_suppressor(const Part& part) {
    return has_id(part, {"tvs_diode", "bidirectional_tvs_diode", "varistor", "spark_gap"});
}
bool is_bridge(const Part& part) {
    return has_id(part, {"bridge_rectifier"});
}
bool is_led(const Part& part) {
    return has_id(part, {"led", "led_string"});
}
bool is_led_string(const Part& part) {
    return has_id(part, {"led_string"});
}
bool is_optocoupler(const Part& part) {
    return has_id(part, {"optocoupler"});
}
bool is_transistor(const Part& part) {
    return part.kind.family == "transistor";
}
bool is_controller(const Part& part) {
    return has_id(part, {"controller"});
}
bool is_shunt_regulator(const Part& part) {
    return has_id(part, {"shunt_regulator"});
}
bool is_linear_regulator(const Part& part) {
    return has_id(part, {"linear_regulator"});
}
bool is_test_point(const Part& part) {
    return has_id(part, {"test_point"});
}
bool is_mains(const Part& part) {
    return has_id(part, {"mains"});
}
bool is_connector(const Part& part) {
    return part.kind.coupling == parts::Coupling::none;
}

std::optional<std::pair<NetId, NetId>> ends(const Part& part) {
    std::vector<NetId> nets;
    for (const circuit::Pin& pin : part.pins) {
        if (pin.net.known()) {
            nets.push_back(pin.net);
        }
    }
    if (nets.size() != 2 || nets[0] == nets[1]) {
        return std::nullopt;
    }
    return std::pair(nets[0], nets[1]);
}

std::vector<std::pair<NetId, NetId>> series_paths(const Part& part, double most_ohm) {
    if (is_common_mode_choke(part)) {
        std::vector<std::pair<NetId, NetId>> paths;
        for (std::size_t i = 0; i < part.pins.size(); ++i) {
            for (std::size_t j = i + 1; j < part.pins.size(); ++j) {
                const circuit::Pin& a = part.pins[i];
                const circuit::Pin& b = part.pins[j];
                if (a.side == b.side && a.net.known() && b.net.known() && a.net != b.net) {
                    paths.emplace_back(a.net, b.net);
                }
            }
        }
        return paths;
    }
    const bool low_resistor = is_resistor(part) && part.value() && *part.value() <= most_ohm;
    const bool joins = is_fuse(part) || is_ntc(part) || is_inductor(part) || low_resistor ||
                       has_id(part, {"switch", "jumper", "ptc_thermistor"});
    const auto both = ends(part);
    return joins && both ? std::vector{*both} : std::vector<std::pair<NetId, NetId>>{};
}

std::optional<Poles> poles(const Part& part) {
    const bool string = part.pin("anode") == std::nullopt;
    const Poles found{part.net(string ? "+" : "anode"), part.net(string ? "-" : "cathode")};
    if (!found.positive.known() || !found.negative.known()) {
        return std::nullopt;
    }
    return found;
}

double forward_drop_v(const Part& part) {
    if (const auto stated = property(part, "forward_voltage")) {
        return *stated;
    }
    return part.kind.id == "schottky_diode" ? 0.5 : 0.7;
}

std::optional<double> led_knee_v(const Part& part) {
    if (!is_led(part)) {
        return std::nullopt;
    }
    auto forward_v = property(part, "forward_voltage");
    if (!forward_v && part.kind.value_unit == base::Unit::volt) {
        forward_v = part.value();
    }
    if (!forward_v) {
        return std::nullopt;
    }
    const auto count = property(part, "count");
    if (!count && is_led_string(part)) {
        return std::nullopt;
    }
    return *forward_v * count.value_or(1.0);
}

std::optional<double> property(const Part& part, std::string_view key) {
    for (const auto& [name, amount] : part.said.properties) {
        if (name == key) {
            return amount.value.value;
        }
    }
    return std::nullopt;
}

std::optional<double> threshold(const Part& part, std::string_view key) {
    for (const auto& [name, amount] : part.said.thresholds) {
        if (name == key) {
            return amount.value.high;
        }
    }
    return std::nullopt;
}

std::optional<ReferenceVoltage> reference_v(const Part& part) {
    if (const auto stated = property(part, "reference_voltage")) {
        return ReferenceVoltage{*stated, false};
    }
    if (part.said.value && part.said.value->value.unit == base::Unit::volt) {
        return ReferenceVoltage{part.said.value->value.value, false};
    }
    if (part.said.type.value.find("431") != std::string::npos) {
        return ReferenceVoltage{2.5, true};
    }
    return std::nullopt;
}

NetId supply_net(const Part& part) {
    return net_of_role(part, parts::PinRole::supply, supply_names);
}
NetId ground_net(const Part& part) {
    return net_of_role(part, parts::PinRole::ground, ground_names);
}

bool is_high_impedance(const circuit::Circuit& circuit, circuit::PinRef ref) {
    const Part& part = circuit[ref.part];
    const circuit::Pin& pin = circuit[ref];
    if (is_test_point(part)) {
        return true;
    }
    if (is_controller(part) || is_shunt_regulator(part) || part.kind.id == "op_amp" ||
        part.kind.id == "comparator") {
        return pin.role == parts::PinRole::input || pin.name == "reference" ||
               named(pin, sense_names);
    }
    return false;
}

bool is_switching_pin(const circuit::Circuit& circuit, circuit::PinRef ref) {
    const Part& part = circuit[ref.part];
    return (is_transistor(part) || is_controller(part)) && named(circuit[ref], switch_names);
}

bool is_switching_net(const circuit::Circuit& circuit, NetId net) {
    const auto& pins = circuit[net].pins;
    return std::any_of(pins.begin(), pins.end(), [&](circuit::PinRef ref) {
        return is_switching_pin(circuit, ref);
    });
}

}  // namespace etchback::blocks
