// Groups of parts that every engineer knows by their shape, on circuits of the gallery.
#include <gtest/gtest.h>

#include <algorithm>

#include "circuit/domains.h"
#include "drawing/drawing.h"
#include "drawing/random_circuit.h"
#include "gallery/circuits.h"

namespace etchback::drawing {
namespace {

using circuit::Circuit;
using drawing_test::catalogue;
using drawing_test::part;

const Circuit& circuit_of(const std::string& id) {
    static const std::vector<gallery::Entry> all = gallery::entries(ETCHBACK_SOURCE_DIR);
    const auto found = std::find_if(
        all.begin(), all.end(), [&](const gallery::Entry& entry) { return entry.id == id; });
    return found->circuit;
}

struct Shown {
    explicit Shown(const Circuit& c) : circuit(c), drawing(draw(c, circuit::domains(c))) {}

    const PlacedPart& at(const std::string& name) const {
        const auto id = circuit.part(name);
        return *std::find_if(drawing.parts.begin(),
                             drawing.parts.end(),
                             [&](const PlacedPart& placed) { return placed.part == *id; });
    }
    double middle_x(const std::string& name) const {
        const PlacedPart& placed = at(name);
        return placed.at.x + (placed.symbol.box.left + placed.symbol.box.right) / 2.0;
    }
    Point pin(const std::string& name, const std::string& pin_name) const {
        const PlacedPart& placed = at(name);
        for (const SymbolPin& pin : placed.symbol.pins) {
            const auto& pins = circuit[placed.part].pins;
            if (pins[static_cast<std::size_t>(pin.pin)].name == pin_name) {
                return {placed.at.x + pin.at.x, placed.at.y + pin.at.y};
            }
        }
        return {};
    }

    const Circuit& circuit;
    Drawing drawing;
};

TEST(KnownShapes, TheMotorOfAnHBridgeLiesBetweenItsHalves) {
    const Shown shown(circuit_of("h-bridge"));
    EXPECT_EQ(shown.pin("M1", "+").y, shown.pin("M1", "-").y);
    const double left = std::min(shown.middle_x("Q1"), shown.middle_x("Q2"));
    const double right = std::max(shown.middle_x("Q1"), shown.middle_x("Q2"));
    EXPECT_LT(left, shown.middle_x("M1"));
    EXPECT_GT(right, shown.middle_x("M1"));
    EXPECT_EQ(shown.at("Q1").at.y, shown.at("Q2").at.y);
    EXPECT_EQ(shown.at("Q3").at.y, shown.at("Q4").at.y);
}

TEST(KnownShapes, FourDiodesOfABridgeStandWithTheirCathodesUp) {
    const Shown shown(circuit_of("bridge-capacitor"));
    for (const char* diode : {"D1", "D2", "D3", "D4"}) {
        EXPECT_EQ(shown.pin(diode, "anode").x, shown.pin(diode, "cathode").x) << diode;
        EXPECT_GT(shown.pin(diode, "anode").y, shown.pin(diode, "cathode").y) << diode;
    }
}

TEST(KnownShapes, ASeriesSwitchAndItsCoilLieInLine) {
    const Shown shown(circuit_of("buck"));
    EXPECT_EQ(shown.pin("Q1", "source").y, shown.pin("Q1", "drain").y);
    EXPECT_EQ(shown.pin("L1", "1").y, shown.pin("L1", "2").y);
    const Shown protection(circuit_of("reverse-polarity"));
    EXPECT_EQ(protection.pin("Q1", "source").y, protection.pin("Q1", "drain").y);
}

TEST(KnownShapes, ASwitchToTheReturnHangsBelowItsLoad) {
    const Shown shown(circuit_of("darlington-switch"));
    EXPECT_LT(shown.pin("Q2", "collector").y, shown.pin("Q2", "emitter").y);
}

// An output connector that no word calls one.
TEST(KnownShapes, WhatIsFedStandsAtTheRightThoughItIsTheOnlyConnector) {
    const Shown shown(circuit_of("charge-pump"));
    EXPECT_LT(shown.middle_x("G1"), shown.middle_x("J1"));
    EXPECT_LT(shown.middle_x("U1"), shown.middle_x("J1"));
}

// Two filters behind buffers, one after the other: the second looks like the first.
TEST(KnownShapes, ACellThatIsThereTwiceLooksTheSameTwice) {
    const auto buffer = [](const char* name, const char* in, const char* out) {
        return part(name,
                    "op-amp",
                    "",
                    std::string("in+=") + in + " in-=" + out + " out=" + out + " v+=VCC v-=VEE");
    };
    const Circuit circuit = circuit::build({part("G1", "DC supply", "12 V", "+=VCC -=GND"),
                                            part("G2", "DC supply", "12 V", "+=GND -=VEE"),
                                            part("J1", "connector", "", "1=IN 2=GND"),
                                            part("R1", "resistor", "10k", "1=IN 2=A"),
                                            part("C1", "ceramic capacitor", "1n", "1=A 2=GND"),
                                            part("R2", "resistor", "1M", "1=A 2=GND"),
                                            buffer("U1", "A", "MID"),
                                            part("R3", "resistor", "10k", "1=MID 2=B"),
                                            part("C2", "ceramic capacitor", "1n", "1=B 2=GND"),
                                            part("R4", "resistor", "1M", "1=B 2=GND"),
                                            buffer("U2", "B", "OUT"),
                                            part("J2", "connector", "", "1=OUT 2=GND")},
                                           {},
                                           catalogue());
    const Shown shown(circuit);
    const auto offset = [&](const char* name, const char* chip) {
        const Point a = shown.at(name).at;
        const Point b = shown.at(chip).at;
        return Point{a.x - b.x, a.y - b.y};
    };
    EXPECT_EQ(offset("C1", "U1"), offset("C2", "U2"));
    EXPECT_EQ(offset("R2", "U1"), offset("R4", "U2"));
    EXPECT_EQ(shown.at("C1").orientation, shown.at("C2").orientation);
}

}  // namespace
}  // namespace etchback::drawing
