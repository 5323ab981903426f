// Stored charge at the plug, and the class of capacitors at the mains and across the barrier.
#include "findings_of.h"

namespace etchback::test {
namespace {

using ::testing::HasSubstr;

Board with_x(const std::string& value = "220n") {
    return rectified()
        .with("C5",
              "kind = \"X2 capacitor\"\nvalue = \"" + value +
                  "\"\nrated_voltage = \"275 V\"\npins = { 1 = \"LF\", 2 = \"N\" }")
        .with("R5", R"(kind = "resistor"
value = "680k"
body = "1206"
pins = { 1 = "LF", 2 = "M" })")
        .with("R6", R"(kind = "resistor"
value = "680k"
body = "1206"
pins = { 1 = "M", 2 = "N" })");
}

TEST(Bleed, ComesAndGoesWithOneOfTwoResistors) {
    EXPECT_THAT(ids_of(with_x()), ::testing::IsEmpty());
    const auto f = the_finding(with_x().without("R6"), "x_capacitor_without_bleed.C5");
    EXPECT_EQ(f.severity, findings::Severity::warning);
    EXPECT_THAT(f.text, HasSubstr("325 V"));
    EXPECT_THAT(f.basis, HasSubstr("from memory"));
    EXPECT_FALSE(f.caution.empty());
}

TEST(Bleed, ASmallCapacitorIsAWeaknessThatSaysWhy) {
    const auto f = the_finding(with_x("100n").without("R6"), "x_capacitor_without_bleed.C5");
    EXPECT_EQ(f.severity, findings::Severity::weakness);
    EXPECT_THAT(f.text, HasSubstr("0.1 µF"));
}

TEST(Bleed, ATinyCapacitorIsNone) {
    EXPECT_FALSE(found(with_x("4n7").without("R6"), "x_capacitor_without_bleed.C5"));
}

TEST(Bleed, ABridgeIntoALoadedReservoirIsNone) {
    EXPECT_TRUE(found(with_x().without("R6").with("R7", R"(kind = "resistor"
value = "470k"
body = "axial 9 mm"
pins = { 1 = "HV+", 2 = "HV-" })"),
                      "x_capacitor_without_bleed.C5"));
}

TEST(Bleed, TwoCapacitorsSideBySideAreOneFinding) {
    const Board board = with_x().without("R6").with("C6", R"(kind = "X2 capacitor"
value = "100n"
rated_voltage = "275 V"
pins = { 1 = "AC", 2 = "N" })");
    const auto ids = ids_of(board);
    EXPECT_EQ(std::count_if(ids.begin(),
                            ids.end(),
                            [](const std::string& id) { return id.starts_with("x_capacitor"); }),
              1);
    EXPECT_THAT(the_finding(board, "x_capacitor_without_bleed.C5").title,
                HasSubstr("C5 and C6 lie across the mains"));
}

TEST(Bleed, ASlowOneIsTold) {
    const Board slow = with_x("1u").with("R6", R"(kind = "resistor"
value = "1M"
body = "1206"
pins = { 1 = "M", 2 = "N" })");
    const auto f = the_finding(slow, "x_capacitor_slow_bleed.C5");
    EXPECT_THAT(f.text, HasSubstr("R5 and R6 (1.68 MΩ)"));
    EXPECT_FALSE(found(slow, "x_capacitor_without_bleed.C5"));
}

TEST(Bleed, ADropperNeedsItsOwn) {
    EXPECT_FALSE(found(dropper(), "x_capacitor_without_bleed.C1"));
    EXPECT_TRUE(found(dropper().without("R3"), "x_capacitor_without_bleed.C1"));
    EXPECT_TRUE(found(dropper().with("R3", R"(kind = "resistor"
value = "220k"
body = "1206"
pins = { 1 = "CM", 2 = "N" })"),
                      "x_capacitor_without_bleed.C1"))
        << "a resistor across the mains is none across the dropper";
}

TEST(Bleed, AResistorOfUnknownValueIsTakenForABleeder) {
    EXPECT_FALSE(found(with_x().with("R6", R"(kind = "resistor"
pins = { 1 = "M", 2 = "N" })"),
                       "x_capacitor_without_bleed.C5"));
}

TEST(Bleed, ABoxAcrossTheMainsMakesItLessCertain) {
    const Board board = with_x().without("R6").with("X1", R"(body = "SOT-23"
pins = { 1 = "LF", 2 = "N" })");
    EXPECT_EQ(the_finding(board, "x_capacitor_without_bleed.C5").confidence,
              findings::Confidence::likely);
}

TEST(Bleed, AChipThatSeesTheLinesMakesItLessCertain) {
    Board board = with_x().without("R6");
    board.with("D8", R"(kind = "diode"
pins = { anode = "LF", cathode = "HVP" })");
    board.with("U5", R"(kind = "controller"
pins = { HV = "HVP", GND = "HV-", VCC = "VCC" })");
    EXPECT_EQ(the_finding(board, "x_capacitor_without_bleed.C5").confidence,
              findings::Confidence::likely);
}

const char* const plain_dropper = R"(kind = "film capacitor"
value = "470n"
rated_voltage = "630 V"
pins = { 1 = "LF", 2 = "AC" })";

TEST(DropperClass, AnOrdinaryFilmCapacitorIsFoundAndAnX2IsNot) {
    EXPECT_FALSE(found(dropper(), "dropper_capacitor_class.C1"));
    EXPECT_TRUE(found(dropper().with("C1", plain_dropper), "dropper_capacitor_class.C1"));
}

TEST(DropperClass, ADoubtedKindMakesItLessCertain) {
    const Board board = dropper().with("C1", plain_dropper).also(R"([[parts.C1.alternatives]]
field = "kind"
reading = "X2 capacitor"
because = "the print is half gone")");
    const auto f = the_finding(board, "dropper_capacitor_class.C1");
    EXPECT_EQ(f.confidence, findings::Confidence::likely);
    EXPECT_TRUE(std::any_of(f.evidence.begin(), f.evidence.end(), [](const base::Evidence& e) {
        return e.kind == base::Evidence::Kind::assumption &&
               e.detail.find("half gone") != std::string::npos;
    }));
}

TEST(DropperClass, AClassThatTheMarkingShowsCounts) {
    const auto marked = [](const char* marking) {
        return dropper().with("C1", std::string(plain_dropper) + "\nmarking = \"" + marking + "\"");
    };
    EXPECT_FALSE(found(marked("MKP X2 .47µF 275V~"), "dropper_capacitor_class.C1"));
    EXPECT_TRUE(found(marked("CX21 474"), "dropper_capacitor_class.C1")) << "no X2 by itself";
}

TEST(DropperClass, ACapacitorOfWhichNothingIsNotedIsOnlyLikely) {
    EXPECT_EQ(the_finding(dropper().with("C1", R"(kind = "capacitor"
value = "470n"
pins = { 1 = "LF", 2 = "AC" })"),
                          "dropper_capacitor_class.C1")
                  .confidence,
              findings::Confidence::likely);
}

TEST(DropperClass, ACapacitorAcrossTheMainsNeedsOneToo) {
    EXPECT_TRUE(found(with_x().with("C5", R"(kind = "film capacitor"
value = "220n"
rated_voltage = "400 V"
pins = { 1 = "LF", 2 = "N" })"),
                      "dropper_capacitor_class.C5"));
}

TEST(DropperClass, AFilmCapacitorBehindTheBridgeNeedsNone) {
    EXPECT_FALSE(found(rectified().with("C6", R"(kind = "film capacitor"
value = "220n"
rated_voltage = "400 V"
pins = { 1 = "HV+", 2 = "HV-" })"),
                       "dropper_capacitor_class.C6"));
}

Board across_barrier(const std::string& kind, const std::string& to = "OUT-") {
    return flyback().with("C7",
                          "kind = \"" + kind +
                              "\"\nvalue = \"1n\"\nrated_voltage = \"2 kV\"\npins = { 1 = "
                              "\"HV-\", 2 = \"" +
                              to + "\" }");
}

TEST(YPosition, APlainDiscIsFoundAndAY1IsNot) {
    EXPECT_FALSE(found(across_barrier("Y1 capacitor"), "y_position_class.C7"));
    const auto f = the_finding(across_barrier("ceramic capacitor"), "y_position_class.C7");
    EXPECT_EQ(f.severity, findings::Severity::danger);
}

TEST(YPosition, AnXCapacitorIsNoYCapacitor) {
    EXPECT_TRUE(found(across_barrier("X1 capacitor"), "y_position_class.C7"));
}

TEST(YPosition, TwoY2InSeriesAreSound) {
    const Board board = across_barrier("Y2 capacitor", "MID").with("C8", R"(kind = "Y2 capacitor"
value = "1n"
pins = { 1 = "MID", 2 = "OUT-" })");
    EXPECT_FALSE(found(board, "y_position_class.C7"));
    EXPECT_FALSE(found(board, "y_position_class.C8"));
}

TEST(YPosition, OneOfTwoInSeriesThatIsNoneIsFound) {
    const Board board =
        across_barrier("Y2 capacitor", "MID").with("C8", R"(kind = "ceramic capacitor"
value = "1n"
pins = { 1 = "MID", 2 = "OUT-" })");
    EXPECT_FALSE(found(board, "y_position_class.C7"));
    EXPECT_TRUE(found(board, "y_position_class.C8"));
}

TEST(YPosition, ASingleY2IsANote) {
    EXPECT_EQ(the_finding(across_barrier("Y2 capacitor"), "y_position_class.C7").severity,
              findings::Severity::note);
}

TEST(YPosition, FromALineToEarthItMustBeAYToo) {
    Board board = rectified();
    board.with("J1", R"(kind = "mains"
pins = { L = "L", N = "N", PE = "PE" })");
    board.with("C7", R"(kind = "ceramic capacitor"
value = "2n2"
pins = { 1 = "LF", 2 = "PE" })");
    EXPECT_TRUE(found(board, "y_position_class.C7"));
}

TEST(YPosition, ACapacitorOnOneSideOnlyIsNone) {
    EXPECT_FALSE(found(flyback().with("C7", R"(kind = "ceramic capacitor"
value = "1n"
pins = { 1 = "OUT+", 2 = "OUT-" })"),
                       "y_position_class.C7"));
}

TEST(YPosition, BesideAGoodOneInSeriesItIsNoDangerYet) {
    const auto series = [](const char* first, const char* second) {
        return across_barrier(first, "MID").with("C8", std::string("kind = \"") + second + R"("
value = "1n"
pins = { 1 = "MID", 2 = "OUT-" })");
    };
    const auto f = the_finding(series("Y2 capacitor", "ceramic capacitor"), "y_position_class.C8");
    EXPECT_EQ(f.severity, findings::Severity::warning);
    EXPECT_THAT(f.text, HasSubstr("C7 alone, which is basic insulation"));
    EXPECT_FALSE(found(series("Y1 capacitor", "ceramic capacitor"), "y_position_class.C8"))
        << "a Y1 is enough by itself";
    EXPECT_EQ(the_finding(series("ceramic capacitor", "ceramic capacitor"), "y_position_class.C8")
                  .severity,
              findings::Severity::danger);
}

TEST(YPosition, ToProtectiveEarthTheTextSpeaksOfEarth) {
    Board board = rectified();
    board.with("J1", R"(kind = "mains"
pins = { L = "L", N = "N", PE = "PE" })");
    board.with("C7", R"(kind = "ceramic capacitor"
value = "2n2"
pins = { 1 = "LF", 2 = "PE" })");
    const auto f = the_finding(board, "y_position_class.C7");
    EXPECT_EQ(f.severity, findings::Severity::warning);
    EXPECT_THAT(f.text, HasSubstr("current flows into protective earth"));
    board.supply("kind = \"ac\"\nvoltage = \"230 V\"\nearthed = false");
    EXPECT_EQ(the_finding(board, "y_position_class.C7").severity, findings::Severity::danger);
}

TEST(Bleed, AChipBetweenTheLinesMayDoIt) {
    const Board board = with_x()
                            .with("R6", R"(kind = "resistor"
value = "470k"
pins = { 1 = "XB", 2 = "N" })")
                            .with("U9", R"(kind = "controller"
pins = { 1 = "M", 2 = "XB" })");
    const auto f = the_finding(board, "x_capacitor_without_bleed.C5");
    EXPECT_EQ(f.confidence, findings::Confidence::likely);
    EXPECT_THAT(f.text, HasSubstr("Unless U9 does"));
}

TEST(Bleed, TheRemedyFitsTheCrest) {
    // 1 / ln(325.3 V / 34 V)
    EXPECT_THAT(plain(the_finding(with_x().without("R6"), "x_capacitor_without_bleed.C5").remedy),
                HasSubstr("R·C of at most 443 ms brings 325 V down to 34 V"));
}

TEST(Bleed, ASlowOneSaysWhichLimitItMisses) {
    const auto with = [](const char* farad) {
        return the_finding(with_x(farad).with("R6", R"(kind = "resistor"
value = "1M"
body = "1206"
pins = { 1 = "M", 2 = "N" })"),
                           "x_capacitor_slow_bleed.C5")
            .text;
    };
    // 1.68 MΩ: with 470 nF 91.7 V after 1 s and 25.8 V after 2 s; with 1 µF 179 V and 98.9 V.
    EXPECT_THAT(with("470n"), HasSubstr("60335-1 (34 V after 1 s), but not for IEC 62368-1"));
    EXPECT_THAT(with("1u"), HasSubstr("60335-1 (34 V after 1 s) and for IEC 62368-1"));
}

}  // namespace
}  // namespace etchback::test
