// A small board for tests: parts by name as lines of a dossier, put in and taken out one by one,
// and everything that is derived from it.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include "blocks/figures.h"
#include "blocks/voltages.h"
#include "circuit/domains.h"
#include "circuit/reductions.h"
#include "dossier/read.h"

namespace etchback::test {

inline const parts::Catalogue& catalogue() {
    static const parts::Catalogue loaded = [] {
        auto result = parts::load_catalogue(ETCHBACK_SOURCE_DIR "/data/parts");
        if (!result) {
            throw std::runtime_error(base::to_string(result.errors().front()));
        }
        return *std::move(result);
    }();
    return loaded;
}

class Board {
public:
    // `lines` is the inside of the part's table: kind, value, pins ...
    Board& with(const std::string& name, const std::string& lines) {
        without(name);
        parts_.emplace_back(name, lines);
        return *this;
    }
    Board& without(const std::string& name) {
        std::erase_if(parts_, [&](const auto& part) { return part.first == name; });
        return *this;
    }
    Board& supply(std::string lines) {
        supply_ = std::move(lines);
        return *this;
    }
    // Any other tables: nets, claims, readings, alternatives.
    Board& also(const std::string& lines) {
        also_ += lines + "\n";
        return *this;
    }
    Board& shuffle(unsigned seed) {
        std::mt19937 random(seed);
        for (std::size_t i = parts_.size(); i > 1; --i) {
            std::swap(parts_[i - 1], parts_[random() % i]);
        }
        return *this;
    }

    std::string text() const {
        std::string toml =
            "format = 1\n[item]\nname = \"Test board\"\ninvented = true\n\n[supply]\n" + supply_ +
            "\n";
        for (const auto& [name, lines] : parts_) {
            toml += "[parts." + name + "]\n" + lines + "\n\n";
        }
        return toml + also_;
    }

private:
    std::vector<std::pair<std::string, std::string>> parts_;
    std::string supply_ = "kind = \"ac\"\nvoltage = \"230 V\"\nfrequency = \"50 Hz\"";
    std::string also_;
};

inline dossier::Dossier dossier_of(const Board& board) {
    auto result = dossier::read(board.text(), "board.toml", catalogue());
    if (!result) {
        std::string all;
        for (const auto& error : result.errors()) {
            all += base::to_string(error) + "\n";
        }
        throw std::runtime_error(all + board.text());
    }
    return *std::move(result);
}

struct Derived {
    dossier::Dossier dossier;
    circuit::Circuit circuit;
    circuit::Domains domains;
    blocks::Voltages voltages;
    std::vector<base::Figure> figures;

    explicit Derived(dossier::Dossier from) : dossier(std::move(from)) {
        circuit = circuit::build(dossier, catalogue());
        domains = circuit::domains(circuit);
        voltages = blocks::voltages(circuit, domains, dossier);
        figures = blocks::structure_figures(
            circuit, domains, circuit::reductions(circuit), voltages, dossier);
    }
    explicit Derived(const Board& board) : Derived(dossier_of(board)) {}

    const blocks::VoltageBetween* between(const std::string& a, const std::string& b) const {
        const auto na = circuit.net(a);
        const auto nb = circuit.net(b);
        return na && nb ? voltages.between(*na, *nb) : nullptr;
    }
    // The largest working voltage, or -1 where none is known.
    double peak(const std::string& a, const std::string& b) const {
        const auto* v = between(a, b);
        return v == nullptr ? -1.0 : v->working_v_peak;
    }
    double rms(const std::string& a, const std::string& b) const {
        const auto* v = between(a, b);
        return v == nullptr ? -1.0 : v->working_v_rms;
    }
    double fault(const std::string& a, const std::string& b) const {
        const auto* v = between(a, b);
        return v == nullptr ? -1.0 : v->single_fault_v_peak.value_or(-1.0);
    }
    const base::Figure* figure(const std::string& id) const {
        const auto it = std::find_if(
            figures.begin(), figures.end(), [&](const base::Figure& f) { return f.id == id; });
        return it == figures.end() ? nullptr : &*it;
    }
};

constexpr double crest_230 = 325.269;  // √2 · 230 V

// Mains inlet, fuse, bridge, bulk capacitor.
inline Board rectified() {
    Board board;
    board.with("J1", R"(kind = "mains"
pins = { L = "L", N = "N" })");
    board.with("F1", R"(kind = "fuse"
value = "1 A"
pins = { 1 = "L", 2 = "LF" })");
    board.with("RT1", R"(kind = "NTC"
value = "10R"
pins = { 1 = "LF", 2 = "AC" })");
    board.with("BR1", R"(kind = "bridge rectifier"
pins = { "~1" = "AC", "~2" = "N", "+" = "HV+", "-" = "HV-" })");
    board.with("C1", R"(kind = "electrolytic capacitor"
value = "10u"
rated_voltage = "400 V"
pins = { "+" = "HV+", "-" = "HV-" })");
    return board;
}

// The same with an isolated flyback converter behind it: 12 V by a shunt regulator.
inline Board flyback() {
    Board board = rectified();
    board.with("T1", R"(kind = "transformer"
pins = { 1 = "HV+", 2 = "DRAIN", 3 = "AUX", 4 = "HV-", 5 = "SEC", 6 = "OUT-" }
windings = [
  { name = "primary", pins = ["2", "1"], turns = 100 },
  { name = "secondary", pins = ["5", "6"], turns = 15 },
  { name = "auxiliary", pins = ["3", "4"], turns = 17 },
])");
    board.with("U1", R"(kind = "controller"
family = "flyback, fixed frequency, optocoupler"
pins = { GND = "HV-", FB = "FB", CS = "CS", VCC = "VCC", DRV = "GATE" }
thresholds = { start = "16 V", stop = "9 V", over_voltage = "27 V" })");
    board.with("Q1", R"(kind = "N-channel MOSFET"
rated_voltage = "650 V"
pins = { gate = "GATE", drain = "DRAIN", source = "CS" })");
    board.with("R8", R"(kind = "resistor"
value = "1R"
pins = { 1 = "CS", 2 = "HV-" })");
    board.with("D2", R"(kind = "diode"
pins = { anode = "AUX", cathode = "VCC" })");
    board.with("C4", R"(kind = "electrolytic capacitor"
value = "10u"
rated_voltage = "50 V"
pins = { "+" = "VCC", "-" = "HV-" })");
    board.with("R3", R"(kind = "resistor"
value = "470k"
body = "1206"
pins = { 1 = "HV+", 2 = "START" })");
    board.with("R4", R"(kind = "resistor"
value = "470k"
body = "1206"
pins = { 1 = "START", 2 = "VCC" })");
    board.with("D4", R"(kind = "Schottky diode"
pins = { anode = "SEC", cathode = "OUT+" })");
    board.with("C9", R"(kind = "electrolytic capacitor"
value = "470u"
rated_voltage = "35 V"
pins = { "+" = "OUT+", "-" = "OUT-" })");
    board.with("U2", R"(kind = "optocoupler"
pins = { anode = "OA", cathode = "OK", collector = "FB", emitter = "HV-" })");
    board.with("R12", R"(kind = "resistor"
value = "1k"
pins = { 1 = "OUT+", 2 = "OA" })");
    board.with("U3", R"(kind = "shunt regulator"
properties = { reference_voltage = "2.5 V" }
pins = { cathode = "OK", anode = "OUT-", reference = "REF" })");
    board.with("R14", R"(kind = "resistor"
value = "38k"
tolerance = "1 %"
pins = { 1 = "OUT+", 2 = "REF" })");
    board.with("R15", R"(kind = "resistor"
value = "10k"
tolerance = "1 %"
pins = { 1 = "REF", 2 = "OUT-" })");
    board.with("J2", R"(kind = "connector"
pins = { 1 = "OUT+", 2 = "OUT-" }
touchable = true)");
    board.also(R"([nets."HV-"]
role = "return"
[nets."OUT-"]
role = "return")");
    return board;
}

// A capacitive dropper with a bridge and LEDs.
inline Board dropper() {
    Board board;
    board.with("J1", R"(kind = "mains"
pins = { L = "L", N = "N" })");
    board.with("R1", R"(kind = "fusible resistor"
value = "100R"
rated_power = "2 W"
pins = { 1 = "L", 2 = "LF" })");
    board.with("C1", R"(kind = "X2 capacitor"
value = "470n"
rated_voltage = "310 V"
pins = { 1 = "LF", 2 = "AC" })");
    board.with("R2", R"(kind = "resistor"
value = "220k"
body = "1206"
pins = { 1 = "LF", 2 = "CM" })");
    board.with("R3", R"(kind = "resistor"
value = "220k"
body = "1206"
pins = { 1 = "CM", 2 = "AC" })");
    board.with("BR1", R"(kind = "bridge rectifier"
pins = { "~1" = "AC", "~2" = "N", "+" = "P", "-" = "M" })");
    board.with("C2", R"(kind = "electrolytic capacitor"
value = "10u"
rated_voltage = "400 V"
pins = { "+" = "P", "-" = "M" })");
    board.with("LED1", R"(kind = "LED string"
properties = { count = "20", forward_voltage = "3 V" }
pins = { "+" = "P", "-" = "M" })");
    return board;
}

// A constant-current flyback that feeds LEDs: no shunt regulator, no optocoupler.
inline Board led_driver() {
    Board board = flyback();
    for (const char* part : {"U2", "R12", "U3", "R14", "R15", "J2"}) {
        board.without(part);
    }
    board.with("LED1", R"(kind = "LED string"
properties = { count = "4", forward_voltage = "3 V" }
pins = { "+" = "OUT+", "-" = "OUT-" })");
    return board;
}

}  // namespace etchback::test
