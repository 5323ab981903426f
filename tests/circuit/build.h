// Circuits for tests, written as short as a bench note.
#pragma once

#include <algorithm>
#include <initializer_list>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "circuit/circuit.h"
#include "circuit/domains.h"
#include "dossier/dossier.h"
#include "parts/catalogue.h"

namespace etchback::circuit::test {

// The catalogue that the program ships.
inline const parts::Catalogue& catalogue() {
    static const auto loaded = parts::load_catalogue(ETCHBACK_SOURCE_DIR "/data/parts");
    if (!loaded) {
        throw std::runtime_error(base::to_string(loaded.errors().front()));
    }
    return *loaded;
}

using Pins = std::vector<std::pair<std::string, std::string>>;

inline dossier::Part part(const std::string& name, const std::string& kind, const Pins& pins) {
    dossier::Part out;
    out.name = name;
    out.kind.value = kind;
    for (const auto& [pin, net] : pins) {
        out.pins.push_back({pin, net, {}});
    }
    return out;
}

// With a value as a person writes it; the kind supplies the unit.
inline dossier::Part part(const std::string& name,
                          const std::string& kind,
                          const std::string& value,
                          const Pins& pins) {
    dossier::Part out = part(name, kind, pins);
    const parts::Kind* known = catalogue().find(kind);
    const auto unit = known != nullptr ? known->value_unit : base::Unit::none;
    out.value.emplace().value = *base::parse_quantity(value, unit);
    return out;
}

// Two-pin parts.
inline dossier::Part r(const std::string& name,
                       const std::string& value,
                       const std::string& a,
                       const std::string& b) {
    return part(name, "resistor", value, {{"1", a}, {"2", b}});
}
inline dossier::Part c(const std::string& name,
                       const std::string& value,
                       const std::string& a,
                       const std::string& b) {
    return part(name, "capacitor", value, {{"1", a}, {"2", b}});
}
inline dossier::Part electrolytic(const std::string& name,
                                  const std::string& plus,
                                  const std::string& minus) {
    return part(name, "electrolytic capacitor", "10u", {{"+", plus}, {"-", minus}});
}
inline dossier::Part diode(const std::string& name,
                           const std::string& anode,
                           const std::string& cathode) {
    return part(name, "diode", {{"anode", anode}, {"cathode", cathode}});
}
inline dossier::Part bridge(const std::string& name,
                            const std::string& ac1,
                            const std::string& ac2,
                            const std::string& plus,
                            const std::string& minus) {
    return part(name, "bridge rectifier", {{"~1", ac1}, {"~2", ac2}, {"+", plus}, {"-", minus}});
}
inline dossier::Part mains(const std::string& live, const std::string& neutral) {
    return part("J1", "mains", {{"L", live}, {"N", neutral}});
}

inline dossier::Winding winding(const std::string& name, std::initializer_list<const char*> pins) {
    dossier::Winding out;
    out.name.value = name;
    for (const char* pin : pins) {
        out.pins.push_back({pin, {}});
    }
    return out;
}

inline dossier::NetNote note(const std::string& net, const std::string& role) {
    dossier::NetNote out;
    out.name = net;
    out.role.value = role;
    return out;
}

inline Circuit build(const std::vector<dossier::Part>& parts,
                     const std::vector<dossier::NetNote>& notes = {}) {
    return circuit::build(parts, notes, catalogue());
}

// An isolated flyback, invented: mains, bridge, transformer with auxiliary winding, optocoupler
// feedback, a capacitor from primary to secondary.
inline std::vector<dossier::Part> flyback() {
    dossier::Part t1 = part(
        "T1",
        "transformer",
        {{"1", "HV+"}, {"2", "DRAIN"}, {"3", "SEC"}, {"4", "OUT-"}, {"5", "AUX"}, {"6", "HV-"}});
    t1.windings = {winding("primary", {"2", "1"}),
                   winding("secondary", {"3", "4"}),
                   winding("auxiliary", {"5", "6"})};
    return {
        mains("L", "N"),
        part("F1", "fuse", "1 A", {{"1", "L"}, {"2", "L_F"}}),
        bridge("BR1", "L_F", "N", "HV+", "HV-"),
        electrolytic("C1", "HV+", "HV-"),
        t1,
        part("U1",
             "controller",
             {{"VCC", "VCC"}, {"GND", "HV-"}, {"DRV", "GATE"}, {"CS", "CS"}, {"FB", "FB"}}),
        part("Q1", "N-channel MOSFET", {{"gate", "GATE"}, {"drain", "DRAIN"}, {"source", "CS"}}),
        r("R1", "1R5", "CS", "HV-"),
        r("R2", "1M", "HV+", "VCC"),
        diode("D1", "AUX", "VCC"),
        electrolytic("C2", "VCC", "HV-"),
        diode("D2", "SEC", "OUT+"),
        electrolytic("C3", "OUT+", "OUT-"),
        c("C4", "1n", "HV-", "OUT-"),
        part("U2",
             "optocoupler",
             {{"anode", "OPTO_A"}, {"cathode", "OPTO_K"}, {"collector", "FB"}, {"emitter", "HV-"}}),
        r("R3", "1k", "OUT+", "OPTO_A"),
        part("D3", "Zener diode", "11 V", {{"cathode", "OPTO_K"}, {"anode", "OUT-"}}),
        part("J2", "connector", {{"1", "OUT+"}, {"2", "OUT-"}})};
}

// A non-isolated capacitive dropper, invented.
inline std::vector<dossier::Part> dropper() {
    return {mains("L", "N"),
            c("C1", "470n", "L", "X"),
            r("R1", "1M", "L", "X"),
            bridge("BR1", "X", "N", "OUT+", "OUT-"),
            electrolytic("C2", "OUT+", "OUT-"),
            part("LED1", "LED string", {{"+", "OUT+"}, {"-", "OUT-"}})};
}

inline std::vector<std::string> names(const Circuit& circuit, const std::vector<NetId>& nets) {
    std::vector<std::string> out;
    for (const NetId net : nets) {
        out.push_back(circuit[net].name);
    }
    return out;
}

}  // namespace etchback::circuit::test
