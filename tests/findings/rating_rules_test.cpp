// What resistors and capacitors can stand.
#include "findings_of.h"

namespace etchback::test {
namespace {

using findings::Confidence;
using findings::Severity;
using ::testing::HasSubstr;

std::string resistor(const std::string& value,
                     const std::string& a,
                     const std::string& b,
                     const std::string& more = "body = \"1206\"") {
    return "kind = \"resistor\"\nvalue = \"" + value + "\"\n" + more + "\npins = { 1 = \"" + a +
           "\", 2 = \"" + b + "\" }";
}

TEST(ResistorVoltage, TwoStartUpResistorsAreSoundAndOneIsNot) {
    EXPECT_FALSE(found(flyback(), "resistor_over_voltage.R3"));
    const Board one = flyback().without("R4").with("R3", resistor("1M", "HV+", "VCC"));
    const auto f = the_finding(one, "resistor_over_voltage.R3");
    EXPECT_THAT(f.title, HasSubstr("325 V"));
    EXPECT_THAT(f.title, HasSubstr("usually takes 200 V"));
    EXPECT_EQ(f.confidence, Confidence::likely) << "a body's usual figure is no rating";
}

TEST(ResistorVoltage, UnevenValuesLoadTheLargerOne) {
    const Board board = flyback().with("R3", resistor("1.5M", "HV+", "START"));
    EXPECT_TRUE(found(board, "resistor_over_voltage.R3"));
    EXPECT_FALSE(found(board, "resistor_over_voltage.R4"));
}

TEST(ResistorVoltage, ItsOwnRatingGoesBeforeTheBodys) {
    const Board board = flyback().without("R4").with(
        "R3", resistor("1M", "HV+", "VCC", "body = \"1206\"\nrated_voltage = \"500 V\""));
    EXPECT_FALSE(found(board, "resistor_over_voltage.R3"));
    const auto f = the_finding(
        flyback().without("R4").with(
            "R3", resistor("1M", "HV+", "VCC", "body = \"2512\"\nrated_voltage = \"300 V\"")),
        "resistor_over_voltage.R3");
    EXPECT_EQ(f.confidence, Confidence::certain);
}

TEST(ResistorVoltage, WithoutBodyOrRatingNothingIsSaid) {
    EXPECT_FALSE(found(flyback().without("R4").with("R3", resistor("1M", "HV+", "VCC", "")),
                       "resistor_over_voltage.R3"));
}

TEST(ResistorVoltage, AnotherReadingInTheChainMakesItLessCertain) {
    const Board board =
        flyback().with("R3", resistor("1.5M", "HV+", "START")).also(R"([[parts.R3.alternatives]]
field = "value"
reading = "150k"
because = "the last digit is scratched")");
    EXPECT_EQ(the_finding(board, "resistor_over_voltage.R3").confidence, Confidence::possible);
}

TEST(ResistorVoltage, AtTheMainsItGoesByRms) {
    // Two 0805 (150 V) across 230 V: 115 V RMS each, though 163 V at the crest.
    const Board board = rectified()
                            .with("R5", resistor("680k", "LF", "M", "body = \"0805\""))
                            .with("R6", resistor("680k", "M", "N", "body = \"0805\""));
    EXPECT_FALSE(found(board, "resistor_over_voltage.R5"));
    EXPECT_TRUE(
        found(rectified().with("R5", resistor("1M", "LF", "N")), "resistor_over_voltage.R5"));
}

TEST(ResistorPower, TooSmallAValueIsFound) {
    EXPECT_FALSE(
        found(flyback().with("R11", resistor("3k3", "OUT+", "OUT-")), "resistor_over_power.R11"));
    const auto f = the_finding(flyback().with("R11", resistor("330R", "OUT+", "OUT-")),
                               "resistor_over_power.R11");
    EXPECT_THAT(f.title, HasSubstr("436 mW"));
    EXPECT_EQ(f.severity, Severity::warning);
}

TEST(ResistorPower, ItsOwnRatingGoesBeforeTheBodys) {
    EXPECT_FALSE(found(
        flyback().with("R11",
                       resistor("330R", "OUT+", "OUT-", "body = \"1206\"\nrated_power = \"1 W\"")),
        "resistor_over_power.R11"));
}

TEST(ResistorPower, ADroppersSeriesResistorIsJudgedByItsCurrent) {
    EXPECT_FALSE(found(dropper(), "resistor_over_power.R1"));
    EXPECT_TRUE(found(dropper().with("R1", R"(kind = "fusible resistor"
value = "470R"
rated_power = "0.5 W"
pins = { 1 = "L", 2 = "LF" })"),
                      "resistor_over_power.R1"));
}

std::string output_capacitor(const std::string& rated) {
    return "kind = \"electrolytic capacitor\"\nvalue = \"470u\"\nrated_voltage = \"" + rated +
           "\"\npins = { \"+\" = \"OUT+\", \"-\" = \"OUT-\" }";
}

TEST(CapacitorVoltage, OverloadedInNormalUse) {
    const auto f =
        the_finding(flyback().with("C9", output_capacitor("10 V")), "capacitor_over_voltage.C9");
    EXPECT_EQ(f.severity, Severity::warning);
    EXPECT_THAT(f.title, HasSubstr("12.2 V in normal use"));
}

TEST(CapacitorVoltage, OverloadedOnlyWhenTheFeedbackOpens) {
    const auto f =
        the_finding(flyback().with("C9", output_capacitor("16 V")), "capacitor_over_voltage.C9");
    EXPECT_EQ(f.severity, Severity::weakness);
    EXPECT_THAT(f.text, HasSubstr("23.9"));
    EXPECT_FALSE(
        found(flyback().with("C9", output_capacitor("25 V")), "capacitor_over_voltage.C9"));
}

TEST(CapacitorVoltage, AZenerDiodeAcrossTheOutputMakesItSound) {
    EXPECT_FALSE(
        found(flyback().with("C9", output_capacitor("16 V")).with("D9", R"(kind = "Zener diode"
value = "15 V"
pins = { cathode = "OUT+", anode = "OUT-" })"),
              "capacitor_over_voltage.C9"));
}

TEST(CapacitorVoltage, WithoutAnyLimitOnAnOpenLoadItSaysSo) {
    const Board open = led_driver().with("U1", R"(kind = "controller"
pins = { GND = "HV-", CS = "CS", VCC = "VCC", DRV = "GATE" }
thresholds = { start = "16 V" })");
    EXPECT_THAT(the_finding(open, "capacitor_over_voltage.C9").title,
                HasSubstr("nothing was found that limits"));
    EXPECT_FALSE(found(led_driver(), "capacitor_over_voltage.C9"));
}

TEST(CapacitorVoltage, ADroppersOutputCapacitorMustTakeTheCrest) {
    EXPECT_FALSE(found(dropper(), "capacitor_over_voltage.C2"));
    EXPECT_TRUE(found(dropper().with("C2", R"(kind = "electrolytic capacitor"
value = "10u"
rated_voltage = "100 V"
pins = { "+" = "P", "-" = "M" })"),
                      "capacitor_over_voltage.C2"));
}

TEST(CapacitorVoltage, ADropperWithAnUnknownLoadHasABoundOnly) {
    Board board = dropper().without("LED1").with("C2", R"(kind = "electrolytic capacitor"
value = "100u"
rated_voltage = "25 V"
pins = { "+" = "P", "-" = "M" })");
    const auto f = the_finding(board, "capacitor_over_voltage.C2");
    EXPECT_THAT(f.title, HasSubstr("nothing was found that keeps 325 V from it"));
    EXPECT_EQ(f.severity, Severity::weakness);
    EXPECT_FALSE(found(board.with("D1", R"(kind = "Zener diode"
value = "12 V"
pins = { cathode = "P", anode = "M" })"),
                       "capacitor_over_voltage.C2"));
}

TEST(CapacitorVoltage, AConstantCurrentControllerWithoutLedsIsKnownByItsWords) {
    Board board = led_driver()
                      .without("LED1")
                      .with("U1", R"(kind = "controller"
family = "flyback, primary-side constant current"
pins = { GND = "HV-", CS = "CS", VCC = "VCC", DRV = "GATE" }
thresholds = { start = "16 V" })")
                      .also("[[claims]]\nquantity = \"output voltage\"\nvalue = \"12 V\"");
    EXPECT_THAT(the_finding(board, "capacitor_over_voltage.C9").title,
                HasSubstr("nothing was found that limits"));
}

TEST(CapacitorVoltage, AnX2IsRatedInRms) {
    EXPECT_FALSE(found(dropper(), "capacitor_over_voltage.C1")) << "310 V AC at a crest of 325 V";
}

TEST(CapacitorVoltage, LittleMarginIsANoteAndHalfOfItAtTheMains) {
    EXPECT_TRUE(found(flyback().with("C9", output_capacitor("13 V")), "capacitor_over_voltage.C9"));
    const Board zener = flyback().with("D9", R"(kind = "Zener diode"
value = "13 V"
pins = { cathode = "OUT+", anode = "OUT-" })");
    EXPECT_EQ(
        the_finding(Board(zener).with("C9", output_capacitor("13 V")), "capacitor_little_margin.C9")
            .severity,
        Severity::note);
    // 373 V of 400 V, at 264 V: usual, and no note.
    EXPECT_THAT(ids_of(rectified().supply("kind = \"ac\"\nvoltage = \"90-264 V\"")),
                ::testing::IsEmpty());
    EXPECT_TRUE(found(rectified().with("C1", R"(kind = "electrolytic capacitor"
value = "10u"
rated_voltage = "330 V"
pins = { "+" = "HV+", "-" = "HV-" })"),
                      "capacitor_little_margin.C1"));
}

TEST(CapacitorVoltage, AnAssumedSupplyMakesItLessCertain) {
    Board board = rectified().supply("kind = \"ac\"").with("C1", R"(kind = "electrolytic capacitor"
value = "10u"
rated_voltage = "250 V"
pins = { "+" = "HV+", "-" = "HV-" })");
    const auto f = the_finding(board, "capacitor_over_voltage.C1");
    EXPECT_EQ(f.confidence, Confidence::likely);
    EXPECT_TRUE(std::any_of(f.evidence.begin(), f.evidence.end(), [](const base::Evidence& e) {
        return e.kind == base::Evidence::Kind::assumption && e.name == "supply voltage";
    }));
}

TEST(ResistorVoltage, MoreThanHalfAboveTheLimitIsAWarning) {
    const auto seen = [](const char* rated) {
        const Board board = flyback().without("R4").with(
            "R3",
            resistor("1M",
                     "HV+",
                     "VCC",
                     std::string("body = \"1206\"\nrated_voltage = \"") + rated + "\""));
        return the_finding(board, "resistor_over_voltage.R3").severity;
    };
    EXPECT_EQ(seen("200 V"), Severity::warning);   // 325 V, 1.63 times
    EXPECT_EQ(seen("250 V"), Severity::weakness);  // 1.30 times
}

TEST(CapacitorVoltage, AGuessedChipMakesItsThresholdsLessCertain) {
    const auto with = [](const char* known) {
        return the_finding(flyback()
                               .with("C4", R"(kind = "electrolytic capacitor"
value = "10u"
rated_voltage = "10 V"
pins = { "+" = "VCC", "-" = "HV-" })")
                               .with("U1", std::string(R"(kind = "controller"
type = "XY9"
pins = { GND = "HV-", FB = "FB", CS = "CS", VCC = "VCC", DRV = "GATE" }
thresholds = { start = "16 V", stop = "9 V", over_voltage = "27 V" }
known = )") + known),
                           "capacitor_over_voltage.C4");
    };
    EXPECT_EQ(with(R"({ type = "marking", thresholds = "datasheet" })").confidence,
              Confidence::certain);
    const auto f = with(R"({ type = "assumed", thresholds = "datasheet" })");
    EXPECT_EQ(f.confidence, Confidence::likely);
    EXPECT_TRUE(std::any_of(f.evidence.begin(), f.evidence.end(), [](const base::Evidence& e) {
        return e.kind == base::Evidence::Kind::assumption && e.detail == "type is assumed";
    }));
}

TEST(ResistorPower, ADropperToASmoothedZenerRailIsKnown) {
    Board board = rectified().with("D8", R"(kind = "Zener diode"
value = "12 V"
pins = { anode = "HV-", cathode = "V12" })");
    board.with("R9", resistor("22k", "HV+", "V12", "rated_power = \"2 W\""));
    EXPECT_FALSE(found(board, "resistor_over_power.R9"));
    board.with("C8", R"(kind = "electrolytic capacitor"
value = "100u"
rated_voltage = "16 V"
pins = { "+" = "V12", "-" = "HV-" })");
    // (325.3 V - 12 V)² / 22 kΩ
    EXPECT_THAT(the_finding(board, "resistor_over_power.R9").title, HasSubstr("4.46 W"));
}

TEST(CapacitorVoltage, TwoOfOneFateAreOneFinding) {
    const auto weak = [](const std::string& name, const std::string& rated) {
        return std::pair(name,
                         "kind = \"electrolytic capacitor\"\nvalue = \"470u\"\nrated_voltage = \"" +
                             rated + "\"\npins = { \"+\" = \"OUT+\", \"-\" = \"OUT-\" }");
    };
    Board board = flyback();
    for (const auto& [name, lines] :
         {weak("C9", "16 V"), weak("C10", "16 V"), weak("C11", "20 V")}) {
        board.with(name, lines);
    }
    const auto f = the_finding(board, "capacitor_over_voltage.C9");
    EXPECT_THAT(f.title, HasSubstr("C9 and C10 are rated for 16 V"));
    EXPECT_THAT(f.parts, ::testing::ElementsAre("C9", "C10"));
    EXPECT_FALSE(found(board, "capacitor_over_voltage.C10"));
    EXPECT_THAT(the_finding(board, "capacitor_over_voltage.C11").title, HasSubstr("C11 is rated"));
}

}  // namespace
}  // namespace etchback::test
