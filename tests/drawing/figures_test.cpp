#include "drawing/figures.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "drawing/hand_made.h"

namespace etchback::drawing {
namespace {

using samples::Scene;
using testing::ElementsAre;
using testing::IsEmpty;

std::vector<std::string> overlaps(const Scene& scene) {
    return figures(scene.drawing, scene.circuit).overlap_list;
}

TEST(Figures, AGoodDrawingHasNoOverlap) {
    const Scene scene = samples::scene();
    const DrawingFigures f = figures(scene.drawing, scene.circuit);
    EXPECT_THAT(f.overlap_list, IsEmpty());
    EXPECT_EQ(f.overlaps, 0);
    EXPECT_EQ(f.parts, 3);
    EXPECT_EQ(f.nets, 4);
    EXPECT_EQ(f.crossings, 0);
    EXPECT_EQ(f.bends, 0);
    EXPECT_DOUBLE_EQ(f.wire_length, 7);
    EXPECT_DOUBLE_EQ(f.width, 30);
    EXPECT_DOUBLE_EQ(f.height, 25);
}

TEST(Figures, CutsInAWireChangeNoFigure) {
    Scene scene = samples::scene();
    scene.drawing.wires[0].segments = {
        {{13, 10}, {15, 10}}, {{17, 10}, {14, 10}}, {{15, 13}, {15, 10}}};
    const DrawingFigures f = figures(scene.drawing, scene.circuit);
    EXPECT_DOUBLE_EQ(f.wire_length, 7);
    EXPECT_EQ(f.bends, 0);
    EXPECT_THAT(f.overlap_list, IsEmpty());
}

TEST(Figures, CountsBendsOnceEach) {
    Scene scene = samples::scene();
    scene.drawing.wires[0].segments = {
        {{13, 10}, {15, 10}}, {{15, 10}, {15, 12}}, {{15, 12}, {17, 12}}, {{17, 12}, {17, 10}}};
    EXPECT_EQ(figures(scene.drawing, scene.circuit).bends, 3);
}

TEST(Figures, CountsCrossingsOfTwoNetsOnly) {
    Scene scene = samples::scene();
    scene.drawing.wires.push_back({{2}, {{{14, 11}, {16, 11}}}, {}});
    EXPECT_EQ(figures(scene.drawing, scene.circuit).crossings, 1);
    EXPECT_THAT(overlaps(scene), IsEmpty());
}

TEST(Figures, SeesAPartOnAPart) {
    Scene scene = samples::scene();
    scene.drawing.parts[2].at = {15, 16};
    scene.circuit.parts.push_back(samples::part("R4", "resistor", {"1", "2"}));
    scene.drawing.parts.push_back(samples::placed(scene.circuit, 3, {17, 15.5}));
    scene.drawing.labels.erase(scene.drawing.labels.begin() + 3);
    EXPECT_THAT(overlaps(scene), ElementsAre("part R4 on part R3"));
}

TEST(Figures, PartsThatTouchAreNoOverlap) {
    Scene scene = samples::scene();
    scene.circuit.parts.push_back(samples::part("R4", "resistor", {"1", "2"}));
    scene.drawing.parts.push_back(samples::placed(scene.circuit, 3, {10, 11.2}));
    scene.drawing.labels.erase(scene.drawing.labels.begin() + 1);
    EXPECT_THAT(overlaps(scene), IsEmpty());
}

TEST(Figures, SeesATextOnAPart) {
    Scene scene = samples::scene();
    scene.drawing.labels[0].at = {10, 10.2};
    EXPECT_THAT(overlaps(scene), ElementsAre("text 'R1' on part R1"));
}

TEST(Figures, ComputesTheBoxOfATextInsteadOfBelievingIt) {
    Scene scene = samples::scene();
    scene.drawing.labels[0].at = {10, 10.2};
    scene.drawing.labels[0].box = {0, 0, 0.1, 0.1};
    EXPECT_THAT(overlaps(scene), ElementsAre("text 'R1' on part R1"));
}

TEST(Figures, SeesATextOnAText) {
    Scene scene = samples::scene();
    scene.drawing.labels[1].at = {10.5, 8.8};
    EXPECT_THAT(overlaps(scene), ElementsAre("text '4k7' on text 'R1'"));
}

TEST(Figures, SeesASignOnAText) {
    Scene scene = samples::scene();
    scene.drawing.labels[1].at = {25, 10};
    EXPECT_THAT(overlaps(scene), ElementsAre("sign 'B' on text '4k7'"));
}

TEST(Figures, SeesASignOnAPart) {
    Scene scene = samples::scene();
    scene.drawing.signs[2] = samples::sign({2}, {15, 19}, Direction::up, "C");
    EXPECT_THAT(overlaps(scene), ElementsAre("sign 'C' on part R3"));
}

TEST(Figures, SeesAWireThroughAForeignPart) {
    Scene scene = samples::scene();
    scene.drawing.wires.push_back({{2}, {{{9, 5}, {9, 15}}}, {}});
    scene.drawing.labels.erase(scene.drawing.labels.begin(), scene.drawing.labels.begin() + 2);
    EXPECT_THAT(overlaps(scene), ElementsAre("wire of C through part R1"));
}

TEST(Figures, SeesAWireThroughItsOwnPart) {
    Scene scene = samples::scene();
    scene.drawing.wires[0].segments[0].a = {11, 10};
    EXPECT_THAT(overlaps(scene), ElementsAre("wire of M through part R1"));
}

TEST(Figures, SeesAWireThroughAText) {
    Scene scene = samples::scene();
    scene.drawing.labels[1].at = {15, 12};
    EXPECT_THAT(overlaps(scene), ElementsAre("wire of M through text '4k7'"));
}

TEST(Figures, SeesAWireThroughASign) {
    Scene scene = samples::scene();
    scene.drawing.wires.push_back({{2}, {{{24, 5}, {24, 15}}}, {}});
    EXPECT_THAT(overlaps(scene), ElementsAre("wire of C through sign 'B'"));
}

TEST(Figures, SeesTwoNetsAlongEachOther) {
    Scene scene = samples::scene();
    scene.drawing.wires.push_back({{2}, {{{15, 11}, {15, 12}}, {{15, 12}, {18, 12}}}, {}});
    EXPECT_THAT(overlaps(scene), ElementsAre("wires of C and M along each other"));
}

TEST(Figures, SeesAWireEndOnAForeignWire) {
    Scene scene = samples::scene();
    scene.drawing.wires.push_back({{2}, {{{15, 12}, {18, 12}}}, {}});
    EXPECT_THAT(overlaps(scene), ElementsAre("wires of C and M touch"));
}

TEST(Figures, SeesACornerOnAForeignWire) {
    Scene scene = samples::scene();
    scene.drawing.wires.push_back({{2}, {{{16, 12}, {15, 12}}, {{15, 12}, {15, 14}}}, {}});
    scene.drawing.wires[0].segments[1].b = {15, 12};
    scene.drawing.parts[2].at = {15, 17};
    scene.drawing.signs[2] = samples::sign({2}, {15, 20}, Direction::down, "C");
    scene.drawing.labels[3].at = {17, 17};
    // The corner meets the end of the other wire and, further down, the pin of that net.
    EXPECT_THAT(overlaps(scene), ElementsAre("wire of C on pin R3.1", "wires of C and M touch"));
}

TEST(Figures, SeesADotOnACrossing) {
    Scene scene = samples::scene();
    scene.drawing.wires.push_back({{2}, {{{14, 12}, {18, 12}}}, {{15, 12}}});
    EXPECT_THAT(overlaps(scene), ElementsAre("a dot where wires of C and M cross"));
}

TEST(Figures, SeesAWireOnAForeignPin) {
    Scene scene = samples::scene();
    scene.drawing.signs.pop_back();
    scene.drawing.wires.push_back({{1}, {{{14, 19}, {18, 19}}}, {}});
    EXPECT_THAT(overlaps(scene), ElementsAre("wire of B on pin R3.2"));
}

TEST(Figures, SeesAWireOnAForeignSign) {
    Scene scene = samples::scene();
    scene.drawing.signs[2] = samples::sign({2}, {25, 20}, Direction::right, "C");
    scene.drawing.wires.push_back({{2}, {{{15, 19}, {15, 20}}, {{15, 20}, {25, 20}}}, {}});
    ASSERT_THAT(overlaps(scene), IsEmpty());
    scene.drawing.wires.push_back({{1}, {{{25, 18}, {25, 22}}}, {}});
    EXPECT_THAT(overlaps(scene),
                ElementsAre("wire of B on the sign of C", "wires of B and C touch"));
}

TEST(Figures, SeesAPinOnAForeignPin) {
    Scene scene = samples::scene();
    scene.circuit.parts.push_back(samples::part("R4", "resistor", {"1", "2"}));
    scene.drawing.parts.push_back(samples::placed(scene.circuit, 3, {15, 22}, 1));
    scene.drawing.signs.pop_back();
    EXPECT_THAT(overlaps(scene), ElementsAre("pin R4.1 on pin R3.2"));
}

TEST(Figures, SeesASignOnAForeignPin) {
    Scene scene = samples::scene();
    scene.drawing.signs[2].net = {1};
    EXPECT_THAT(overlaps(scene), ElementsAre("sign of B on pin R3.2"));
}

TEST(Figures, SeesAWireAlongAFrame) {
    Scene scene = samples::scene();
    scene.circuit.parts.push_back(samples::part("U1", "box", {"1", "2"}));
    scene.drawing.parts.push_back(samples::placed(scene.circuit, 3, {5, 20}));
    const Box& box = scene.drawing.parts[3].symbol.box;
    scene.drawing.wires.push_back({{2}, {{{3, 20 + box.bottom}, {7, 20 + box.bottom}}}, {}});
    EXPECT_THAT(overlaps(scene), ElementsAre("wire of C along the outline of part U1"));
}

TEST(Figures, SeesWhatLiesBeyondThePage) {
    Scene scene = samples::scene();
    scene.drawing.width = 24;
    EXPECT_THAT(overlaps(scene), ElementsAre("sign 'B' beyond the edge of the page"));
}

TEST(Figures, SeesTheIsolationTextOnAPart) {
    Scene scene = samples::scene();
    scene.drawing.isolation.push_back({{{20, 10.9}, {20, 24}}, "isolation"});
    EXPECT_THAT(overlaps(scene), ElementsAre("text 'isolation' on part R2"));
}

TEST(Figures, JsonHoldsEveryFigure) {
    DrawingFigures f;
    f.parts = 3;
    f.nets = 4;
    f.crossings = 1;
    f.bends = 2;
    f.wire_length = 7.5;
    f.overlaps = 1;
    f.width = 30;
    f.height = 25;
    f.overlap_list = {"text 'R1' on part R1"};
    const nlohmann::json json = nlohmann::json::parse(to_json(f));
    EXPECT_EQ(json.at("parts"), 3);
    EXPECT_EQ(json.at("nets"), 4);
    EXPECT_EQ(json.at("crossings"), 1);
    EXPECT_EQ(json.at("bends"), 2);
    EXPECT_EQ(json.at("wire_length"), 7.5);
    EXPECT_EQ(json.at("overlaps"), 1);
    EXPECT_EQ(json.at("width"), 30);
    EXPECT_EQ(json.at("height"), 25);
    EXPECT_EQ(json.at("overlap_list").at(0), "text 'R1' on part R1");
}

}  // namespace
}  // namespace etchback::drawing
