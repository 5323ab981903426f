// No fuse, no inrush limiting: each fault is made by taking a part away, and goes when it is back.
#include "findings_of.h"

namespace etchback::test {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::IsSupersetOf;

const char* const wire = R"(kind = "jumper"
pins = { 1 = "L", 2 = "LF" })";

TEST(SoundBoards, HaveNoFindings) {
    EXPECT_THAT(ids_of(rectified()), IsEmpty());
    EXPECT_THAT(ids_of(flyback()), IsEmpty());
    EXPECT_THAT(ids_of(led_driver()), IsEmpty());
}

TEST(SoundBoards, ADroppersLedsAreNotedAsTiedToTheMains) {
    EXPECT_THAT(ids_of(dropper()), ElementsAre("load_at_mains.LED1"));
}

TEST(NoFuse, AppearsWhenTheFuseIsReplacedByAWire) {
    EXPECT_FALSE(found(rectified(), "no_fuse"));
    const auto f = the_finding(rectified().with("F1", wire), "no_fuse");
    EXPECT_THAT(f.parts, ElementsAre("F1", "RT1", "BR1"));
    EXPECT_THAT(f.title, HasSubstr("F1, RT1 and BR1"));
}

TEST(NoFuse, AFuseInTheOtherLineWillDo) {
    Board board = rectified().with("F1", wire).with("F2", R"(kind = "fuse"
value = "1 A"
pins = { 1 = "N", 2 = "NF" })");
    board.with("BR1", R"(kind = "bridge rectifier"
pins = { "~1" = "AC", "~2" = "NF", "+" = "HV+", "-" = "HV-" })");
    EXPECT_FALSE(found(board, "no_fuse"));
}

TEST(NoFuse, AFusibleResistorWillDo) {
    EXPECT_FALSE(found(rectified().with("F1", R"(kind = "fusible resistor"
value = "10R"
pins = { 1 = "L", 2 = "LF" })"),
                       "no_fuse"));
}

TEST(NoFuse, AnOrdinaryResistorIsNoFuseAndTheTextSaysSo) {
    const auto f = the_finding(rectified().with("F1", R"(kind = "resistor"
value = "10R"
pins = { 1 = "L", 2 = "LF" })"),
                               "no_fuse");
    EXPECT_THAT(f.text,
                HasSubstr("F1 (10 Ω) stands in the way, but an ordinary resistor is no fuse"));
}

TEST(NoFuse, APartOfAnyNameCountsByItsKind) {
    Board board = rectified().without("F1");
    board.with("X7", R"(kind = "fuse"
value = "500 mA"
pins = { 1 = "L", 2 = "LF" })");
    EXPECT_FALSE(found(board, "no_fuse"));
}

TEST(NoFuse, AConnectorAndASwitchBeforeTheFuseDoNotMatter) {
    Board board = rectified();
    board.with("S1", R"(kind = "switch"
pins = { 1 = "L", 2 = "LS" })");
    board.with("J9", R"(kind = "connector"
pins = { 1 = "LS", 2 = "N" })");
    board.with("F1", R"(kind = "fuse"
value = "1 A"
pins = { 1 = "LS", 2 = "LF" })");
    EXPECT_FALSE(found(board, "no_fuse"));
}

TEST(NoFuse, AVaristorBeforeTheFuseIsNotGuarded) {
    const auto f = the_finding(rectified().with("RV1", R"(kind = "varistor"
value = "470 V"
pins = { 1 = "L", 2 = "N" })"),
                               "no_fuse");
    EXPECT_THAT(f.title, HasSubstr("F1 does not guard RV1"));
    EXPECT_EQ(f.severity, findings::Severity::weakness);
    EXPECT_FALSE(found(rectified().with("RV1", R"(kind = "varistor"
value = "470 V"
pins = { 1 = "LF", 2 = "N" })"),
                       "no_fuse"));
}

TEST(NoFuse, ABoxInTheLineMayBeOne) {
    const auto f = the_finding(rectified().without("F1").with("X1", R"(body = "axial"
pins = { 1 = "L", 2 = "LF" })"),
                               "no_fuse");
    EXPECT_NE(f.confidence, findings::Confidence::certain);
}

TEST(NoFuse, AFuseThatIsNotFittedIsNone) {
    EXPECT_TRUE(found(rectified().with("F1", wire).with("F9", R"(kind = "fuse"
fitted = false)"),
                      "no_fuse"));
}

TEST(NoFuse, ABleederBeforeTheFuseNeedsNone) {
    EXPECT_FALSE(found(rectified().with("R9", R"(kind = "resistor"
value = "1M"
body = "axial 9 mm"
pins = { 1 = "L", 2 = "N" })"),
                       "no_fuse"));
}

TEST(NoFuse, YCapacitorsToEarthBeforeTheFuseAreNoWay) {
    Board board = rectified();
    board.with("J1", R"(kind = "mains"
pins = { L = "L", N = "N", PE = "PE" })");
    board.with("C5", R"(kind = "Y2 capacitor"
value = "2n2"
pins = { 1 = "L", 2 = "PE" })");
    board.with("C6", R"(kind = "Y2 capacitor"
value = "2n2"
pins = { 1 = "N", 2 = "PE" })");
    EXPECT_THAT(ids_of(board), IsEmpty());
}

TEST(NoInrushLimiting, AppearsWithoutTheThermistor) {
    EXPECT_FALSE(found(rectified(), "no_inrush_limiting.C1"));
    const Board bare = rectified().with("RT1", R"(kind = "inductor"
value = "1 mH"
pins = { 1 = "LF", 2 = "AC" })");
    EXPECT_THAT(the_finding(bare, "no_inrush_limiting.C1").text, HasSubstr("10 µF"));
}

TEST(NoInrushLimiting, AThermistorInTheOtherLineWillDo) {
    Board board = rectified();
    board.with("RT1", R"(kind = "NTC"
value = "10R"
pins = { 1 = "N", 2 = "NT" })");
    board.with("BR1", R"(kind = "bridge rectifier"
pins = { "~1" = "LF", "~2" = "NT", "+" = "HV+", "-" = "HV-" })");
    EXPECT_FALSE(found(board, "no_inrush_limiting.C1"));
}

TEST(NoInrushLimiting, AThermistorBehindTheBridgeWillDo) {
    Board board = rectified();
    board.with("RT1", R"(kind = "NTC"
value = "10R"
pins = { 1 = "P", 2 = "HV+" })");
    board.with("BR1", R"(kind = "bridge rectifier"
pins = { "~1" = "LF", "~2" = "N", "+" = "P", "-" = "HV-" })");
    EXPECT_FALSE(found(board, "no_inrush_limiting.C1"));
}

TEST(NoInrushLimiting, AFilmCapacitorNeedsNone) {
    Board board = rectified();
    board.with("RT1", R"(kind = "jumper"
pins = { 1 = "LF", 2 = "AC" })");
    board.with("C1", R"(kind = "film capacitor"
value = "220n"
rated_voltage = "400 V"
pins = { 1 = "HV+", 2 = "HV-" })");
    EXPECT_FALSE(found(board, "no_inrush_limiting.C1"));
}

TEST(NoInrushLimiting, ADropperWithoutSeriesResistorIsFound) {
    EXPECT_FALSE(found(dropper(), "no_inrush_limiting.C1"));
    EXPECT_TRUE(found(dropper().with("R1", R"(kind = "fuse"
value = "1 A"
pins = { 1 = "L", 2 = "LF" })"),
                      "no_inrush_limiting.C1"));
}

TEST(LineRules, KeepSilentOnADirectSupply) {
    Board board;
    board.supply("kind = \"dc\"\nvoltage = \"12 V\"");
    board.with("J1", R"(kind = "DC supply"
pins = { plus = "IN", minus = "0V" })");
    board.with("C1", R"(kind = "electrolytic capacitor"
value = "100u"
rated_voltage = "25 V"
pins = { "+" = "IN", "-" = "0V" })");
    EXPECT_THAT(ids_of(board), IsEmpty());
}

TEST(NoInrushLimiting, CurrentDoesNotFlowBackwardsThroughDiodes) {
    // Two diodes feed a chip from the lines; against their direction they are no way past the
    // thermistor.
    const Board board = rectified()
                            .with("D8", R"(kind = "diode"
pins = { anode = "LF", cathode = "HV" })")
                            .with("D9", R"(kind = "diode"
pins = { anode = "N", cathode = "HV" })")
                            .with("R9", R"(kind = "resistor"
value = "10k"
pins = { 1 = "HV", 2 = "HV-" })");
    EXPECT_FALSE(found(board, "no_inrush_limiting.C1"));
}

TEST(NoInrushLimiting, AReservoirThatStandsOnALineIsOne) {
    Board half = rectified().without("RT1").without("BR1");
    half.with("D1", R"(kind = "diode"
pins = { anode = "LF", cathode = "HV+" })");
    half.with("C1", R"(kind = "electrolytic capacitor"
value = "10u"
rated_voltage = "400 V"
pins = { "+" = "HV+", "-" = "N" })");
    EXPECT_TRUE(found(half, "no_inrush_limiting.C1"));
}

TEST(NoInrushLimiting, AMotorsCapacitorIsNoReservoir) {
    const Board board = rectified()
                            .with("L1", R"(kind = "inductor"
value = "500 mH"
pins = { 1 = "AUX", 2 = "N" })")
                            .with("C8", R"(kind = "film capacitor"
value = "2u2"
rated_voltage = "450 V"
pins = { 1 = "LF", 2 = "AUX" })");
    EXPECT_FALSE(found(board, "no_inrush_limiting.C8"));
}

}  // namespace
}  // namespace etchback::test
