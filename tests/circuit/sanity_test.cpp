#include "circuit/sanity.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "circuit/build.h"

namespace etchback::circuit {
namespace {

using test::bridge;
using test::c;
using test::diode;
using test::electrolytic;
using test::part;
using test::r;
using testing::AllOf;
using testing::Contains;
using testing::ElementsAre;
using testing::Field;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

// Gives every pin and part a place of its own, as a reader would: parts on lines 10, 20 ..., their
// pins on the lines that follow.
void place(std::vector<dossier::Part>& parts) {
    int line = 10;
    for (dossier::Part& each : parts) {
        each.place = {"dossier.toml", line, 1};
        int at = line;
        for (dossier::PinUse& use : each.pins) {
            use.place = {"dossier.toml", ++at, 7};
        }
        line += 10;
    }
}

struct Case {
    std::vector<dossier::Part> parts;
    std::vector<dossier::NetNote> notes;
    std::vector<dossier::Continuity> continuity;
};

std::vector<Complaint> check(Case given) {
    place(given.parts);
    dossier::Dossier dossier;
    dossier.parts = given.parts;
    dossier.nets = given.notes;
    dossier.continuity = given.continuity;
    return complaints(circuit::build(dossier, test::catalogue()), dossier);
}

std::vector<Complaint> check(const std::vector<dossier::Part>& parts) {
    return check(Case{parts, {}, {}});
}

// "kind@line: what", with a question mark if doubtful.
std::vector<std::string> told(const std::vector<Complaint>& all) {
    std::vector<std::string> out;
    for (const Complaint& each : all) {
        out.push_back(std::string(name_of(each.kind)) + (each.doubtful ? "?" : "") + "@" +
                      std::to_string(each.error.place.line) + ": " + each.error.what);
    }
    return out;
}

dossier::Continuity beep(const std::string& a, const std::string& b, bool beeps = true) {
    dossier::Continuity out;
    out.between = {{a, {}}, {b, {}}};
    out.beeps = beeps;
    out.place = {"dossier.toml", 900, 1};
    return out;
}

TEST(Sanity, SoundCircuitsGiveNoComplaint) {
    EXPECT_THAT(told(check(test::flyback())), IsEmpty());
    EXPECT_THAT(told(check(test::dropper())), IsEmpty());
    EXPECT_THAT(check(std::vector<dossier::Part>{}), IsEmpty());
}

TEST(Sanity, APinOnNoNetIsToldAtItsPart) {
    auto parts = test::flyback();
    parts.at(6).pins.pop_back();  // the source of Q1
    parts.push_back(r("R9", "1k", "CS", "GATE"));
    const auto all = check(parts);
    ASSERT_THAT(told(all), ElementsAre("pin_on_no_net@70: pin source of Q1 is on no net"));
    EXPECT_THAT(all[0].error.todo, HasSubstr("source = \"...\""));
    EXPECT_THAT(all[0].parts, ElementsAre("Q1"));
}

TEST(Sanity, APartOnNoNetIsToldOnce) {
    auto parts = test::flyback();
    parts.push_back(part("R9", "resistor", "1k", {}));
    const auto all = check(parts);
    ASSERT_THAT(told(all), ElementsAre("pin_on_no_net@190: R9 is on no net"));
    EXPECT_THAT(all[0].error.todo, HasSubstr("pins = { 1 = \"...\", 2 = \"...\" }"));
    EXPECT_FALSE(all[0].doubtful);
}

TEST(Sanity, OptionalPinsMayBeOpen) {
    EXPECT_THAT(
        told(check({test::mains("L", "N"),
                    part("K1", "relay", {{"A1", "L"}, {"A2", "N"}, {"com", "L"}, {"no", "X"}}),
                    part("LA1", "lamp", {{"1", "X"}, {"2", "N"}})})),
        IsEmpty());
}

TEST(Sanity, ANetWithOnePinIsToldAtThePinAndMayGuessTheName) {
    auto parts = test::flyback();
    parts.at(7).pins.at(1).net = "HW-";  // R1.2
    const auto all = check(parts);
    ASSERT_THAT(told(all), ElementsAre("net_with_one_pin@82: net 'HW-' has only one pin, 2 of R1"));
    EXPECT_EQ(all[0].error.place.column, 7);
    EXPECT_THAT(all[0].error.todo, HasSubstr("did you mean 'HV-'?"));
    EXPECT_THAT(all[0].nets, ElementsAre("HW-"));
}

TEST(Sanity, NamesThatDifferInTheirNumbersAreNoGuessForEachOther) {
    auto parts = test::flyback();
    parts.push_back(r("R50", "1k", "OUT+", "TAP_1"));
    parts.push_back(r("R51", "1k", "OUT+", "TAP_2"));
    for (const Complaint& each : check(parts)) {
        EXPECT_EQ(each.kind, ComplaintKind::net_with_one_pin);
        EXPECT_THAT(each.error.todo, testing::Not(HasSubstr("did you mean")));
    }
    EXPECT_THAT(check(parts), SizeIs(2));
}

TEST(Sanity, OpenEndsOfChipsConnectorsAndTestPointsAreDoubtful) {
    auto parts = test::flyback();
    parts.at(5).pins.push_back({"NC", "U1_NC", {}});
    parts.at(17).pins.push_back({"3", "SPARE", {}});
    parts.push_back(part("TP1", "test point", {{"1", "GATE"}}));
    const auto all = check(parts);
    EXPECT_THAT(told(all),
                ElementsAre("net_with_one_pin?@66: net 'U1_NC' has only one pin, NC of U1",
                            "net_with_one_pin?@183: net 'SPARE' has only one pin, 3 of J2"));
}

TEST(Sanity, APartShortedByItsOwnNetIsToldAtTheSecondPin) {
    auto parts = test::flyback();
    parts.at(8).pins.at(1).net = "HV+";  // R2.2
    const auto all = check(parts);
    ASSERT_THAT(told(all),
                ElementsAre("part_shorted_by_its_own_net@92: both pins of R2 are on net 'HV+'"));
}

TEST(Sanity, AWindingAndAnEndOfAnOptocouplerCanBeShorted) {
    auto parts = test::flyback();
    parts.at(4).pins.at(2).net = "OUT-";   // T1.3
    parts.at(11).pins.at(0).net = "OUT-";  // D2, so that SEC is not left over
    parts.at(14).pins.at(1).net = "OPTO_A";
    parts.at(16).pins.at(0).net = "OPTO_A";
    const auto all = told(check(parts));
    EXPECT_THAT(all, Contains(HasSubstr("both pins of the secondary of T1 are on net 'OUT-'")));
    EXPECT_THAT(all, Contains(HasSubstr("both pins of the input of U2 are on net 'OPTO_A'")));
}

TEST(Sanity, ABridgeRectifierCanBeShortedOnEitherSide) {
    const auto all = told(check({test::mains("L", "N"),
                                 bridge("BR1", "L", "L", "P", "M"),
                                 bridge("BR2", "L", "N", "Q", "Q"),
                                 r("R1", "1k", "P", "M"),
                                 r("R2", "1k", "N", "M"),
                                 r("R3", "1k", "Q", "M")}));
    EXPECT_THAT(
        all,
        ElementsAre("part_shorted_by_its_own_net@22: pins ac1 and ac2 of BR1 are on net 'L'",
                    "part_shorted_by_its_own_net@34: pins plus and minus of BR2 are on net 'Q'"));
}

TEST(Sanity, AJumperOnOneNetIsDoubtfulAndAConnectorFine) {
    EXPECT_THAT(told(check({test::mains("L", "N"),
                            r("R1", "1k", "L", "N"),
                            part("W1", "jumper", {{"1", "L"}, {"2", "L"}}),
                            part("J2", "connector", {{"1", "L"}, {"2", "L"}})})),
                ElementsAre("part_shorted_by_its_own_net?@32: both pins of W1 are on net 'L'"));
}

TEST(Sanity, TransistorsMayTieTwoPinsButNotAll) {
    const auto with = [](const char* emitter) {
        return std::vector<dossier::Part>{
            test::mains("L", "N"),
            r("R1", "1k", "L", "B"),
            r("R2", "1k", "B", "N"),
            part("Q1", "NPN transistor", {{"b", "B"}, {"c", "B"}, {"e", emitter}})};
    };
    EXPECT_THAT(check(with("N")), IsEmpty());
    EXPECT_THAT(told(check(with("B"))),
                ElementsAre("part_shorted_by_its_own_net@43: all pins of Q1 are on net 'B'"));
}

TEST(Sanity, AnIslandIsToldWithItsPartsAndNets) {
    auto parts = test::flyback();
    parts.push_back(r("R50", "1k", "P1", "P2"));
    parts.push_back(c("C50", "1n", "P1", "P2"));
    const auto all = check(parts);
    ASSERT_THAT(
        told(all),
        ElementsAre(
            "unconnected_island@200: C50 and R50 are joined to nothing else in the circuit"));
    EXPECT_THAT(all[0].error.todo, HasSubstr("P1 and P2"));
    EXPECT_THAT(all[0].parts, ElementsAre("C50", "R50"));
}

TEST(Sanity, APartThatHangsInTheAirIsToldOnce) {
    auto parts = test::flyback();
    parts.push_back(r("R50", "1k", "P1", "P2"));
    EXPECT_THAT(
        told(check(parts)),
        ElementsAre("unconnected_island@190: R50 is joined to nothing else in the circuit"));
}

TEST(Sanity, AnIslandThatAnUnfittedPartWouldJoinIsDoubtful) {
    auto parts = test::flyback();
    parts.push_back(r("R50", "1k", "P1", "P2"));
    parts.push_back(c("C50", "1n", "P1", "P2"));
    parts.push_back(r("R51", "0", "P1", "VCC"));
    parts.back().fitted = false;
    EXPECT_TRUE(check(parts).at(0).doubtful);
}

TEST(Sanity, NamesThatDifferInSpacesCapitalsOrTheMinusSignAreTold) {
    for (const char* name : {"HV +", "hv+", "HV\u00a0+"}) {
        auto parts = test::flyback();
        parts.at(8).pins.at(0).net = name;  // R2.1
        const auto all = check(parts);
        ASSERT_THAT(all, SizeIs(1)) << name;
        EXPECT_EQ(all[0].kind, ComplaintKind::two_names_for_one_net);
        EXPECT_EQ(all[0].error.place.line, 91);
        EXPECT_THAT(all[0].nets, ElementsAre(name, "HV+"));
        EXPECT_FALSE(all[0].doubtful);
    }
    auto parts = test::flyback();
    parts.at(7).pins.at(1).net = "HV\u2212";
    EXPECT_THAT(told(check(parts)),
                ElementsAre("two_names_for_one_net@82: net 'HV\u2212' looks like net 'HV-'"));
}

TEST(Sanity, NamesThatDifferInLookAlikeLettersAreTold) {
    auto parts = test::flyback();
    parts.at(12).pins.at(0).net = "0UT+";  // C3
    EXPECT_THAT(told(check(parts)),
                ElementsAre("two_names_for_one_net@131: net '0UT+' looks like net 'OUT+'"));
    // Both used more than once: may be meant.
    parts.push_back(r("R60", "1k", "0UT+", "OUT-"));
    EXPECT_THAT(told(check(parts)), ElementsAre(testing::StartsWith("two_names_for_one_net?")));
}

TEST(Sanity, NumbersAndSignsAreDifferentNames) {
    EXPECT_THAT(told(check({test::mains("L", "N"),
                            r("R1", "1k", "L", "1"),
                            r("R2", "1k", "1", "0"),
                            r("R3", "1k", "0", "O"),
                            r("R4", "1k", "O", "11"),
                            r("R5", "1k", "11", "I1"),
                            r("R6", "1k", "I1", "V+"),
                            r("R7", "1k", "V+", "V-"),
                            r("R8", "1k", "V-", "N")})),
                IsEmpty());
}

TEST(Sanity, ABeepBetweenTwoNetsSaysTheyAreOne) {
    const auto all = check({test::flyback(), {}, {beep("Q1.gate", "R2.2")}});
    ASSERT_THAT(all, SizeIs(1));
    EXPECT_EQ(all[0].kind, ComplaintKind::two_names_for_one_net);
    EXPECT_EQ(all[0].error.place.line, 900);
    EXPECT_THAT(all[0].error.what, HasSubstr("between Q1.gate and R2.2"));
    EXPECT_THAT(all[0].error.todo, HasSubstr("[nets.\"GATE\"] also = [\"VCC\"]"));
    EXPECT_THAT(all[0].nets, ElementsAre("GATE", "VCC"));
}

TEST(Sanity, ABeepMayGoThroughAFuseACoilAWindingOrALowResistor) {
    EXPECT_THAT(check({test::flyback(),
                       {},
                       {beep("L", "L_F"),            // fuse
                        beep("HV+", "DRAIN"),        // winding
                        beep("CS", "HV-"),           // 1.5 ohm
                        beep("CS", "AUX"),           // both
                        beep("C3.plus", "OUT+")}}),  // the same net
                IsEmpty());
    EXPECT_THAT(check({test::flyback(), {}, {beep("VCC", "HV+")}}), SizeIs(1)) << "1 megohm";
    EXPECT_THAT(check({test::flyback(), {}, {beep("HV+", "SEC")}}), SizeIs(1)) << "two windings";
}

TEST(Sanity, LowResistancesInSeriesAddUp) {
    std::vector<dossier::Part> parts = {
        test::mains("L", "N"), r("R1", "30", "L", "A"), r("R2", "30", "A", "N")};
    EXPECT_THAT(check({parts, {}, {beep("L", "A")}}), IsEmpty());
    EXPECT_THAT(check({parts, {}, {beep("L", "N")}}), SizeIs(1));
}

TEST(Sanity, SilenceWithinANetSaysItIsTwo) {
    const auto all = check({test::flyback(), {}, {beep("C1.minus", "R1.2", false)}});
    ASSERT_THAT(all, SizeIs(1));
    EXPECT_EQ(all[0].kind, ComplaintKind::one_name_for_two_nets);
    EXPECT_THAT(check({test::flyback(), {}, {beep("HV-", "OUT-", false)}}), IsEmpty());
    EXPECT_THAT(check({test::flyback(), {}, {beep("nowhere", "OUT-")}}), IsEmpty());
}

TEST(Sanity, AMissingValueIsTold) {
    auto parts = test::flyback();
    parts.at(8).value.reset();
    parts.at(6).value.reset();  // a transistor needs none
    EXPECT_THAT(told(check(parts)), ElementsAre("value_missing@90: R2 has no value"));
}

TEST(Sanity, AnElectrolyticTheWrongWayRoundBehindABridgeIsTold) {
    auto parts = test::flyback();
    parts.at(3) = electrolytic("C1", "HV-", "HV+");
    const auto all = check(parts);
    ASSERT_THAT(
        told(all),
        ElementsAre("impossible_polarity@41: C1 is the wrong way round: its plus is on 'HV-' "
                    "and minus on 'HV+', but BR1 makes 'HV+' more positive than 'HV-'"));
    EXPECT_THAT(all[0].parts, ElementsAre("C1", "BR1"));
    EXPECT_THAT(all[0].nets, ElementsAre("HV-", "HV+"));
}

TEST(Sanity, AnElectrolyticBehindAFuseOrCoilOfTheBridgeCounts) {
    EXPECT_THAT(told(check({test::mains("L", "N"),
                            bridge("BR1", "L", "N", "P", "M"),
                            part("L1", "inductor", "1 mH", {{"1", "P"}, {"2", "P2"}}),
                            electrolytic("C1", "M", "P2"),
                            c("C2", "1n", "P", "M")})),
                ElementsAre(HasSubstr("C1 is the wrong way round")));
}

TEST(Sanity, AnElectrolyticTheWrongWayRoundBehindAWindingIsTold) {
    auto parts = test::flyback();
    parts.at(12) = electrolytic("C3", "OUT-", "OUT+");
    EXPECT_THAT(
        told(check(parts)),
        ElementsAre(AllOf(HasSubstr("C3 is the wrong way round"),
                          HasSubstr("D2 behind the winding (T1, secondary) makes 'OUT+' more "
                                    "positive than 'OUT-'"))));
}

TEST(Sanity, AReversedRectifierContradictsItsElectrolytic) {
    auto parts = test::flyback();
    parts.at(11) = diode("D2", "OUT+", "SEC");
    EXPECT_THAT(told(check(parts)), ElementsAre(HasSubstr("C3 is the wrong way round")));
}

TEST(Sanity, AnElectrolyticOnAChipsSupplyPinsIsChecked) {
    auto parts = test::flyback();
    parts.at(10) = electrolytic("C2", "HV-", "VCC");
    EXPECT_THAT(told(check(parts)), ElementsAre(HasSubstr("C2 is the wrong way round")));
}

TEST(Sanity, FourDiodesAreABridge) {
    const std::vector<dossier::Part> four = {test::mains("L", "N"),
                                             diode("D1", "L", "P"),
                                             diode("D2", "N", "P"),
                                             diode("D3", "M", "L"),
                                             diode("D4", "M", "N")};
    auto right = four;
    right.push_back(electrolytic("C1", "P", "M"));
    EXPECT_THAT(told(check(right)), IsEmpty());
    auto wrong = four;
    wrong.push_back(electrolytic("C1", "M", "P"));
    EXPECT_THAT(told(check(wrong)), ElementsAre(HasSubstr("the bridge of diodes with D1")));
}

TEST(Sanity, LedsAndDiodesAcrossARailAreChecked) {
    auto parts = test::dropper();
    parts.at(5) = part("LED1", "LED string", {{"+", "OUT-"}, {"-", "OUT+"}});
    EXPECT_THAT(told(check(parts)),
                ElementsAre(HasSubstr("LED1 is the wrong way round and cannot light")));
    parts = test::dropper();
    parts.push_back(diode("D1", "OUT-", "OUT+"));  // a guard against reverse voltage
    EXPECT_THAT(told(check(parts)), IsEmpty());
    parts.back() = diode("D1", "OUT+", "OUT-");
    EXPECT_THAT(told(check(parts)), ElementsAre(HasSubstr("D1 would short the supply")));
    parts.back() = part("D1", "Zener diode", "24 V", {{"cathode", "OUT+"}, {"anode", "OUT-"}});
    EXPECT_THAT(told(check(parts)), IsEmpty());
    parts.back() = part("D1", "Zener diode", "24 V", {{"cathode", "OUT-"}, {"anode", "OUT+"}});
    EXPECT_THAT(told(check(parts)), ElementsAre(testing::StartsWith("impossible_polarity?")));
}

TEST(Sanity, AnElectrolyticAcrossTheMainsIsTold) {
    auto parts = test::flyback();
    parts.push_back(electrolytic("C9", "N", "L_F"));  // behind the fuse is still the mains
    EXPECT_THAT(told(check(parts)),
                ElementsAre(HasSubstr("C9 is a polarised capacitor across the mains")));
}

TEST(Sanity, ABridgesPlusOnADeclaredReturnIsTold) {
    auto parts = test::flyback();
    parts.at(2) = bridge("BR1", "L_F", "N", "HV-", "HV+");
    const auto all = check({parts, {test::note("HV-", "return")}, {}});
    EXPECT_THAT(told(all),
                Contains(HasSubstr("the plus of BR1 is on 'HV-', which is declared as a return")));
    for (const Complaint& each : all) {
        EXPECT_EQ(each.kind, ComplaintKind::impossible_polarity);
        EXPECT_FALSE(each.doubtful);
    }
}

TEST(Sanity, AWrittenVoltageTellsTheOrder) {
    dossier::NetNote rail = test::note("RAIL", "");
    rail.voltage.emplace().value = base::Quantity::of(12.0, base::Unit::volt);
    const std::vector<dossier::Part> parts = {
        part("J1", "connector", {{"1", "RAIL"}, {"2", "GND"}}),
        electrolytic("C1", "GND", "RAIL"),
        r("R1", "1k", "RAIL", "GND")};
    EXPECT_THAT(told(check({parts, {rail, test::note("GND", "return")}, {}})),
                ElementsAre(HasSubstr("the voltage written for 'RAIL'")));
    rail.voltage->value = base::Quantity::of(-12.0, base::Unit::volt);
    EXPECT_THAT(check({parts, {rail, test::note("GND", "return")}, {}}), IsEmpty());
    EXPECT_THAT(check({parts, {rail}, {}}), IsEmpty()) << "no return is declared";
}

TEST(Sanity, PartsThatContradictEachOtherAreTold) {
    EXPECT_THAT(
        told(check({part("BAT1", "battery", {{"+", "A"}, {"-", "B"}}),
                    part("U1", "controller", {{"VCC", "B"}, {"GND", "A"}})})),
        ElementsAre("impossible_polarity@21: BAT1 makes 'A' more positive than 'B', but U1 makes "
                    "'B' more positive than 'A'"));
}

TEST(Sanity, ComplaintsAreSortedByPlace) {
    auto parts = test::flyback();
    parts.at(8).value.reset();
    parts.at(3) = electrolytic("C1", "HV-", "HV+");
    parts.push_back(part("R99", "resistor", {}));
    const auto all = check(parts);
    ASSERT_GE(all.size(), 3u);
    for (std::size_t i = 1; i < all.size(); ++i) {
        EXPECT_LE(all[i - 1].error.place.line, all[i].error.place.line);
    }
}

TEST(Sanity, EveryComplaintSaysWhatToDo) {
    auto parts = test::flyback();
    std::mt19937 random(99);
    for (int round = 0; round < 200; ++round) {
        auto broken = parts;
        for (int slips = 0; slips < 3; ++slips) {
            auto& victim = broken[random() % broken.size()];
            if (!victim.pins.empty()) {
                victim.pins[random() % victim.pins.size()].net =
                    parts[random() % parts.size()].pins.front().net +
                    (random() % 4 == 0 ? "x" : "");
            }
        }
        for (const Complaint& each : check(broken)) {
            EXPECT_FALSE(each.error.what.empty());
            EXPECT_FALSE(each.error.todo.empty());
            EXPECT_FALSE(each.parts.empty());
            EXPECT_GT(each.error.place.line, 0);
        }
    }
}

}  // namespace
}  // namespace etchback::circuit
