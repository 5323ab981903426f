// One hand-made part for every symbol, for tests and for the sheet of symbols.
#pragma once

#include <string>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::drawing::samples {

inline circuit::Part part(const std::string& name,
                          const std::string& symbol,
                          const std::vector<std::string>& pins) {
    circuit::Part result;
    result.name = name;
    result.kind.id = symbol;
    result.kind.symbol = symbol;
    for (const std::string& pin : pins) {
        result.kind.pins.push_back({pin, {}, parts::PinRole::passive, {}});
        result.pins.push_back({pin, pin, parts::PinRole::passive, {}, {}, {}});
    }
    return result;
}

inline dossier::Winding winding(const std::string& name, const std::vector<std::string>& pins) {
    dossier::Winding result;
    result.name.value = name;
    for (const std::string& pin : pins) {
        result.pins.push_back({pin, {}});
    }
    return result;
}

inline dossier::Amount count(double value) {
    return {base::Quantity::of(value, base::Unit::none), {}};
}

// A flyback transformer: the first winding's dot is on pin 2, below.
inline circuit::Part transformer() {
    circuit::Part result = part("T1", "transformer", {"1", "2", "3", "4", "5", "6"});
    result.said.windings = {winding("primary", {"2", "1"}),
                            winding("secondary", {"3", "4"}),
                            winding("auxiliary", {"5", "6"})};
    return result;
}

inline circuit::Part regulator() {
    circuit::Part result = part("U7", "linear_regulator", {"input", "output", "ground"});
    result.pins[0].role = parts::PinRole::supply;
    result.pins[1].role = parts::PinRole::output;
    result.pins[2].role = parts::PinRole::ground;
    result.pins[0].written = "1";
    result.pins[1].written = "3";
    result.pins[2].written = "2";
    return result;
}

// Every symbol with the pins that it expects; a TVS diode of either sort.
inline std::vector<circuit::Part> one_of_each() {
    circuit::Part string = part("LED1", "led_string", {"+", "-"});
    string.said.properties = {{"count", count(4)}, {"strings", count(2)}};
    circuit::Part box = part("U1", "box", {"VCC", "GND", "DRV", "CS", "FB", "COMP"});
    const parts::PinRole roles[] = {parts::PinRole::supply,
                                    parts::PinRole::ground,
                                    parts::PinRole::output,
                                    parts::PinRole::input,
                                    parts::PinRole::input,
                                    parts::PinRole::input};
    for (std::size_t i = 0; i < box.pins.size(); ++i) {
        box.pins[i].role = roles[i];
    }
    const std::vector<std::string> collector = {"base", "collector", "emitter"};
    const std::vector<std::string> gate = {"gate", "drain", "source"};
    const std::vector<std::string> diode = {"anode", "cathode"};
    const std::vector<std::string> two = {"1", "2"};
    return {part("BT1", "battery", {"+", "-"}),
            std::move(box),
            part("BR1", "bridge_rectifier", {"~1", "~2", "+", "-"}),
            part("C1", "capacitor", two),
            part("L2", "common_mode_choke", {"1", "2", "3", "4"}),
            part("U4", "comparator", {"in+", "in-", "out", "v+", "v-"}),
            part("U6", "controller", {"1", "2", "3", "4", "5", "6", "7", "8"}),
            regulator(),
            part("J2", "connector", {"1", "2", "OUT+"}),
            part("Y1", "crystal", two),
            part("G1", "dc_supply", {"+", "-"}),
            part("D6", "diac", two),
            part("D1", "diode", diode),
            part("E1", "earth", {"1"}),
            part("FB1", "ferrite_bead", two),
            part("F1", "fuse", two),
            part("R3", "fusible_resistor", two),
            part("G2", "gas_discharge_tube", two),
            part("Q7", "igbt", {"gate", "collector", "emitter"}),
            part("L1", "inductor", two),
            part("JP1", "jumper", two),
            part("LED2", "led", diode),
            std::move(string),
            part("R7", "light_resistor", two),
            part("Z1", "load", two),
            part("LS1", "loudspeaker", two),
            part("E2", "lamp", two),
            part("J1", "mains", {"L", "N", "PE"}),
            part("M1", "motor", two),
            part("Q5", "njfet", gate),
            part("Q3", "nmos", gate),
            part("Q1", "npn", collector),
            part("RT1", "ntc", two),
            part("U3", "op_amp", {"in+", "in-", "out", "v+", "v-"}),
            part("U2", "optocoupler", {"anode", "cathode", "collector", "emitter"}),
            part("Q6", "pjfet", gate),
            part("Q4", "pmos", gate),
            part("D7", "photodiode", diode),
            part("Q10", "phototransistor", {"collector", "emitter"}),
            part("Q2", "pnp", collector),
            part("C2", "polarised_capacitor", {"+", "-"}),
            part("R6", "potentiometer", {"1", "2", "3"}),
            part("RT2", "ptc", two),
            part("S2", "push_button", two),
            part("K1", "relay", {"coil 1", "coil 2", "common", "no", "nc"}),
            part("R1", "resistor", two),
            part("D2", "schottky_diode", diode),
            part("U5", "shunt_regulator", {"reference", "cathode", "anode"}),
            part("SG1", "spark_gap", two),
            part("S1", "switch", two),
            part("TP1", "test_point", {"1"}),
            part("F2", "thermal_fuse", two),
            part("Q8", "thyristor", {"anode", "cathode", "gate"}),
            transformer(),
            part("Q9", "triac", {"MT1", "MT2", "gate"}),
            part("D5", "tvs", two),
            part("D4", "tvs", diode),
            part("RV1", "varistor", two),
            part("D3", "zener_diode", diode)};
}

}  // namespace etchback::drawing::samples
