// What a part is, for those who reason about structure: questions to its kind, asked in one place
// so that a new kind of part in data/parts needs a look here and nowhere else.
#pragma once

#include <optional>
#include <string_view>
#include <utility>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::blocks {

bool is_resistor(const circuit::Part& part);  // fusible ones too
bool is_capacitor(const circuit::Part& part);
bool is_electrolytic(const circuit::Part& part);
bool is_inductor(const circuit::Part& part);
bool is_common_mode_choke(const circuit::Part& part);
bool is_transformer(const circuit::Part& part);
bool is_fuse(const circuit::Part& part);  // fuse, fusible resistor, thermal link
bool is_ntc(const circuit::Part& part);
bool is_diode(const circuit::Part& part);  // rectifying: ordinary or Schottky
bool is_zener(const circuit::Part& part);
bool is_suppressor(const circuit::Part& part);  // suppressor diode, varistor, spark gap
bool is_bridge(const circuit::Part& part);
bool is_led(const circuit::Part& part);  // one LED or a string
bool is_led_string(const circuit::Part& part);
bool is_optocoupler(const circuit::Part& part);
bool is_transistor(const circuit::Part& part);
bool is_controller(const circuit::Part& part);
bool is_shunt_regulator(const circuit::Part& part);
bool is_linear_regulator(const circuit::Part& part);
bool is_test_point(const circuit::Part& part);
bool is_mains(const circuit::Part& part);
bool is_connector(const circuit::Part& part);  // its pins are not tied to each other

// Pairs of nets that the part ties together with next to no voltage when current flows: fuse, NTC,
// closed switch, jumper, inductor, each winding of a common-mode choke, a resistor of at most
// `most_ohm`. Empty for anything else.
std::vector<std::pair<circuit::NetId, circuit::NetId>> series_paths(const circuit::Part& part,
                                                                    double most_ohm);

// The two nets of a two-pin part, if both are known and different.
std::optional<std::pair<circuit::NetId, circuit::NetId>> ends(const circuit::Part& part);

// Anode and cathode of a diode, LED, Zener or the plus and minus of an LED string.
struct Poles {
    circuit::NetId positive, negative;
};
std::optional<Poles> poles(const circuit::Part& part);

// Forward voltage that a rectifying diode is counted with: 0.5 V Schottky, 0.7 V otherwise
// (common practice; a rectifier at full current may take 1 V).
double forward_drop_v(const circuit::Part& part);

// Knee of an LED or LED string: count times forward voltage.
std::optional<double> led_knee_v(const circuit::Part& part);

std::optional<double> property(const circuit::Part& part, std::string_view key);
std::optional<double> threshold(const circuit::Part& part, std::string_view key);

// Reference of a shunt regulator: as stated, or 2.5 V of the type 431 (from memory; `assumed`).
struct ReferenceVoltage {
    double volts = 0.0;
    bool assumed = false;
};
std::optional<ReferenceVoltage> reference_v(const circuit::Part& part);

// A controller's supply and ground nets, by role or by the usual names.
circuit::NetId supply_net(const circuit::Part& part);
circuit::NetId ground_net(const circuit::Part& part);

// Pins that draw next to no current: a chip's sense, feedback and reference inputs.
bool is_high_impedance(const circuit::Circuit& circuit, circuit::PinRef pin);

// Drain, collector, or a controller's built-in switch: the net swings with every cycle.
bool is_switching_pin(const circuit::Circuit& circuit, circuit::PinRef pin);
bool is_switching_net(const circuit::Circuit& circuit, circuit::NetId net);

}  // namespace etchback::blocks
