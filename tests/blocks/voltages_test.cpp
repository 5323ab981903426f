#include "blocks/voltages.h"

#include <gmock/gmock.h>

#include "board.h"

namespace etchback::test {
namespace {

using ::testing::HasSubstr;

TEST(Voltages, TheMainsReachesItsCrestBetweenTheLinesAtTheSuppliesUpperLimit) {
    const Derived d(rectified().supply("kind = \"ac\"\nvoltage = \"220-240 V\""));
    EXPECT_NEAR(d.peak("L", "N"), 339.41, 0.01);
    EXPECT_NEAR(d.rms("L", "N"), 240.0, 1e-9);
    EXPECT_TRUE(d.between("L", "N")->alternating);
}

std::string claim_of(const std::string& volts) {
    return "[[claims]]\nquantity = \"supply voltage\"\nvalue = \"" + volts + "\"\n";
}

// The figure must rest on the label then, not on the supply that the dossier states.
TEST(Voltages, AHigherClaimRaisesTheUpperLimitAndIsNamedAsTheEvidence) {
    const Derived d(
        rectified().supply("kind = \"ac\"\nvoltage = \"230 V\"").also(claim_of("100-240 V")));
    EXPECT_NEAR(d.rms("L", "N"), 240.0, 1e-9);
    const auto& evidence = d.between("L", "N")->figure.evidence;
    ASSERT_FALSE(evidence.empty());
    EXPECT_EQ(evidence.front().kind, base::Evidence::Kind::claim);
}

TEST(Voltages, ALowerClaimDoesNotLowerTheUpperLimit) {
    const Derived d(
        rectified().supply("kind = \"ac\"\nvoltage = \"230 V\"").also(claim_of("110-127 V")));
    EXPECT_NEAR(d.rms("L", "N"), 230.0, 1e-9);
    EXPECT_EQ(d.between("L", "N")->figure.evidence.front().kind, base::Evidence::Kind::supply);
}

Board with_transistor(const std::string& kind, const std::string& emitter) {
    return rectified()
        .with("Q9",
              "kind = \"" + kind + "\"\npins = { base = \"B9\", collector = \"C9\", emitter = \"" +
                  emitter + "\" }")
        .with("R9", "kind = \"resistor\"\nvalue = \"1M\"\npins = { 1 = \"HV+\", 2 = \"B9\" }")
        .with("R8", "kind = \"resistor\"\nvalue = \"10k\"\npins = { 1 = \"HV+\", 2 = \"C9\" }");
}

// By hand: the base lies between 2 V above and 6 V below its emitter.
TEST(Voltages, ABaseStaysNearItsEmitter) {
    const Derived npn(with_transistor("NPN transistor", "HV-"));
    EXPECT_NEAR(npn.peak("HV+", "B9"), crest_230 + 6.0, 0.01);
    EXPECT_NEAR(npn.rms("HV+", "B9"), crest_230, 0.01);
    EXPECT_TRUE(npn.between("HV+", "B9")->figure.assumed);
    const Derived pnp(with_transistor("PNP transistor", "HV-"));
    EXPECT_NEAR(pnp.peak("HV+", "B9"), crest_230 + 2.0, 0.01);
}

TEST(Voltages, ABaseWhoseEmitterIsNotKnownIsNotKnownEither) {
    const Derived d(with_transistor("NPN transistor", "X9"));
    EXPECT_EQ(d.between("HV+", "B9"), nullptr);
}

TEST(Voltages, SeriesPartsCarryTheMainsOn) {
    const Derived d(rectified().with("R9", R"(kind = "resistor"
value = "1M"
pins = { 1 = "AC", 2 = "N" })"));
    EXPECT_NEAR(d.peak("AC", "N"), crest_230, 0.01);
    EXPECT_EQ(d.between("LF", "AC"), nullptr);
}

TEST(Voltages, AResistorOfManyOhmsCarriesNothingOn) {
    const Derived d(rectified()
                        .with("R9", R"(kind = "resistor"
value = "100k"
pins = { 1 = "L", 2 = "X" })")
                        .with("C9", R"(kind = "film capacitor"
value = "1n"
pins = { 1 = "X", 2 = "N" })"));
    EXPECT_EQ(d.between("X", "N"), nullptr);
}

TEST(Voltages, ALoadAcrossTheMainsDoesNotJoinTheLines) {
    const Derived d(rectified().with("R9", R"(kind = "resistor"
value = "50R"
pins = { 1 = "LF", 2 = "N" })"));
    EXPECT_NEAR(d.peak("LF", "N"), crest_230, 0.01);
}

TEST(Voltages, TheMiddleOfALoadBelongsToNeitherLine) {
    const Derived d(rectified()
                        .with("R8", R"(kind = "resistor"
value = "50R"
pins = { 1 = "L", 2 = "MID" })")
                        .with("R9", R"(kind = "resistor"
value = "50R"
pins = { 1 = "MID", 2 = "N" })"));
    EXPECT_NEAR(d.peak("L", "MID"), crest_230 / 2, 0.01);
}

TEST(Voltages, ABridgeChargesItsReservoirToTheCrest) {
    const Derived d(rectified());
    EXPECT_NEAR(d.peak("HV+", "HV-"), crest_230, 0.01);
    EXPECT_NEAR(d.rms("HV+", "HV-"), crest_230, 0.01);
    EXPECT_FALSE(d.between("HV+", "HV-")->alternating);
    EXPECT_THAT(d.between("HV+", "HV-")->because, HasSubstr("BR1 charges C1"));
}

TEST(Voltages, AFilmCapacitorBehindTheBridgeSeesTheCrestToo) {
    const Derived d(rectified().with("C1", R"(kind = "film capacitor"
value = "100n"
pins = { 1 = "HV+", 2 = "HV-" })"));
    EXPECT_NEAR(d.peak("HV+", "HV-"), crest_230, 0.01);
    EXPECT_NEAR(d.rms("HV+", "HV-"), 230.0, 0.01);
}

TEST(Voltages, FourDiodesAreABridge) {
    Board board = rectified();
    board.without("BR1");
    const auto diode = [&](const std::string& name, const std::string& a, const std::string& k) {
        board.with(name,
                   "kind = \"diode\"\npins = { anode = \"" + a + "\", cathode = \"" + k + "\" }");
    };
    diode("D1", "AC", "HV+");
    diode("D2", "N", "HV+");
    diode("D3", "HV-", "AC");
    diode("D4", "HV-", "N");
    EXPECT_NEAR(Derived(board).peak("HV+", "HV-"), crest_230, 0.01);
}

TEST(Voltages, OneDiodeChargesToTheCrestAboveTheOtherLine) {
    Board board = rectified();
    board.without("BR1").with("D1", R"(kind = "diode"
pins = { anode = "AC", cathode = "P" })");
    board.with("C1", R"(kind = "electrolytic capacitor"
value = "10u"
pins = { "+" = "P", "-" = "N" })");
    const Derived d(board);
    EXPECT_NEAR(d.peak("P", "N"), crest_230, 0.01);
    EXPECT_NEAR(d.peak("P", "AC"), 2 * crest_230, 0.01) << "what the diode blocks";
}

TEST(Voltages, TwoDiodesAndTwoCapacitorsDoubleTheCrest) {
    Board board = rectified();
    board.without("BR1").without("C1");
    board.with("D1", R"(kind = "diode"
pins = { anode = "AC", cathode = "P" })");
    board.with("D2", R"(kind = "diode"
pins = { anode = "M", cathode = "AC" })");
    board.with("C1", R"(kind = "electrolytic capacitor"
value = "10u"
pins = { "+" = "P", "-" = "N" })");
    board.with("C2", R"(kind = "electrolytic capacitor"
value = "10u"
pins = { "+" = "N", "-" = "M" })");
    const Derived d(board);
    EXPECT_NEAR(d.peak("P", "M"), 2 * crest_230, 0.01);
    EXPECT_NEAR(d.peak("P", "N"), crest_230, 0.01);
    EXPECT_NEAR(d.peak("N", "M"), crest_230, 0.01);
}

TEST(Voltages, ALineFrequencyTransformerScalesByItsTurns) {
    Board board;
    board.with("J1", R"(kind = "mains"
pins = { L = "L", N = "N" })");
    board.with("T1", R"(kind = "transformer"
pins = { 1 = "L", 2 = "N", 3 = "S1", 4 = "S2" }
windings = [ { name = "p", pins = ["1", "2"], turns = 1000 }, { name = "s", pins = ["3", "4"], turns = 50 } ])");
    board.with("BR1", R"(kind = "bridge rectifier"
pins = { "~1" = "S1", "~2" = "S2", "+" = "V+", "-" = "V-" })");
    board.with("C1", R"(kind = "electrolytic capacitor"
value = "1000u"
pins = { "+" = "V+", "-" = "V-" })");
    EXPECT_NEAR(Derived(board).peak("V+", "V-"), crest_230 / 20, 0.01);
}

TEST(Voltages, ADropperCapacitorSeesTheMainsAndItsBleedersShareIt) {
    const Derived d(dropper());
    EXPECT_NEAR(d.peak("LF", "AC"), crest_230, 0.01);
    EXPECT_NEAR(d.peak("LF", "CM"), crest_230 / 2, 0.01);
    EXPECT_NEAR(d.rms("CM", "AC"), 115.0, 0.01);
}

TEST(Voltages, LedsHoldTheDroppersRailAndTheCrestIsLeftWhenTheyOpen) {
    const Derived d(dropper());
    EXPECT_NEAR(d.peak("P", "M"), 60.0, 1e-9);
    EXPECT_NEAR(d.fault("P", "M"), crest_230, 0.01);
}

TEST(Voltages, AZenerDiodeStopsTheDroppersRailWhenTheLedsOpen) {
    const Derived d(dropper().with("D1", R"(kind = "Zener diode"
value = "75 V"
pins = { cathode = "P", anode = "M" })"));
    EXPECT_NEAR(d.peak("P", "M"), 60.0, 1e-9);
    EXPECT_NEAR(d.fault("P", "M"), 75.0, 1e-9);
}

TEST(Voltages, AHalfWaveDropperWithoutLoadDoublesTheCrest) {
    Board board = dropper();
    board.without("BR1");
    board.with("D1", R"(kind = "diode"
pins = { anode = "AC", cathode = "P" })");
    board.with("D2", R"(kind = "diode"
pins = { anode = "N", cathode = "AC" })");
    board.with("C2", R"(kind = "electrolytic capacitor"
value = "10u"
pins = { "+" = "P", "-" = "N" })");
    board.with("LED1", R"(kind = "LED string"
properties = { count = "20", forward_voltage = "3 V" }
pins = { "+" = "P", "-" = "N" })");
    const Derived d(board);
    EXPECT_NEAR(d.peak("P", "N"), 60.0, 1e-9);
    EXPECT_NEAR(d.fault("P", "N"), 2 * crest_230, 0.01);
}

TEST(Voltages, AZenerDiodeOnTheAcSideHoldsTheHalfWaveDropper) {
    Board board = dropper();
    board.without("BR1").without("LED1");
    board.with("D1", R"(kind = "diode"
pins = { anode = "AC", cathode = "P" })");
    board.with("D2", R"(kind = "Zener diode"
value = "24 V"
pins = { cathode = "AC", anode = "N" })");
    board.with("C2", R"(kind = "electrolytic capacitor"
value = "100u"
pins = { "+" = "P", "-" = "N" })");
    EXPECT_NEAR(Derived(board).peak("P", "N"), 24.0, 1e-9);
}

TEST(Voltages, AShuntRegulatorHoldsTheOutputWithinTheTolerancesOfItsDivider) {
    const Derived d(flyback());
    // 2.5 V · (1 + 38 k · 1.01/(10 k · 0.99)) = 12.19 V; nominal 12.0 V
    EXPECT_NEAR(d.peak("OUT+", "OUT-"), 12.192, 0.001);
    EXPECT_NEAR(d.rms("OUT+", "OUT-"), 12.0, 1e-9);
}

TEST(Voltages, TheControllersLimitTimesTheTurnsRatioIsLeftWhenTheFeedbackOpens) {
    // (27 V + 0.7 V) · 15/17 - 0.5 V
    EXPECT_NEAR(Derived(flyback()).fault("OUT+", "OUT-"), 23.941, 0.001);
}

TEST(Voltages, AZenerDiodeAcrossTheOutputStopsItFirst) {
    const Derived d(flyback().with("D9", R"(kind = "Zener diode"
value = "15 V"
pins = { cathode = "OUT+", anode = "OUT-" })"));
    EXPECT_NEAR(d.fault("OUT+", "OUT-"), 15.0, 1e-9);
}

TEST(Voltages, LedsHoldAConstantCurrentOutput) {
    const Derived d(led_driver());
    EXPECT_NEAR(d.peak("OUT+", "OUT-"), 12.0, 1e-9);
    EXPECT_NEAR(d.fault("OUT+", "OUT-"), 23.941, 0.001);
    EXPECT_FALSE(d.between("OUT+", "OUT-")->unlimited_on_open_load);
}

TEST(Voltages, NothingStopsAConstantCurrentOutputWithoutAnyLimit) {
    const Derived d(led_driver().with("U1", R"(kind = "controller"
pins = { GND = "HV-", CS = "CS", VCC = "VCC", DRV = "GATE" }
thresholds = { start = "16 V" })"));
    EXPECT_TRUE(d.between("OUT+", "OUT-")->unlimited_on_open_load);
}

TEST(Voltages, ADividerOnTheAuxiliaryWindingStopsTheOutputEarlier) {
    Board board = led_driver();
    board.with("U1", R"(kind = "controller"
pins = { GND = "HV-", CS = "CS", VCC = "VCC", DRV = "GATE", DET = "DET" }
thresholds = { start = "16 V", over_voltage = "27 V", detect_over_voltage = "3 V" })");
    board.with("R20", R"(kind = "resistor"
value = "50k"
pins = { 1 = "AUX", 2 = "DET" })");
    board.with("R21", R"(kind = "resistor"
value = "10k"
pins = { 1 = "DET", 2 = "HV-" })");
    // 3 V · (1 + 5) · 15/17 - 0.5 V
    EXPECT_NEAR(Derived(board).fault("OUT+", "OUT-"), 15.382, 0.001);
}

TEST(Voltages, TheStartUpResistorsShareTheBusWhileTheSupplyIsEmpty) {
    const Derived d(flyback());
    EXPECT_NEAR(d.peak("HV+", "START"), crest_230 / 2, 0.01);
    EXPECT_NEAR(d.peak("START", "VCC"), crest_230 / 2, 0.01);
}

TEST(Voltages, UnevenResistorsShareUnevenly) {
    const Derived d(flyback().with("R3", R"(kind = "resistor"
value = "1.41M"
pins = { 1 = "HV+", 2 = "START" })"));
    EXPECT_NEAR(d.peak("HV+", "START"), crest_230 * 0.75, 0.01);
}

TEST(Voltages, SomethingAtTheMiddleEndsAChain) {
    const Derived d(flyback().with("D9", R"(kind = "diode"
pins = { anode = "START", cathode = "ELSEWHERE" })"));
    EXPECT_EQ(d.between("HV+", "START"), nullptr);
}

TEST(Voltages, TheControllersSupplyReachesStartAndInAFaultItsLimit) {
    const Derived d(flyback());
    EXPECT_NEAR(d.peak("VCC", "HV-"), 16.0, 1e-9);
    EXPECT_NEAR(d.fault("VCC", "HV-"), 27.0, 1e-9);
}

TEST(Voltages, TheDrainRisesByTheReflectedVoltageAndAnAllowance) {
    // 325.27 V + 1.5 · 100/15 · (12.192 V + 0.5 V)
    const Derived d(flyback());
    EXPECT_NEAR(d.peak("DRAIN", "CS"), crest_230 + 126.92, 0.05);
    EXPECT_TRUE(d.between("DRAIN", "CS")->figure.assumed);
}

TEST(Voltages, ASuppressorBesideTheDrainTakesThePlaceOfTheAllowance) {
    const Derived d(flyback()
                        .with("D10", R"(kind = "diode"
pins = { anode = "DRAIN", cathode = "CL" })")
                        .with("D11", R"(kind = "TVS diode"
value = "150 V"
properties = { clamping_voltage = "207 V" }
pins = { anode = "HV+", cathode = "CL" })"));
    EXPECT_NEAR(d.peak("DRAIN", "CS"), crest_230 + 207.0, 0.01);
    EXPECT_NEAR(d.peak("CL", "HV+"), 207.0, 0.01);
}

TEST(Voltages, AClampsCapacitorSeesTheReflectedVoltageAndTheAllowance) {
    const Derived d(flyback()
                        .with("D10", R"(kind = "diode"
pins = { anode = "DRAIN", cathode = "CL" })")
                        .with("C10", R"(kind = "ceramic capacitor"
value = "2n2"
pins = { 1 = "HV+", 2 = "CL" })"));
    EXPECT_NEAR(d.peak("CL", "HV+"), 126.92, 0.05);
}

TEST(Voltages, TheMainsStandsAcrossTheBarrier) {
    const Derived d(flyback().with("C7", R"(kind = "Y1 capacitor"
value = "1n"
pins = { 1 = "HV-", 2 = "OUT-" })"));
    EXPECT_NEAR(d.rms("HV-", "OUT-"), 230.0, 1e-9);
}

TEST(Voltages, ADirectSupplyGivesItsVoltage) {
    Board board;
    board.supply("kind = \"dc\"\nvoltage = \"12-15 V\"");
    board.with("J1", R"(kind = "DC supply"
pins = { plus = "IN", minus = "0V" })");
    board.with("F1", R"(kind = "fuse"
value = "1 A"
pins = { 1 = "IN", 2 = "V+" })");
    board.with("R1", R"(kind = "resistor"
value = "1k"
pins = { 1 = "V+", 2 = "0V" })");
    EXPECT_NEAR(Derived(board).peak("V+", "0V"), 15.0, 1e-9);
}

TEST(Voltages, ALedStringOnARailHoldsItsKneeAndOpensToTheRail) {
    const Derived d(rectified().with("LED1", R"(kind = "LED string"
properties = { count = "70", forward_voltage = "3 V" }
pins = { "+" = "HV+", "-" = "SINK" })"));
    EXPECT_NEAR(d.peak("HV+", "SINK"), 210.0, 1e-9);
    EXPECT_NEAR(d.fault("HV+", "SINK"), crest_230, 0.01);
}

TEST(Voltages, AStatedNetVoltageIsTakenUp) {
    const Derived d(rectified()
                        .with("R9", R"(kind = "resistor"
value = "1k"
pins = { 1 = "V5", 2 = "HV-" })")
                        .with("R8", R"(kind = "resistor"
value = "1M"
pins = { 1 = "V5", 2 = "HV+" })")
                        .also(R"([nets."HV-"]
role = "return"
[nets.V5]
voltage = "5 V")"));
    EXPECT_NEAR(d.peak("V5", "HV-"), 5.0, 1e-9);
    EXPECT_NEAR(d.peak("HV+", "V5"), crest_230, 0.01);
}

TEST(Voltages, EveryClaimSaysWhyAndShowsItsArithmetic) {
    for (const Board& board : {rectified(), flyback(), dropper(), led_driver()}) {
        for (const auto& v : Derived(board).voltages.known) {
            EXPECT_FALSE(v.because.empty()) << v.figure.id;
            EXPECT_FALSE(v.figure.formula.empty()) << v.figure.id;
            EXPECT_THAT(v.figure.worked, HasSubstr("=")) << v.figure.id;
            EXPECT_FALSE(v.figure.evidence.empty()) << v.figure.id;
            EXPECT_EQ(v.figure.value, v.working_v_peak) << v.figure.id;
        }
    }
}

TEST(Voltages, WithoutAnythingKnownNothingIsClaimed) {
    Board board;
    board.with("R1", R"(kind = "resistor"
value = "1k"
pins = { 1 = "A", 2 = "B" })");
    EXPECT_TRUE(Derived(board).voltages.known.empty());
}

TEST(Voltages, OfADoublerAreSaidForEachOfItsCapacitors) {
    Board board = rectified().without("BR1").without("C1");
    board.with("D1", R"(kind = "diode"
pins = { anode = "AC", cathode = "P" })");
    board.with("D2", R"(kind = "diode"
pins = { anode = "M", cathode = "AC" })");
    board.with("C1", R"(kind = "electrolytic capacitor"
value = "100u"
pins = { "+" = "P", "-" = "N" })");
    board.with("C2", R"(kind = "electrolytic capacitor"
value = "100u"
pins = { "+" = "N", "-" = "M" })");
    const Derived d(board);
    EXPECT_NEAR(d.peak("P", "N"), crest_230, 0.01);
    EXPECT_NEAR(d.peak("P", "M"), 2 * crest_230, 0.01);
    EXPECT_THAT(d.between("P", "N")->because, ::testing::HasSubstr("charge C1 to the crest"));
    EXPECT_THAT(d.between("N", "M")->because, ::testing::HasSubstr("charge C2 to the crest"));
    EXPECT_THAT(d.between("P", "M")->because,
                ::testing::HasSubstr("C1 and C2 one after the other, together to twice the crest"));
}

}  // namespace
}  // namespace etchback::test
