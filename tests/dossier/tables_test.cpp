#include "dossier/tables.h"

#include <algorithm>
#include <cstdlib>

#include "base/file.h"
#include "dossier/fixture.h"

namespace etchback::dossier {
namespace {

base::Result<Dossier> from(std::string_view nets, std::string_view parts) {
    return from_tables(nets, "nets.csv", parts, "parts.csv", catalogue());
}

Dossier made_from(std::string_view nets, std::string_view parts) {
    const auto dossier = from(nets, parts);
    if (!dossier) {
        ADD_FAILURE() << base::to_string(dossier.errors().front());
        return {};
    }
    return *dossier;
}

std::vector<std::string> complaints(std::string_view nets, std::string_view parts) {
    std::vector<std::string> texts;
    const auto dossier = from(nets, parts);
    if (dossier) {
        ADD_FAILURE() << "no error";
        return texts;
    }
    for (const base::Error& error : dossier.errors()) {
        texts.push_back(base::to_string(error));
    }
    return texts;
}

const std::string two_nets = "net,part,pin\nA,R1,1\nB,R1,2\n";

TEST(Tables, AResistorIsGuessedFromItsLetterAndSaysSo) {
    const Dossier dossier = made_from(two_nets, "part,value,body\nR1,4k7,0805\n");
    ASSERT_EQ(dossier.parts.size(), 1U);
    const Part& part = dossier.parts[0];
    EXPECT_EQ(part.kind.value, "resistor");
    EXPECT_EQ(part.basis("kind"), Basis::assumed);
    EXPECT_EQ(part.basis("value"), Basis::seen);
    EXPECT_EQ(part.value->value, Quantity::of(4700, base::Unit::ohm));
    EXPECT_EQ(part.body.value, "0805");
    EXPECT_EQ(part.note.value, "kind guessed from the letter R");
    EXPECT_EQ(part.pins[1], (PinUse{"2", "B", {}}));
}

TEST(Tables, RepeatedPadsAndPointsOnNetsAreNoPins) {
    const Dossier dossier = made_from(
        "net,part,pin,side,x_mm,y_mm\nA,R1,1,top,1,2\nA,R1,1,top,1,4\nA,VIA,,both,9,9\nA,,,,,\nB,"
        "R1,2,top,4,3\n",
        "part,value,body\nR1,4k7,0805\n");
    ASSERT_EQ(dossier.parts[0].pins.size(), 2U);
    EXPECT_EQ(dossier.parts[0].position, (Position{2.0, 3.0, 0.0, false}));
}

TEST(Tables, KindsAndTitlesThatAreGivenAreNoGuess) {
    const Dossier dossier = made_from(
        two_nets,
        "part,value,body,kind,title,colour\nR1,470n,film,X2 capacitor,across the mains,yellow\n");
    EXPECT_EQ(dossier.parts[0].kind.value, "x2_capacitor");
    EXPECT_EQ(dossier.parts[0].title.value, "across the mains");
    EXPECT_TRUE(dossier.parts[0].known.empty());
    EXPECT_TRUE(dossier.parts[0].note.value.empty());
}

TEST(Tables, APlaceThatIsNotFittedKeepsItsPins) {
    const Dossier dossier = made_from(two_nets, "part,value,body\nR1,NC,0805\n");
    EXPECT_FALSE(dossier.parts[0].fitted);
    EXPECT_FALSE(dossier.parts[0].value);
    EXPECT_EQ(dossier.parts[0].pins.size(), 2U);
}

TEST(Tables, NumbersOfADiodesPinsAreMarkedAsAssumed) {
    const Dossier dossier = made_from("net,part,pin\nA,D1,1\nB,D1,2\nA,D2,1\nB,D2,3\n",
                                      "part,value,body\nD1,LED,0805\nD2,3v9,SOT-23-3\n");
    EXPECT_EQ(dossier.parts[0].kind.value, "led");
    EXPECT_EQ(dossier.parts[0].pins[0].pin, "cathode");
    EXPECT_TRUE(dossier.parts[0].type.value.empty());
    EXPECT_EQ(dossier.parts[0].basis("pins"), Basis::assumed);
    EXPECT_EQ(dossier.parts[1].kind.value, "zener_diode");
    EXPECT_EQ(dossier.parts[1].value->value, Quantity::of(3.9, base::Unit::volt));
    EXPECT_EQ(dossier.parts[1].pins[0].pin, "anode");
    EXPECT_EQ(dossier.parts[1].pins[1].pin, "cathode");
    EXPECT_NE(dossier.parts[1].note.value.find("check it"), std::string::npos);
}

TEST(Tables, PinsThatDoNotFitLeaveTheKindOpen) {
    const Dossier dossier = made_from(
        "net,part,pin\nA,D1,1\nB,D1,2\nC,D1,3\nA,Q1,1\nB,Q1,2\nC,Q1,3\nA,R1,1\nB,R1,2\nC,R1,3\n",
        "part,value,body\nD1,BAV70,SOT-23\nQ1,2N7002,SOT-23\nR1,10k,x\n");
    for (const Part& part : dossier.parts) {
        EXPECT_EQ(part.kind.value, "") << part.name;
        EXPECT_EQ(part.pins.size(), 3U);
        EXPECT_TRUE(part.known.empty());
    }
    EXPECT_EQ(dossier.parts[0].type.value, "BAV70");
    EXPECT_NE(dossier.parts[0].note.value.find("diode"), std::string::npos);
    EXPECT_EQ(dossier.parts[2].type.value, "");
    EXPECT_TRUE(dossier.parts[2].value);
}

TEST(Tables, PinsStandInTheirNaturalOrder) {
    const Dossier dossier =
        made_from("net,part,pin\nA,U1,10\nB,U1,2\nC,U1,1\n", "part,value,body\nU1,x,y\n");
    EXPECT_EQ(dossier.parts[0].pins[0].pin, "1");
    EXPECT_EQ(dossier.parts[0].pins[2].pin, "10");
}

TEST(Tables, AValueThatIsNoQuantityIsAType) {
    const Dossier dossier =
        made_from("net,part,pin\nA,U1,1\nB,U1,2\nA,U2,1\nB,J1,1\n",
                  "part,value,body\nU1,7805,TO-220\nU2,XY100,SOIC-8\nJ1,12 V in,header\n");
    EXPECT_EQ(dossier.parts[0].type.value, "7805");
    EXPECT_FALSE(dossier.parts[0].value);
    EXPECT_EQ(dossier.parts[1].type.value, "XY100");
    EXPECT_EQ(dossier.parts[2].title.value, "12 V in");
}

TEST(Tables, NamesMustAgreeBothWays) {
    const auto errors = complaints("net,part,pin\nA,R1,1\nB,R1,2\nA,R22,1\n",
                                   "part,value,body\nR1,1k,\nR2,1k,\nR1,2k,\n");
    ASSERT_EQ(errors.size(), 3U);
    EXPECT_EQ(errors[0],
              "nets.csv:4:1: part R22 is not in parts.csv; add a row for it there, or take its "
              "pins out (did you mean 'R2'?)");
    EXPECT_EQ(errors[1],
              "parts.csv:3:1: part R2 has no pin in nets.csv; add its pins there, or take this row "
              "out (did you mean 'R22'?)");
    EXPECT_EQ(errors[2], "parts.csv:4:1: part R1 is in line 2 already; give each part one row");
}

TEST(Tables, OnePinOnTwoNetsIsAnError) {
    const auto errors = complaints("net,part,pin\nA,R1,1\nB,R1,1\n", "part,value,body\nR1,1k,\n");
    ASSERT_EQ(errors.size(), 1U);
    EXPECT_EQ(errors[0],
              "nets.csv:3:1: pin R1.1 is on net 'B' here and on net 'A' in line 2; if the two nets "
              "are one, give both rows one name");
}

TEST(Tables, MissingColumnsPinsAndKindsAreNamed) {
    EXPECT_EQ(complaints("net,pin\nA,1\n", "part,value,body\n")[0],
              "nets.csv:1:1: the table has no column 'part'; its first line must name the columns "
              "net, part and pin");
    EXPECT_EQ(complaints("net,part,pin\nA,R1,\nA,R1,1\n", "part,value,body\nR1,1k,\n")[0],
              "nets.csv:2:1: part R1: the row has no pin; write net, part and pin in each row");
    EXPECT_EQ(
        complaints(two_nets, "part,value,body,kind\nR1,1k,,resitor\n")[0],
        "parts.csv:2:1: part R1: no kind of part is called 'resitor'; did you mean 'resistor'?");
    EXPECT_EQ(
        complaints("net,part,pin\nA,R1,1\nB,R1,3\n", "part,value,body,kind\nR1,1k,,resistor\n")[0],
        "nets.csv:3:1: part R1: a resistor has no pin '3'; its pins are 1 and 2");
    EXPECT_FALSE(complaints("", "").empty());
}

TEST(Tables, NamesThatADossierCannotHoldAreRefused) {
    const auto errors =
        complaints("net,part,pin\nA,R1,1\nA,r1,1\n", "part,value,body\nR1,1k,\nr1,1k,\n");
    ASSERT_EQ(errors.size(), 1U);
    EXPECT_EQ(errors[0],
              "parts.csv: parts 'R1' and 'r1' differ only in capital letters; give one of them "
              "another name");
    EXPECT_FALSE(complaints("net,part,pin\n\"A\nB\",R1,1\n", "part,value,body\nR1,1k,\n").empty());
}

TEST(Tables, PlacesThatAreNoNumbersAreLeftOut) {
    const Dossier dossier =
        made_from("net,part,pin,x_mm,y_mm\nA,R1,1,nan,1\nB,R1,2,,\n", "part,value,body\nR1,1k,\n");
    EXPECT_FALSE(dossier.parts[0].position);
}

std::filesystem::path boards() {
    const char* told = std::getenv("ETCHBACK_BOARDS");
    return told != nullptr ? std::filesystem::path(told)
                           : source_dir() / ".." / "shared" / "boards";
}

class RealBoard : public testing::Test {
protected:
    void SetUp() override {
        const auto folder = boards() / "power-distribution";
        if (!std::filesystem::exists(folder)) {
            GTEST_SKIP() << folder << " is not there; set ETCHBACK_BOARDS to the boards' folder";
        }
        const auto beside = folder / "parts.csv";
        const auto parts =
            std::filesystem::exists(beside) ? beside : folder / "truth" / "parts.csv";
        dossier_ =
            made_from(base::read_file(folder / "truth" / "nets.csv"), base::read_file(parts));
    }

    Dossier dossier_;
};

TEST_F(RealBoard, HasAllItsPartsAndNets) {
    EXPECT_EQ(dossier_.parts.size(), 64U);
    std::vector<std::string> nets;
    for (const Part& part : dossier_.parts) {
        for (const PinUse& use : part.pins) {
            nets.push_back(use.net);
        }
    }
    std::ranges::sort(nets);
    nets.erase(std::ranges::unique(nets).begin(), nets.end());
    // The table has 38 nets with two points or more, and 5 of one pin each.
    EXPECT_GE(nets.size(), 38U);
}

TEST_F(RealBoard, GuessesWhatCanBeKnownAndLeavesTheRestOpen) {
    const auto kind = [&](std::string_view name) { return dossier_.part(name)->kind.value; };
    EXPECT_EQ(kind("C1"), "ceramic_capacitor");
    EXPECT_EQ(kind("R14"), "resistor");
    EXPECT_EQ(kind("L1"), "inductor");
    EXPECT_EQ(kind("D2"), "led");
    EXPECT_EQ(kind("D6"), "zener_diode");
    EXPECT_EQ(kind("J7"), "connector");
    EXPECT_EQ(kind("TP1"), "test_point");
    EXPECT_EQ(kind("U4"), "integrated_circuit");
    EXPECT_EQ(kind("Q1"), "");
    EXPECT_FALSE(dossier_.part("C11")->fitted);
    EXPECT_EQ(dossier_.part("L1")->value->value, Quantity::of(1.5e-6, base::Unit::henry));
    EXPECT_EQ(dossier_.part("Q1")->type.value, "IAUCN04S7L005");
    EXPECT_EQ(dossier_.part("U1")->pins.size(), 11U);
}

TEST_F(RealBoard, IsWrittenAndReadBackEqual) {
    const std::string text = write(dossier_, catalogue());
    EXPECT_EQ(read_well(text), dossier_);
}

}  // namespace
}  // namespace etchback::dossier
