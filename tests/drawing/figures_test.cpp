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

TEST(Figures, CountsStepsAsideButNoDetours) {
    Scene scene = samples::scene();
    // Aside by two and on in the same way: a person would move the part.
    scene.drawing.wires[0].segments = {
        {{13, 10}, {15, 10}}, {{15, 10}, {15, 12}}, {{15, 12}, {17, 12}}};
    EXPECT_EQ(figures(scene.drawing, scene.circuit).steps, 1);
    // Around something and back: two corners that turn the same way.
    scene.drawing.wires[0].segments = {
        {{13, 10}, {15, 10}}, {{15, 10}, {15, 12}}, {{15, 12}, {13, 12}}};
    EXPECT_EQ(figures(scene.drawing, scene.circuit).steps, 0);
    // Three and more may be meant.
    scene.drawing.wires[0].segments = {
        {{13, 10}, {15, 10}}, {{15, 10}, {15, 13}}, {{15, 13}, {17, 13}}};
    EXPECT_EQ(figures(scene.drawing, scene.circuit).steps, 0);
}

TEST(Figures, AreaIsThatOfTheSheet) {
    const Scene scene = samples::scene();
    EXPECT_DOUBLE_EQ(figures(scene.drawing, scene.circuit).area, 750);
}

TEST(Figures, CountsSigns) {
    const Scene scene = samples::scene();
    EXPECT_EQ(figures(scene.drawing, scene.circuit).signs, 3);
}

TEST(Figures, FilledIsWhatPartsTextsAndSignsCover) {
    Scene scene = samples::scene();
    scene.drawing.labels.clear();
    scene.drawing.signs.clear();
    // Three resistors of one size, one of them standing.
    const Box& box = scene.drawing.parts[0].symbol.box;
    const double one = (box.right - box.left) * (box.bottom - box.top);
    EXPECT_DOUBLE_EQ(figures(scene.drawing, scene.circuit).filled_share, 3 * one / 750);
}

TEST(Figures, AllPartsOnOneWireAreInLine) {
    const Scene scene = samples::scene();
    // R1 and R2 share the straight wire; R3's pin ends the stub that leaves it at a T.
    EXPECT_DOUBLE_EQ(figures(scene.drawing, scene.circuit).straight_share, 2.0 / 3.0);
}

TEST(Figures, PartsThatTouchAreInLine) {
    Scene scene = samples::scene();
    scene.drawing.parts[1].at = {16, 10};  // pin on pin
    scene.drawing.wires[0].segments = {{{13, 10}, {13, 13}}, {{13, 13}, {15, 13}}};
    EXPECT_DOUBLE_EQ(figures(scene.drawing, scene.circuit).straight_share, 2.0 / 3.0);
}

// A supply on the left feeds R1 and, behind it, R2; `back` mirrors the row.
Scene fed_row(bool back) {
    Scene s;
    s.circuit = samples::resistors({{"A", "M"}, {"M", "B"}});
    circuit::Part source = samples::part("J1", "connector", {"1"});
    source.pins[0].net = *s.circuit.net("A");
    s.circuit.parts.push_back(source);
    s.circuit.nets[static_cast<std::size_t>(s.circuit.net("A")->index)].pins.push_back({{2}, 0});
    const double way = back ? -1.0 : 1.0;
    s.drawing.parts = {samples::placed(s.circuit, 0, {40 + way * 10, 10}, back ? 2 : 0),
                       samples::placed(s.circuit, 1, {40 + way * 20, 10}, back ? 2 : 0),
                       samples::placed(s.circuit, 2, {40, 10}, back ? 2 : 0)};
    const SymbolPin& pin = s.drawing.parts[2].symbol.pins[0];
    const Point out{40 + pin.at.x, 10 + pin.at.y};
    s.drawing.wires = {{*s.circuit.net("A"), {{out, {40 + way * 7, out.y}}}, {}},
                       {*s.circuit.net("M"), {{{40 + way * 13, 10}, {40 + way * 17, 10}}}, {}}};
    if (out.y != 10) {
        s.drawing.wires[0].segments.push_back({{40 + way * 7, out.y}, {40 + way * 7, 10}});
    }
    s.drawing.width = s.drawing.height = 80;
    return s;
}

TEST(Figures, WiresAwayFromTheSourceToTheRightRunWithTheFlow) {
    const Scene scene = fed_row(false);
    EXPECT_DOUBLE_EQ(figures(scene.drawing, scene.circuit).flow_share, 1.0);
}

TEST(Figures, WiresAwayFromTheSourceToTheLeftRunAgainstTheFlow) {
    const Scene scene = fed_row(true);
    EXPECT_DOUBLE_EQ(figures(scene.drawing, scene.circuit).flow_share, 0.0);
}

TEST(Figures, WiresOfReturnsHaveNoFlow) {
    Scene scene = fed_row(true);
    scene.circuit.nets[static_cast<std::size_t>(scene.circuit.net("M")->index)].role = "return";
    scene.drawing.wires.erase(scene.drawing.wires.begin());
    EXPECT_DOUBLE_EQ(figures(scene.drawing, scene.circuit).flow_share, 1.0);
}

TEST(Figures, AWireThatForksIsFollowedBothWays) {
    Scene scene = fed_row(false);
    // A fork of M that comes back to the left by four.
    scene.drawing.wires[1].segments.push_back({{15 + 40, 10}, {15 + 40, 20}});
    scene.drawing.wires[1].segments.push_back({{11 + 40, 20}, {15 + 40, 20}});
    scene.drawing.wires.erase(scene.drawing.wires.begin());
    EXPECT_DOUBLE_EQ(figures(scene.drawing, scene.circuit).flow_share, 0.5);
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
    f.area = 750;
    f.steps = 4;
    f.flow_share = 0.75;
    f.straight_share = 0.5;
    f.filled_share = 0.25;
    f.signs = 5;
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
    EXPECT_EQ(json.at("area"), 750);
    EXPECT_EQ(json.at("steps"), 4);
    EXPECT_EQ(json.at("flow_share"), 0.75);
    EXPECT_EQ(json.at("straight_share"), 0.5);
    EXPECT_EQ(json.at("filled_share"), 0.25);
    EXPECT_EQ(json.at("signs"), 5);
    EXPECT_EQ(json.at("overlap_list").at(0), "text 'R1' on part R1");
}

}  // namespace
}  // namespace etchback::drawing
