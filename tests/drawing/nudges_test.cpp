// Shapes that are known at a glance, and what a person asks of a drawing.
#include <gtest/gtest.h>

#include <cmath>

#include "circuit/domains.h"
#include "drawing/drawing.h"
#include "drawing/figures.h"
#include "drawing/random_circuit.h"
#include "drawing/svg.h"

namespace etchback::drawing {
namespace {

using circuit::Circuit;
using drawing_test::catalogue;
using drawing_test::part;

std::vector<dossier::Part> multivibrator_parts() {
    return {part("BAT1", "battery", "9 V", "+=VCC -=GND"),
            part("R1", "resistor", "1k", "1=VCC 2=C_A"),
            part("R2", "resistor", "47k", "1=VCC 2=B_B"),
            part("R3", "resistor", "47k", "1=VCC 2=B_A"),
            part("R4", "resistor", "1k", "1=VCC 2=C_B"),
            part("C1", "electrolytic capacitor", "10u", "+=C_A -=B_B"),
            part("C2", "electrolytic capacitor", "10u", "+=C_B -=B_A"),
            part("Q1", "NPN transistor", "", "base=B_A collector=C_A emitter=GND"),
            part("Q2", "NPN transistor", "", "base=B_B collector=C_B emitter=GND")};
}

Drawing drawn(const Circuit& circuit, const Nudges& nudges = {}) {
    Options options;
    options.nudges = nudges;
    Drawing drawing = draw(circuit, circuit::domains(circuit), options);
    EXPECT_EQ(figures(drawing, circuit).overlaps, 0);
    const auto nets = nets_from_svg(to_svg(drawing, circuit));
    EXPECT_TRUE(nets && *nets == nets_of(circuit));
    return drawing;
}

const PlacedPart& placed(const Drawing& drawing, const Circuit& circuit, const char* name) {
    return drawing.parts[static_cast<std::size_t>(circuit.part(name)->index)];
}

TEST(Shapes, TheHalvesOfAMultivibratorMirrorEachOther) {
    const Circuit circuit = circuit::build(multivibrator_parts(), {}, catalogue());
    const Drawing drawing = drawn(circuit);
    const PlacedPart& q1 = placed(drawing, circuit, "Q1");
    const PlacedPart& q2 = placed(drawing, circuit, "Q2");
    EXPECT_EQ(q1.at.y, q2.at.y);
    EXPECT_NE(q1.orientation.mirrored, q2.orientation.mirrored);
    EXPECT_EQ(placed(drawing, circuit, "R1").at.y, placed(drawing, circuit, "R4").at.y);
    EXPECT_EQ(q1.at.x, placed(drawing, circuit, "R1").at.x);
    EXPECT_EQ(q2.at.x, placed(drawing, circuit, "R4").at.x);
}

TEST(Shapes, ASupplyStandsWithItsPlusOnTop) {
    const Circuit circuit = circuit::build({part("G1", "DC supply", "12 V", "+=VCC -=GND"),
                                            part("R1", "resistor", "1k", "1=VCC 2=OUT"),
                                            part("R2", "resistor", "1k", "1=OUT 2=GND")},
                                           {},
                                           catalogue());
    const Drawing drawing = drawn(circuit);
    EXPECT_EQ(placed(drawing, circuit, "G1").orientation, (Orientation{0, false}));
    EXPECT_EQ(placed(drawing, circuit, "R1").at.x, placed(drawing, circuit, "R2").at.x);
}

TEST(NudgedParts, KeepTheirDistanceAndTheirOrientation) {
    const Circuit circuit = circuit::build(multivibrator_parts(), {}, catalogue());
    Nudges nudges;
    nudges.stands = {{"Q1", Point{40, 30}, Orientation{0, true}},
                     {"Q2", Point{60, 34}, std::nullopt},
                     {"R99", Point{0, 0}, std::nullopt}};
    const Drawing drawing = drawn(circuit, nudges);
    const PlacedPart& q1 = placed(drawing, circuit, "Q1");
    const PlacedPart& q2 = placed(drawing, circuit, "Q2");
    EXPECT_EQ(q2.at.x - q1.at.x, 20.0);
    EXPECT_EQ(q2.at.y - q1.at.y, 4.0);
    EXPECT_EQ(q1.orientation, (Orientation{0, true}));
}

// One capacitor more: no part that was there changes its orientation, and few change their place
// against the transistor by more than two steps.
TEST(NudgedParts, OfAnEarlierDrawingStayWhereTheyWere) {
    const Circuit first = circuit::build(multivibrator_parts(), {}, catalogue());
    const Drawing before = drawn(first);
    std::vector<dossier::Part> parts = multivibrator_parts();
    parts.push_back(part("C3", "ceramic capacitor", "100n", "1=VCC 2=GND"));
    const Circuit second = circuit::build(parts, {}, catalogue());
    Nudges nudges;
    nudges.before = stands_of(before, first);
    const Drawing after = drawn(second, nudges);
    int moved = 0;
    for (const PlacedPart& old : before.parts) {
        const char* name = first[old.part].name.c_str();
        const PlacedPart& now = placed(after, second, name);
        EXPECT_EQ(now.orientation, old.orientation) << name;
        const Point old_q = placed(before, first, "Q1").at;
        const Point now_q = placed(after, second, "Q1").at;
        const double by = std::abs(now.at.x - now_q.x - old.at.x + old_q.x) +
                          std::abs(now.at.y - now_q.y - old.at.y + old_q.y);
        moved += by > 2.0;
    }
    EXPECT_LE(moved, 3);
}

}  // namespace
}  // namespace etchback::drawing
