#include "circuit/circuit.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "circuit/build.h"

namespace etchback::circuit {
namespace {

using test::build;
using test::catalogue;
using test::part;
using test::r;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::SizeIs;

TEST(Circuit, PartsAndNetsStandInNaturalOrder) {
    const Circuit circuit =
        build({r("R10", "1k", "N2", "N10"), r("R2", "1k", "N10", "A"), r("R1", "1k", "A", "N2")});
    std::vector<std::string> parts;
    for (const Part& each : circuit.parts) {
        parts.push_back(each.name);
    }
    EXPECT_THAT(parts, ElementsAre("R1", "R2", "R10"));
    EXPECT_THAT(test::names(circuit, {{0}, {1}, {2}}), ElementsAre("A", "N2", "N10"));
}

TEST(Circuit, PinsAreTheKindsPinsInItsOrder) {
    const Circuit circuit = build({part("D1", "diode", {{"K", "OUT"}, {"A", "IN"}})});
    const Part& d1 = circuit.parts.at(0);
    ASSERT_THAT(d1.pins, SizeIs(2));
    EXPECT_EQ(d1.pins[0].name, "anode");
    EXPECT_EQ(d1.pins[0].written, "A");
    EXPECT_EQ(d1.pins[0].role, parts::PinRole::positive);
    EXPECT_EQ(circuit[d1.pins[0].net].name, "IN");
    EXPECT_EQ(circuit[d1.net("k")].name, "OUT");
    EXPECT_EQ(circuit[d1.net("cathode")].name, "OUT");
}

TEST(Circuit, AbsentPinsHaveNoNet) {
    const Circuit circuit = build({part("Q1", "NPN transistor", {{"base", "B"}})});
    const Part& q1 = circuit.parts.at(0);
    ASSERT_THAT(q1.pins, SizeIs(3));
    EXPECT_TRUE(q1.net("base").known());
    EXPECT_FALSE(q1.net("collector").known());
    EXPECT_FALSE(q1.net("no such pin").known());
    EXPECT_FALSE(q1.pin("no such pin"));
}

TEST(Circuit, ChipsHaveOpenPinsInTheFilesOrderWithTheRoleThatTheirNameTells) {
    const Circuit circuit =
        build({part("U1", "controller", {{"VCC", "V"}, {"7", "X"}, {"GND", "G"}})});
    const Part& u1 = circuit.parts.at(0);
    ASSERT_THAT(u1.pins, SizeIs(3));
    EXPECT_EQ(u1.pins[0].role, parts::PinRole::supply);
    EXPECT_EQ(u1.pins[1].name, "7");
    EXPECT_EQ(u1.pins[1].role, parts::PinRole::passive);
    EXPECT_EQ(u1.pins[2].role, parts::PinRole::ground);
    EXPECT_EQ(circuit[u1.net("gnd")].name, "G");
}

TEST(Circuit, PartsOfUnknownKindAreBoxes) {
    for (const char* kind : {"", "unknown", "flux compensator"}) {
        const Circuit circuit = build({part("X1", kind, {{"3", "A"}, {"1", "B"}})});
        const Part& x1 = circuit.parts.at(0);
        EXPECT_EQ(x1.kind.id, "unknown");
        EXPECT_EQ(x1.kind.symbol, "box");
        EXPECT_EQ(x1.pins.at(0).name, "3");
        EXPECT_EQ(circuit[x1.net("1")].name, "B");
    }
}

TEST(Circuit, EmptyPlacesOnTheBoardAreLeftOut) {
    dossier::Part r9 = r("R9", "1k", "A", "B");
    r9.fitted = false;
    const Circuit circuit = build({r9, r("R1", "1k", "C", "D")});
    EXPECT_THAT(circuit.parts, SizeIs(1));
    EXPECT_FALSE(circuit.part("R9"));
    EXPECT_FALSE(circuit.net("A"));
}

TEST(Circuit, TransformerPinsTakeTheNameOfTheirWindingAsSide) {
    const Circuit circuit = build(test::flyback());
    const Part& t1 = circuit[*circuit.part("T1")];
    EXPECT_EQ(t1.pins[*t1.pin("1")].side, "primary");
    EXPECT_EQ(t1.pins[*t1.pin("2")].side, "primary");
    EXPECT_EQ(t1.pins[*t1.pin("4")].side, "secondary");
    EXPECT_EQ(t1.pins[*t1.pin("6")].side, "auxiliary");
}

TEST(Circuit, TransformerPinsOnNoWindingAreOnASideOfTheirOwn) {
    dossier::Part t1 = part("T1", "transformer", {{"1", "A"}, {"2", "B"}, {"7", "C"}, {"8", "D"}});
    t1.windings = {test::winding("", {"1", "2"})};
    const Circuit circuit = build({t1});
    const Part& part = circuit.parts.at(0);
    EXPECT_EQ(part.pins[0].side, "winding 1");
    EXPECT_EQ(part.pins[1].side, "winding 1");
    EXPECT_NE(part.pins[2].side, part.pins[3].side);
    EXPECT_NE(part.pins[2].side, part.pins[0].side);
}

TEST(Circuit, NamesThatANoteJoinsAreOneNet) {
    dossier::NetNote hv = test::note("HV-", "return");
    hv.also = {{"PGND", {}}, {"0V", {}}};
    dossier::NetNote pgnd = test::note("PGND", "");
    pgnd.also = {{"STAR", {}}};
    const Circuit circuit =
        build({r("R1", "1k", "PGND", "A"), r("R2", "1k", "HV-", "STAR"), r("R3", "1k", "0V", "A")},
              {hv, pgnd});
    ASSERT_THAT(circuit.nets, SizeIs(2));
    const NetId net = *circuit.net("HV-");
    EXPECT_EQ(circuit.net("PGND"), net);
    EXPECT_EQ(circuit.net("STAR"), net);
    EXPECT_THAT(circuit[net].also, ElementsAre("PGND", "0V", "STAR"));
    EXPECT_EQ(circuit[net].role, "return");
    EXPECT_THAT(circuit[net].pins, SizeIs(4));
}

TEST(Circuit, NamesThatGoInACircleEnd) {
    dossier::NetNote a = test::note("A", "");
    a.also = {{"B", {}}};
    dossier::NetNote b = test::note("B", "");
    b.also = {{"A", {}}};
    const Circuit circuit = build({r("R1", "1k", "A", "C"), r("R2", "1k", "B", "C")}, {a, b});
    EXPECT_THAT(circuit.nets, SizeIs(2));
}

TEST(Circuit, MainsPinsGiveTheirNetsARoleUnlessANoteDoes) {
    const Circuit circuit =
        build({part("J1", "mains", {{"L", "IN1"}, {"N", "IN2"}, {"PE", "CASE"}}),
               r("R1", "1k", "IN1", "X")},
              {test::note("X", "return")});
    EXPECT_EQ(circuit[*circuit.net("IN1")].role, "live");
    EXPECT_EQ(circuit[*circuit.net("IN2")].role, "neutral");
    EXPECT_EQ(circuit[*circuit.net("CASE")].role, "earth");
    EXPECT_EQ(circuit[*circuit.net("X")].role, "return");
}

TEST(Circuit, APinWrittenTwiceOnTwoNetsKeepsBoth) {
    const Circuit circuit = build({part("D1", "diode", {{"A", "X"}, {"anode", "Y"}, {"K", "Z"}})});
    const Part& d1 = circuit.parts.at(0);
    ASSERT_THAT(d1.pins, SizeIs(3));
    EXPECT_EQ(circuit[d1.net("anode")].name, "X");
    EXPECT_EQ(circuit[d1.pins[2].net].name, "Y");
}

TEST(Circuit, PartsOnANetAreSortedAndEachOnce) {
    const Circuit circuit =
        build({part("Q1", "NPN transistor", {{"b", "A"}, {"c", "A"}, {"e", "B"}}),
               r("R1", "1k", "A", "B")});
    const auto on = circuit.parts_on(*circuit.net("A"));
    ASSERT_THAT(on, SizeIs(2));
    EXPECT_EQ(circuit[on[0]].name, "Q1");
    EXPECT_EQ(circuit[on[1]].name, "R1");
    EXPECT_THAT(circuit.parts_on(NetId{}), IsEmpty());
}

TEST(Circuit, EveryPinOfANetLeadsBackToIt) {
    const Circuit circuit = build(test::flyback());
    std::size_t on_nets = 0;
    for (std::size_t n = 0; n < circuit.nets.size(); ++n) {
        for (const PinRef& ref : circuit.nets[n].pins) {
            EXPECT_EQ(circuit[ref].net, NetId{static_cast<int>(n)});
            ++on_nets;
        }
    }
    std::size_t connected = 0;
    for (const Part& each : circuit.parts) {
        for (const Pin& pin : each.pins) {
            connected += pin.net.known() ? 1 : 0;
        }
    }
    EXPECT_EQ(on_nets, connected);
}

TEST(Circuit, TheOrderOfTheFileDoesNotMatter) {
    std::mt19937 random(1);
    std::vector<dossier::Part> parts = test::flyback();
    const Circuit expected = build(parts);
    for (int round = 0; round < 20; ++round) {
        std::shuffle(parts.begin(), parts.end(), random);
        EXPECT_EQ(build(parts), expected);
    }
}

TEST(Circuit, NothingGivesAnEmptyCircuit) {
    const Circuit circuit = build({});
    EXPECT_THAT(circuit.parts, IsEmpty());
    EXPECT_THAT(circuit.nets, IsEmpty());
}

}  // namespace
}  // namespace etchback::circuit
