// From islands to named nets, as `trace` does it after the pictures have been looked at.
#include <gmock/gmock.h>

#include "copper/boards.h"
#include "copper/detail/drill_table.h"
#include "copper/squares.h"

namespace etchback::copper {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

// A row of squares 2 mm apart from x = 1; resistors with pads on them.
std::string resistor(const std::string& name,
                     int from,
                     int to,
                     const std::string& more = "kind = \"resistor\"\n") {
    return "[parts." + name + "]\n" + more + "pads = { 1 = [" + std::to_string(2 * from + 1) +
           ", 1], 2 = [" + std::to_string(2 * to + 1) + ", 1] }\n";
}

Trace traced(const Squares& board, const std::string& toml) {
    BoardPicture picture;
    picture.raster = board.islands.raster;
    return trace_from(picture, board.islands, {}, dossier_of(toml), catalogue());
}

std::string net_of(const Trace& trace, const std::string& part, const std::string& pin) {
    for (std::size_t i = 0; i < trace.pads.size(); ++i) {
        if (trace.pads[i].part == part && trace.pads[i].pin == pin) {
            const int net = trace.nets.net_of_pad[i];
            return net < 0 ? "" : trace.nets.nets[static_cast<std::size_t>(net)].name;
        }
    }
    return "no pad";
}

TEST(Trace, PartsJoinNothing) {
    const Squares board(2);
    const Trace trace = traced(board, resistor("R1", 0, 1));
    EXPECT_NE(net_of(trace, "R1", "1"), net_of(trace, "R1", "2"));
}

TEST(Trace, WireLinksAndResistorsOfZeroOhmsJoin) {
    const Squares board(4);
    const Trace trace = traced(board,
                               resistor("JP1", 0, 1, "kind = \"jumper\"\n") +
                                   resistor("R1", 2, 3, "kind = \"resistor\"\nvalue = \"0\"\n"));
    EXPECT_EQ(net_of(trace, "JP1", "1"), net_of(trace, "JP1", "2"));
    EXPECT_EQ(net_of(trace, "R1", "1"), net_of(trace, "R1", "2"));
    EXPECT_NE(net_of(trace, "JP1", "1"), net_of(trace, "R1", "2"));
}

TEST(Trace, ASideOfWhichNoCopperIsReadIsADoubt) {
    const Squares board(2);
    BoardPicture picture;
    picture.raster = board.islands.raster;
    picture.bottom.emplace().trusted = false;
    const auto doubts_of = [&](const std::string& toml) {
        const Trace trace = trace_from(picture, board.islands, {}, dossier_of(toml), catalogue());
        return std::ranges::count_if(trace.nets.doubts, [](const Doubt& doubt) {
            return doubt.words.find("none of its copper was read") != std::string::npos;
        });
    };
    EXPECT_EQ(doubts_of(resistor("R1", 0, 1)), 1);
    picture.bottom->trusted = true;
    EXPECT_EQ(doubts_of(resistor("R1", 0, 1)), 0) << "a board with copper on one side";
    EXPECT_EQ(doubts_of("board.sides = 2\n" + resistor("R1", 0, 1)), 1);
}

TEST(Trace, AWireLinkThatIsNotFittedJoinsNothing) {
    const Squares board(2);
    const Trace trace = traced(board, resistor("JP1", 0, 1, "kind = \"jumper\"\nfitted = false\n"));
    EXPECT_NE(net_of(trace, "JP1", "1"), net_of(trace, "JP1", "2"));
}

TEST(Trace, APinThroughTheBoardJoinsItsSides) {
    Squares board(1, 2);  // one on top, two on the bottom: island 1 lies below island 0
    const Trace trace =
        traced(board, resistor("R1", 0, 1, "kind = \"resistor\"\nbody = \"axial 6.2 mm\"\n"));
    EXPECT_EQ(trace.nets.net_of_island[0], trace.nets.net_of_island[1]);
    EXPECT_NE(trace.nets.net_of_island[0], trace.nets.net_of_island[2]);
}

TEST(Trace, APinInADrilledHoleJoinsItsSidesWhateverItsBody) {
    const Squares board(1, 2);
    BoardPicture picture;
    picture.raster = board.islands.raster;
    Hole drilled;
    drilled.at = {1.0, 1.0};
    drilled.diameter_mm = 0.8;
    picture.holes.push_back(drilled);
    const Trace trace =
        trace_from(picture, board.islands, {}, dossier_of(resistor("R1", 0, 1)), catalogue());
    EXPECT_EQ(trace.nets.net_of_island[0], trace.nets.net_of_island[1]);
    EXPECT_FALSE(trace.pads[0].side.has_value());
}

TEST(Trace, APadOnOneSideDoesNotJoinTheCopperBelowIt) {
    const Squares board(1, 2);
    const Trace trace = traced(board, resistor("R1", 0, 1));
    EXPECT_NE(trace.nets.net_of_island[0], trace.nets.net_of_island[1]);
    EXPECT_EQ(trace.nets.net_of_pad[0], trace.nets.net_of_island[0]);
    // Only the bottom has copper where its other pad is.
    EXPECT_EQ(trace.pads[1].side, Side::bottom);
}

TEST(Trace, NetsAreCalledAsThePersonCallsThem) {
    Squares board(3);
    const Trace trace = traced(board,
                               resistor("R1", 0, 1) + "pins = { 1 = \"L\" }\n" +
                                   resistor("R2", 1, 2) + "pins = { 2 = \"N2\" }\n");
    EXPECT_EQ(net_of(trace, "R1", "1"), "L");
    EXPECT_EQ(net_of(trace, "R1", "2"), "N1");
    EXPECT_EQ(net_of(trace, "R2", "1"), "N1");
    EXPECT_EQ(net_of(trace, "R2", "2"), "N2");
    EXPECT_THAT(trace.remarks, IsEmpty());
}

TEST(Trace, NamesThatCopperJoinsAreTold) {
    Squares board(2);
    board.join(0, 1, 1.0);
    const Trace trace = traced(board, resistor("R1", 0, 1) + "pins = { 1 = \"L\", 2 = \"N\" }\n");
    ASSERT_THAT(trace.remarks, SizeIs(1));
    EXPECT_THAT(trace.remarks[0].what,
                HasSubstr("R1.2 is on net N by the dossier, but copper joins it to L"));
}

TEST(Trace, ANameOnTwoPiecesOfCopperIsTold) {
    Squares board(3);
    const Trace trace = traced(board,
                               resistor("R1", 0, 1) + "pins = { 1 = \"A\", 2 = \"B\" }\n" +
                                   resistor("R2", 2, 1) + "pins = { 1 = \"A\", 2 = \"B\" }\n");
    ASSERT_THAT(trace.remarks, SizeIs(1));
    EXPECT_THAT(trace.remarks[0].what, HasSubstr("is on net A by the dossier, but no copper"));
}

TEST(Trace, ChecksOfTheDossierAreHeardByPinAndByNet) {
    Squares board(4);
    board.join(0, 1, 0.3);
    board.join(2, 3, 0.7);
    const Trace trace =
        traced(board,
               resistor("R1", 0, 2) + "pins = { 1 = \"A\", 2 = \"C\" }\n" + resistor("R2", 1, 3) +
                   "[[continuity]]\nbetween = [\"A\", \"R2.1\"]\n"
                   "[[continuity]]\nbetween = [\"R1.2\", \"R2.2\"]\nbeeps = false\n");
    EXPECT_EQ(net_of(trace, "R2", "1"), "A");
    EXPECT_NE(net_of(trace, "R2", "2"), "C");
    EXPECT_THAT(trace.nets.contradictions, IsEmpty());
}

TEST(Trace, ABeepThroughAFuseSaysNothingAboutCopper) {
    Squares board(3);
    board.join(0, 1, 0.3);
    const Trace trace = traced(board,
                               resistor("F1", 0, 1, "kind = \"fuse\"\n") +
                                   "[[continuity]]\nbetween = [\"F1.1\", \"F1.2\"]\n");
    EXPECT_NE(net_of(trace, "F1", "1"), net_of(trace, "F1", "2"));
    EXPECT_THAT(trace.nets.contradictions, IsEmpty());
    ASSERT_THAT(trace.remarks, SizeIs(1));
    EXPECT_THAT(trace.remarks[0].what, HasSubstr("F1.1 to F1.2 may go through a coil, a fuse"));
}

TEST(Trace, FillsNetsOnPinsThatThePersonLeftUnwritten) {
    Squares board(3);
    const std::string toml =
        resistor("R1", 0, 1) + resistor("R2", 1, 2) + "pins = { 2 = \"OUT\" }\n";
    const Trace trace = traced(board, toml);
    const dossier::Dossier filled = with_traced_nets(dossier_of(toml), trace);
    const dossier::Part& one = *filled.part("R1");
    ASSERT_THAT(one.pins, SizeIs(2));
    EXPECT_EQ(one.basis("pins"), dossier::Basis::traced);
    const dossier::Part& two = *filled.part("R2");
    ASSERT_THAT(two.pins, SizeIs(2));
    EXPECT_EQ(two.pins[0].net, "OUT");
    EXPECT_EQ(two.pins[1].net, one.pins[1].net);
    EXPECT_EQ(two.basis("pins"), dossier::Basis::seen);
}

TEST(Trace, APadOnNoCopperGetsNoNet) {
    const Squares board(1);
    const std::string toml = resistor("R1", 0, 40);
    const Trace trace = traced(board, toml);
    EXPECT_EQ(net_of(trace, "R1", "2"), "");
    EXPECT_THAT(with_traced_nets(dossier_of(toml), trace).part("R1")->pins, SizeIs(1));
}

TEST(DrillTable, IsReadWithAndWithoutPlating) {
    const auto holes = detail::read_holes(
        "x_mm,y_mm,diameter_mm,plated\n1,2,0.3,1\n3.5,4,3.2,no\n5,6,0.8,\n", "holes.csv");
    ASSERT_TRUE(holes);
    ASSERT_THAT(*holes, SizeIs(3));
    EXPECT_EQ(holes->at(1).at, (Point{3.5, 4.0}));
    EXPECT_GT(holes->at(0).plated, 0.99);
    EXPECT_LT(holes->at(1).plated, 0.01);
    EXPECT_GT(holes->at(2).plated, 0.9);
}

TEST(DrillTable, TellsEveryFaultWithItsLine) {
    const auto holes =
        detail::read_holes("x_mm,y_mm,diameter_mm\n1,2,0\nfar,2,1\n1e999,0,1\n", "holes.csv");
    ASSERT_FALSE(holes);
    EXPECT_THAT(holes.errors(), SizeIs(3));
    EXPECT_THAT(base::to_string(holes.errors()[1]), HasSubstr("holes.csv:3"));
    const auto nameless = detail::read_holes("a,b\n1,2\n", "holes.csv");
    ASSERT_FALSE(nameless);
    EXPECT_THAT(nameless.errors(), SizeIs(3));
}

}  // namespace
}  // namespace etchback::copper
