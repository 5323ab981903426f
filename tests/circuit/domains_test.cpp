#include "circuit/domains.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>
#include <set>

#include "circuit/build.h"

namespace etchback::circuit {
namespace {

using test::build;
using test::c;
using test::electrolytic;
using test::part;
using test::r;
using testing::Contains;
using testing::ElementsAre;
using testing::IsEmpty;
using testing::Not;
using testing::SizeIs;
using testing::UnorderedElementsAre;

std::vector<std::string> names_of(const Domains& found) {
    std::vector<std::string> names;
    for (const Domain& domain : found.domains) {
        names.push_back(domain.name);
    }
    return names;
}

std::string domain_of(const Circuit& circuit, const Domains& found, const std::string& net) {
    return found.domains.at(static_cast<std::size_t>(found.of(*circuit.net(net)))).name;
}

// "C4: mains, isolated 1".
std::vector<std::string> bridges_of(const Circuit& circuit, const Domains& found) {
    std::vector<std::string> out;
    for (const Bridge& bridge : found.bridges) {
        std::string text = circuit[bridge.part].name + ":";
        for (const int domain : bridge.domains) {
            text += " " + found.domains.at(static_cast<std::size_t>(domain)).name + ",";
        }
        text.pop_back();
        out.push_back(text);
    }
    return out;
}

std::string reference_of(const Circuit& circuit, const Domains& found, const std::string& name) {
    for (const Domain& domain : found.domains) {
        if (domain.name == name) {
            return domain.reference.known() ? circuit[domain.reference].name : "unknown";
        }
    }
    return "no such domain";
}

TEST(Domains, AFlybackHasAMainsAndAnIsolatedSide) {
    const Circuit circuit = build(test::flyback());
    const Domains found = domains(circuit);
    EXPECT_THAT(names_of(found), ElementsAre("mains", "isolated 1"));
    EXPECT_EQ(found.domains[0].nature, Domain::Nature::mains);
    EXPECT_EQ(found.domains[1].nature, Domain::Nature::isolated);
    for (const char* net : {"L", "N", "HV+", "DRAIN", "AUX", "VCC", "FB", "CS"}) {
        EXPECT_EQ(domain_of(circuit, found, net), "mains") << net;
        EXPECT_FALSE(found.isolated_from_mains(*circuit.net(net)));
    }
    for (const char* net : {"SEC", "OUT+", "OUT-", "OPTO_A", "OPTO_K"}) {
        EXPECT_EQ(domain_of(circuit, found, net), "isolated 1") << net;
        EXPECT_TRUE(found.isolated_from_mains(*circuit.net(net)));
    }
}

TEST(Domains, TransformerOptocouplerAndCapacitorBridgeThem) {
    const Circuit circuit = build(test::flyback());
    const Domains found = domains(circuit);
    EXPECT_THAT(
        bridges_of(circuit, found),
        ElementsAre("C4: mains, isolated 1", "T1: mains, isolated 1", "U2: mains, isolated 1"));
    EXPECT_EQ(found.bridges[0].coupling, parts::Coupling::capacitive);
    EXPECT_EQ(found.bridges[1].coupling, parts::Coupling::magnetic);
    EXPECT_EQ(found.bridges[2].coupling, parts::Coupling::optical);
}

TEST(Domains, ReturnIsTheBridgesMinusThenTheNetOfGroundAndNegativePins) {
    const Circuit circuit = build(test::flyback());
    const Domains found = domains(circuit);
    EXPECT_EQ(reference_of(circuit, found, "mains"), "HV-");
    EXPECT_EQ(reference_of(circuit, found, "isolated 1"), "OUT-");
}

// The electrolytics and the load would make FLOAT the return by their number.
TEST(Domains, ReturnIsTheMinusOfTheBatteryThatFeedsEvenWhereMoreMinusesSitElsewhere) {
    std::vector<dossier::Part> parts{
        part("BT1", "battery", {{"plus", "B+"}, {"minus", "B-"}}),
        electrolytic("C1", "B+", "FLOAT"),
        electrolytic("C2", "B+", "FLOAT"),
        electrolytic("C3", "B+", "FLOAT"),
        r("R1", "1", "FLOAT", "B-"),
    };
    Circuit circuit = build(parts);
    EXPECT_EQ(domains(circuit).domains.size(), 1U);
    EXPECT_EQ(reference_of(circuit, domains(circuit), domains(circuit).domains[0].name), "B-");
    parts[0] = part("J1", "dc_supply", {{"plus", "B+"}, {"minus", "B-"}});
    circuit = build(parts);
    EXPECT_EQ(reference_of(circuit, domains(circuit), domains(circuit).domains[0].name), "B-");
}

// A split supply: the middle is the minus of one battery and the plus of the other.
TEST(Domains, ReturnOfTwoBatteriesIsTheirBusierMinus) {
    const Circuit circuit = build({
        part("BT1", "battery", {{"plus", "V+"}, {"minus", "MID"}}),
        part("BT2", "battery", {{"plus", "MID"}, {"minus", "V-"}}),
        r("R1", "1k", "V+", "MID"),
        r("R2", "1k", "MID", "V-"),
    });
    EXPECT_EQ(reference_of(circuit, domains(circuit), domains(circuit).domains[0].name), "MID");
}

TEST(Domains, ABridgesMinusGoesBeforeABatterys) {
    const Circuit circuit = build({
        part("J1", "mains", {{"L", "L"}, {"N", "N"}}),
        part("BR1", "bridge rectifier", {{"~1", "L"}, {"~2", "N"}, {"+", "DC+"}, {"-", "DC-"}}),
        part("BT1", "battery", {{"plus", "DC+"}, {"minus", "B-"}}),
        electrolytic("C1", "DC+", "B-"),
        r("R1", "1", "B-", "DC-"),
    });
    EXPECT_EQ(reference_of(circuit, domains(circuit), "mains"), "DC-");
}

TEST(Domains, ADeclaredReturnHolds) {
    const Circuit circuit = build(test::flyback(), {test::note("CS", "return")});
    EXPECT_EQ(reference_of(circuit, domains(circuit), "mains"), "CS");
}

TEST(Domains, WithoutAnyHintTheReturnIsNeutralOrNotKnown) {
    const Circuit circuit = build({test::mains("L", "N"), r("R1", "1k", "L", "N")});
    EXPECT_EQ(reference_of(circuit, domains(circuit), "mains"), "N");
    const Circuit loose = build({r("R1", "1k", "A", "B")});
    EXPECT_FALSE(domains(loose).domains.at(0).reference.known());
}

TEST(Domains, WithoutOtherHintsTheReturnIsTheNetCalledGround) {
    const Circuit circuit = build({r("R1", "1k", "A", "GND"), r("R2", "1k", "B", "GND")});
    EXPECT_EQ(reference_of(circuit, domains(circuit), "floating 1"), "GND");
}

TEST(Domains, AChokeFeedsNothing) {
    const Circuit circuit =
        build({part("J2", "connector", {{"1", "A"}, {"2", "B"}}),
               part("L1", "common-mode choke", {{"1", "A"}, {"2", "C"}, {"3", "B"}, {"4", "D"}}),
               r("R1", "1k", "C", "D")});
    EXPECT_THAT(names_of(domains(circuit)), ElementsAre("floating 1"));
}

TEST(Domains, ACapacitiveDropperIsAllMains) {
    const Circuit circuit = build(test::dropper());
    const Domains found = domains(circuit);
    EXPECT_THAT(names_of(found), ElementsAre("mains"));
    EXPECT_THAT(found.bridges, IsEmpty());
    EXPECT_FALSE(found.isolated_from_mains(*circuit.net("OUT+")));
    EXPECT_EQ(reference_of(circuit, found, "mains"), "OUT-");
}

// A capacitor in each lead: nothing conducts from the mains to the lamp, and yet it is no
// isolation.
TEST(Domains, ADropperWithACapacitorInEachLeadIsAllMains) {
    std::vector<dossier::Part> parts = test::dropper();
    parts.erase(parts.begin() + 2);  // the bleeder
    parts[2] = test::bridge("BR1", "X", "Y", "OUT+", "OUT-");
    parts.push_back(c("C3", "470n", "Y", "N"));
    const Circuit circuit = build(parts);
    const Domains found = domains(circuit);
    EXPECT_THAT(names_of(found), ElementsAre("mains"));
    EXPECT_THAT(found.bridges, IsEmpty());
    EXPECT_FALSE(found.isolated_from_mains(*circuit.net("OUT+")));
}

TEST(Domains, ASnubberIsNoBridge) {
    std::vector<dossier::Part> parts = test::flyback();
    parts.push_back(c("C9", "1n", "SEC", "SNUB"));
    parts.push_back(r("R9", "10", "SNUB", "OUT+"));
    const Circuit circuit = build(parts);
    const Domains found = domains(circuit);
    EXPECT_EQ(domain_of(circuit, found, "SNUB"), "isolated 1");
    EXPECT_THAT(bridges_of(circuit, found), SizeIs(3));
}

TEST(Domains, TheNodeBetweenTwoXCapacitorsIsMains) {
    const Circuit circuit = build({test::mains("L", "N"),
                                   part("C1", "X2 capacitor", "100n", {{"1", "L"}, {"2", "M"}}),
                                   part("C2", "X2 capacitor", "100n", {{"1", "M"}, {"2", "N"}})});
    const Domains found = domains(circuit);
    EXPECT_THAT(names_of(found), ElementsAre("mains"));
    EXPECT_THAT(found.bridges, IsEmpty());
}

TEST(Domains, TwoYCapacitorsInSeriesAreTheBridgeTogether) {
    std::vector<dossier::Part> parts = test::flyback();
    std::erase_if(parts, [](const dossier::Part& p) { return p.name == "C4"; });
    parts.push_back(part("CY1", "Y2 capacitor", "2n2", {{"1", "HV-"}, {"2", "MID"}}));
    parts.push_back(part("CY2", "Y2 capacitor", "2n2", {{"1", "MID"}, {"2", "OUT-"}}));
    const Circuit circuit = build(parts);
    const Domains found = domains(circuit);
    EXPECT_THAT(names_of(found),
                ElementsAre("mains", "between mains and isolated 1", "isolated 1"));
    EXPECT_THAT(bridges_of(circuit, found), Contains("CY1: mains, isolated 1"));
    EXPECT_THAT(bridges_of(circuit, found), Contains("CY2: mains, isolated 1"));
    EXPECT_FALSE(found.isolated_from_mains(*circuit.net("MID"))) << "half the insulation only";
    EXPECT_TRUE(found.isolated_from_mains(*circuit.net("OUT-")));
    EXPECT_EQ(found.domains[1].nature, Domain::Nature::floating);
    EXPECT_THAT(found.domains[1].between, ElementsAre(0, 2));
}

TEST(Domains, ThreeCapacitorsInSeriesAndATestPointAreOneNodeBetween) {
    std::vector<dossier::Part> parts = test::flyback();
    parts.push_back(c("CY1", "2n2", "HV-", "M1"));
    parts.push_back(c("CY2", "2n2", "M1", "M2"));
    parts.push_back(c("CY3", "2n2", "M2", "OUT-"));
    parts.push_back(part("TP1", "test point", {{"1", "M1"}}));
    const Circuit circuit = build(parts);
    const Domains found = domains(circuit);
    EXPECT_EQ(domain_of(circuit, found, "M1"), "between mains and isolated 1");
    EXPECT_EQ(domain_of(circuit, found, "M2"), "between mains and isolated 1");
    EXPECT_THAT(bridges_of(circuit, found), Contains("CY2: mains, isolated 1"));
    EXPECT_THAT(bridges_of(circuit, found), Not(Contains(testing::HasSubstr("TP1"))));
}

TEST(Domains, EarthIsADomainBehindItsYCapacitors) {
    const Circuit circuit = build({part("J1", "mains", {{"L", "L"}, {"N", "N"}, {"PE", "PE"}}),
                                   part("C1", "Y2 capacitor", "2n2", {{"1", "L"}, {"2", "PE"}}),
                                   part("C2", "Y2 capacitor", "2n2", {{"1", "N"}, {"2", "PE"}})});
    const Domains found = domains(circuit);
    EXPECT_THAT(names_of(found), ElementsAre("mains", "earth"));
    EXPECT_THAT(bridges_of(circuit, found), ElementsAre("C1: mains, earth", "C2: mains, earth"));
    EXPECT_TRUE(found.isolated_from_mains(*circuit.net("PE")));
    EXPECT_EQ(reference_of(circuit, found, "earth"), "PE");
}

TEST(Domains, AStarOfVaristorsAndASparkGapBridgesMainsAndEarth) {
    const Circuit circuit = build({part("J1", "mains", {{"L", "L"}, {"N", "N"}, {"PE", "PE"}}),
                                   part("RV1", "varistor", {{"1", "L"}, {"2", "STAR"}}),
                                   part("RV2", "varistor", {{"1", "N"}, {"2", "STAR"}}),
                                   part("GD1", "spark gap", {{"1", "STAR"}, {"2", "PE"}}),
                                   part("RV3", "varistor", {{"1", "L"}, {"2", "N"}})});
    const Domains found = domains(circuit);
    EXPECT_THAT(
        bridges_of(circuit, found),
        UnorderedElementsAre("GD1: mains, earth", "RV1: mains, earth", "RV2: mains, earth"));
}

TEST(Domains, ATouchableMetalPartIsADomainEvenIfOnlyACapacitorReachesIt) {
    std::vector<dossier::Part> parts = test::dropper();
    parts.push_back(c("C9", "2n2", "OUT-", "SHELL"));
    parts.push_back(part("J9", "connector", {{"1", "SHELL"}}));
    EXPECT_THAT(names_of(domains(build(parts))), ElementsAre("mains"));
    dossier::NetNote shell = test::note("SHELL", "");
    shell.touchable = true;
    const Circuit circuit = build(parts, {shell});
    const Domains found = domains(circuit);
    EXPECT_EQ(domain_of(circuit, found, "SHELL"), "floating 1");
    EXPECT_THAT(bridges_of(circuit, found), ElementsAre("C9: mains, floating 1"));
}

TEST(Domains, RelayContactsAreApartFromTheCoil) {
    const Circuit circuit =
        build({test::mains("L", "N"),
               part("BAT1", "battery", {{"+", "B+"}, {"-", "B-"}}),
               part("K1", "relay", {{"A1", "B+"}, {"A2", "B-"}, {"com", "L"}, {"no", "OUT"}}),
               part("LA1", "lamp", {{"1", "OUT"}, {"2", "N"}})});
    const Domains found = domains(circuit);
    EXPECT_THAT(names_of(found), ElementsAre("mains", "isolated 1"));
    EXPECT_THAT(bridges_of(circuit, found), ElementsAre("K1: mains, isolated 1"));
    EXPECT_EQ(reference_of(circuit, found, "isolated 1"), "B-");
}

TEST(Domains, DryContactsOfARelayStandByThemselves) {
    const Circuit circuit =
        build({part("BAT1", "battery", {{"+", "B+"}, {"-", "B-"}}),
               part("K1", "relay", {{"A1", "B+"}, {"A2", "B-"}, {"com", "X"}, {"no", "Y"}}),
               part("J1", "connector", {{"1", "X"}, {"2", "Y"}})});
    const Domains found = domains(circuit);
    EXPECT_EQ(domain_of(circuit, found, "X"), domain_of(circuit, found, "Y"));
    EXPECT_NE(domain_of(circuit, found, "X"), domain_of(circuit, found, "B+"));
}

TEST(Domains, AConnectorTiesNothing) {
    const Circuit circuit = build({part("J1", "connector", {{"1", "A"}, {"2", "B"}}),
                                   r("R1", "1k", "A", "A2"),
                                   r("R2", "1k", "B", "B2")});
    EXPECT_THAT(names_of(domains(circuit)), ElementsAre("floating 1", "floating 2"));
}

TEST(Domains, WhereNothingIsFedACapacitorBridgesIslandsThatConduct) {
    const Circuit circuit = build({r("R1", "1k", "A", "B"),
                                   r("R2", "1k", "C", "D"),
                                   c("C1", "1n", "B", "M"),
                                   c("C2", "1n", "M", "C")});
    const Domains found = domains(circuit);
    EXPECT_THAT(bridges_of(circuit, found),
                ElementsAre("C1: floating 1, floating 2", "C2: floating 1, floating 2"));
    const Circuit only = build({c("C1", "1n", "A", "B"), c("C2", "1n", "B", "C")});
    EXPECT_THAT(names_of(domains(only)), ElementsAre("floating 1"));
}

TEST(Domains, LiveAndNeutralFromNotesAreOneMains) {
    const Circuit circuit = build(
        {part("J1", "connector", {{"1", "IN1"}, {"2", "IN2"}}), c("C1", "100n", "IN1", "IN2")},
        {test::note("IN1", "live"), test::note("IN2", "neutral")});
    EXPECT_THAT(names_of(domains(circuit)), ElementsAre("mains"));
}

TEST(Domains, AResistorAcrossTheBarrierMakesItAllMains) {
    std::vector<dossier::Part> parts = test::flyback();
    parts.push_back(r("R99", "10M", "HV-", "OUT-"));
    const Circuit circuit = build(parts);
    const Domains found = domains(circuit);
    EXPECT_THAT(names_of(found), ElementsAre("mains"));
    EXPECT_FALSE(found.isolated_from_mains(*circuit.net("OUT+")));
}

TEST(Domains, ACommonModeChokeSeparatesNothing) {
    const Circuit circuit =
        build({test::mains("L", "N"),
               part("L1", "common-mode choke", {{"1", "L"}, {"2", "L2"}, {"3", "N"}, {"4", "N2"}}),
               test::bridge("BR1", "L2", "N2", "P", "M")});
    const Domains found = domains(circuit);
    EXPECT_THAT(names_of(found), ElementsAre("mains"));
    EXPECT_THAT(found.bridges, IsEmpty());
}

TEST(Domains, NothingGivesNothing) {
    EXPECT_THAT(domains(build({})).domains, IsEmpty());
}

// Random circuits of all couplings, twice in different order.
std::vector<dossier::Part> random_parts(std::mt19937& random) {
    const auto net = [&] { return "N" + std::to_string(random() % 14); };
    std::vector<dossier::Part> parts;
    if (random() % 3 != 0) {
        parts.push_back(test::mains("N0", "N1"));
    }
    const int count = 3 + static_cast<int>(random() % 16);
    for (int i = 0; i < count; ++i) {
        const std::string id = std::to_string(i);
        switch (random() % 7) {
            case 0:
            case 1:
                parts.push_back(c("C" + id, "1n", net(), net()));
                break;
            case 2:
                parts.push_back(part("RV" + id, "varistor", {{"1", net()}, {"2", net()}}));
                break;
            case 3:
                parts.push_back(part("U" + id,
                                     "optocoupler",
                                     {{"1", net()}, {"2", net()}, {"3", net()}, {"4", net()}}));
                break;
            case 4: {
                dossier::Part t = part("T" + id,
                                       "transformer",
                                       {{"1", net()}, {"2", net()}, {"3", net()}, {"4", net()}});
                t.windings = {test::winding("a", {"1", "2"}), test::winding("b", {"3", "4"})};
                parts.push_back(t);
                break;
            }
            default:
                parts.push_back(r("R" + id, "1k", net(), net()));
        }
    }
    return parts;
}

TEST(Domains, OfRandomCircuitsDoNotDependOnTheOrderOfParts) {
    std::mt19937 random(20260102);
    for (int round = 0; round < 300; ++round) {
        std::vector<dossier::Part> parts = random_parts(random);
        const Circuit circuit = build(parts);
        const Domains expected = domains(circuit);
        std::shuffle(parts.begin(), parts.end(), random);
        const Domains found = domains(build(parts));
        EXPECT_EQ(found.domains, expected.domains);
        EXPECT_EQ(found.bridges, expected.bridges);
        EXPECT_EQ(found.of_net, expected.of_net);
    }
}

TEST(Domains, OfRandomCircuitsKeepTheirPromises) {
    std::mt19937 random(20260103);
    for (int round = 0; round < 300; ++round) {
        const Circuit circuit = build(random_parts(random));
        const Domains found = domains(circuit);
        // Every net is in one domain, and of_net says which.
        std::set<int> seen;
        for (std::size_t d = 0; d < found.domains.size(); ++d) {
            for (const NetId net : found.domains[d].nets) {
                EXPECT_TRUE(seen.insert(net.index).second);
                EXPECT_EQ(found.of(net), static_cast<int>(d));
            }
        }
        EXPECT_EQ(seen.size(), circuit.nets.size());
        // Names are different; at most one domain is mains, and it is the first.
        std::set<std::string> names;
        for (std::size_t d = 0; d < found.domains.size(); ++d) {
            EXPECT_TRUE(names.insert(found.domains[d].name).second) << found.domains[d].name;
            EXPECT_TRUE(d == 0 || found.domains[d].nature != Domain::Nature::mains);
        }
        // Nothing that conducts bridges; whatever joins two domains is a bridge.
        std::set<PartId> bridges;
        for (const Bridge& bridge : found.bridges) {
            EXPECT_NE(bridge.coupling, parts::Coupling::conductive);
            EXPECT_GE(bridge.domains.size(), 2u);
            bridges.insert(bridge.part);
        }
        for (std::size_t p = 0; p < circuit.parts.size(); ++p) {
            std::set<int> touched;
            for (const Pin& pin : circuit.parts[p].pins) {
                if (pin.net.known()) {
                    touched.insert(found.of(pin.net));
                }
            }
            if (touched.size() > 1) {
                EXPECT_TRUE(bridges.contains(PartId{static_cast<int>(p)}));
            }
        }
    }
}

// Independent of the way in which domains are found: a net that conductive parts alone lead to from
// live must never count as isolated.
TEST(Domains, WhatConductsToLiveIsNeverIsolated) {
    std::mt19937 random(20260104);
    for (int round = 0; round < 300; ++round) {
        const Circuit circuit = build(random_parts(random));
        const auto live = circuit.net("N0");
        if (!live || circuit[*live].role != "live") {
            continue;
        }
        std::set<NetId> reached{*live};
        for (bool grew = true; grew;) {
            grew = false;
            for (const Part& each : circuit.parts) {
                for (const Pin& a : each.pins) {
                    for (const Pin& b : each.pins) {
                        const bool conducts = each.kind.coupling == parts::Coupling::conductive ||
                                              (!a.side.empty() && a.side == b.side);
                        if (conducts && a.net.known() && b.net.known() && reached.contains(a.net)) {
                            grew = reached.insert(b.net).second || grew;
                        }
                    }
                }
            }
        }
        const Domains found = domains(circuit);
        for (const NetId net : reached) {
            EXPECT_FALSE(found.isolated_from_mains(net)) << circuit[net].name;
        }
    }
}

}  // namespace
}  // namespace etchback::circuit
