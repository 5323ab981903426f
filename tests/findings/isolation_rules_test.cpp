// What can be touched, and what stands between it and the mains.
#include "findings_of.h"

namespace etchback::test {
namespace {

using ::testing::HasSubstr;

TEST(Isolation, AnLedBoardThatCanBeTouchedIsADanger) {
    const Board open = dropper().with("LED1", R"(kind = "LED string"
properties = { count = "20", forward_voltage = "3 V" }
pins = { "+" = "P", "-" = "M" }
touchable = true)");
    const auto f = the_finding(open, "load_not_isolated");
    EXPECT_EQ(f.severity, findings::Severity::danger);
    EXPECT_THAT(f.parts, ::testing::ElementsAre("LED1"));
    EXPECT_FALSE(found(dropper(), "load_not_isolated"));
    EXPECT_FALSE(found(open, "load_at_mains.LED1"));
}

TEST(Isolation, ANetThatCanBeTouchedCountsToo) {
    EXPECT_THAT(the_finding(dropper().also("[nets.P]\ntouchable = true"), "load_not_isolated").nets,
                ::testing::ElementsAre("P"));
}

TEST(Isolation, BehindATransformerTouchingIsFine) {
    EXPECT_FALSE(found(flyback(), "load_not_isolated"));
}

TEST(Isolation, AWireFromPrimaryToSecondaryEndsIt) {
    EXPECT_TRUE(found(flyback().with("JP1", R"(kind = "jumper"
pins = { 1 = "HV-", 2 = "OUT-" })"),
                      "load_not_isolated"));
}

// A resistor across the insulation of the flyback, whose outlet J2 can be touched.
Board bridged(const std::string& value) {
    return flyback().with(
        "R30",
        "kind = \"resistor\"\nvalue = \"" + value + "\"\npins = { 1 = \"HV-\", 2 = \"OUT-\" }");
}

TEST(ProtectiveImpedance, OneHighResistorIsOneFaultAwayFromTheMains) {
    const auto f = the_finding(bridged("4M7"), "load_not_isolated.OUT+");
    EXPECT_EQ(f.severity, findings::Severity::warning);
    EXPECT_THAT(f.title, HasSubstr("Only R30 keeps the mains from J2"));
    EXPECT_THAT(f.text, HasSubstr("69.2 µA"));  // 325.3 V / 4.7 MΩ
    EXPECT_THAT(f.parts, ::testing::UnorderedElementsAre("J2", "R30"));
}

TEST(ProtectiveImpedance, TwoInSeriesAreANoteWithBothCurrents) {
    const Board two = flyback()
                          .with("R30", R"(kind = "resistor"
value = "4M7"
pins = { 1 = "HV-", 2 = "PM" })")
                          .with("R31", R"(kind = "resistor"
value = "2M2"
pins = { 1 = "PM", 2 = "OUT-" })");
    const auto f = the_finding(two, "load_not_isolated.OUT+");
    EXPECT_EQ(f.severity, findings::Severity::note);
    EXPECT_THAT(f.text, HasSubstr("at most 47.1 µA"));                    // 325.3 V / 6.9 MΩ
    EXPECT_THAT(f.text, HasSubstr("148 µA with any one of them short"));  // 325.3 V / 2.2 MΩ
}

TEST(ProtectiveImpedance, ALowResistorIsADanger) {
    const auto some = the_finding(bridged("220k"), "load_not_isolated.OUT+");
    EXPECT_EQ(some.severity, findings::Severity::danger);
    EXPECT_THAT(some.title, HasSubstr("R30 lets up to 1.48 mA through"));
    EXPECT_EQ(the_finding(bridged("10k"), "load_not_isolated").severity,
              findings::Severity::danger);
}

TEST(ProtectiveImpedance, ATouchPadBehindTwoResistorsIsNotAtTheMains) {
    Board board = rectified();
    board.with("R30", R"(kind = "resistor"
value = "1M"
pins = { 1 = "LF", 2 = "PM" })");
    board.with("R31", R"(kind = "resistor"
value = "1M"
pins = { 1 = "PM", 2 = "PAD" })");
    board.with("J3", R"(kind = "connector"
pins = { 1 = "PAD" }
touchable = true)");
    EXPECT_FALSE(found(board, "load_not_isolated"));
    EXPECT_EQ(the_finding(board, "load_not_isolated.PAD").severity, findings::Severity::note);
}

TEST(ProtectiveImpedance, HidesNoWireBesideIt) {
    const Board board = bridged("4M7").with("JP1", R"(kind = "jumper"
pins = { 1 = "HV-", 2 = "OUT-" })");
    EXPECT_TRUE(found(board, "load_not_isolated"));
}

TEST(ProtectiveImpedance, HidesNoPlainCapacitorBesideIt) {
    const Board board = bridged("4M7").with("C30", R"(kind = "ceramic capacitor"
value = "1n"
pins = { 1 = "HV-", 2 = "OUT-" })");
    EXPECT_TRUE(found(board, "y_position_class.C30"));
}

TEST(ProtectiveImpedance, StartUpAndBleedResistorsAreNone) {
    EXPECT_FALSE(found(flyback(), "load_not_isolated.OUT+"));
}

}  // namespace
}  // namespace etchback::test
