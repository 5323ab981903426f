// Small circuits of each model against hand calculations.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "behaviour/models_stage.h"

namespace etchback::behaviour {
namespace {

using base::Unit;
using test::bench;
using test::Bench;
using test::supply;
using test::with;
namespace make = test::make;

constexpr double pi = std::numbers::pi;

// A drive for gates and the like: a supply of its own against GND.
dossier::Part drive(const std::string& volts) {
    return supply("J2", volts, "IN", "GND");
}

TEST(ZenerModel, ClampsAtItsVoltagePlusItsSlope) {
    auto zener = make::part("D1", "Zener diode", "5.1 V", {{"A", "GND"}, {"K", "OUT"}});
    zener =
        with(with(zener, "test_current", 5e-3, Unit::ampere), "slope_resistance", 10, Unit::ohm);
    Bench run(
        bench({supply("J1", "12 V", "VIN", "GND"), make::r("R1", "1k", "VIN", "OUT"), zener}));
    // 5.1 V at 5 mA and 10 ohm: 5.05 V in front of the slope.
    const double amps = (12.0 - 5.05) / (1000.0 + 10.0);
    EXPECT_NEAR(run.to(1e-3).volts("OUT"), 5.05 + 10.0 * amps, 1e-4);
}

TEST(ZenerModel, TakesItsVoltageFromItsType) {
    auto zener = make::part("D1", "Zener diode", {{"A", "GND"}, {"K", "OUT"}});
    zener.type.value = "1N4735A";  // 6.2 V at 41 mA by its registration
    Bench run(
        bench({supply("J1", "12 V", "VIN", "GND"), make::r("R1", "141R", "VIN", "OUT"), zener}));
    EXPECT_NEAR(run.to(1e-3).volts("OUT"), 6.2, 0.02);
}

TEST(DiodeModel, DropsItsForwardVoltageAtItsRatedCurrent) {
    auto diode = with(make::diode("D1", "VIN", "OUT"), "forward_voltage", 0.9, Unit::volt);
    diode.rated_current.emplace().value = base::Quantity::of(1.0, Unit::ampere);
    Bench run(
        bench({supply("J1", "10.9 V", "VIN", "GND"), diode, make::r("R1", "10R", "OUT", "GND")}));
    EXPECT_NEAR(run.to(1e-3).volts("OUT"), 10.0, 2e-3);
    EXPECT_NEAR(run.amps("D1"), 1.0, 1e-3);
}

TEST(DiodeModel, BlocksAndBreaksDownAtItsRatedVoltage) {
    auto diode = make::diode("D1", "GND", "OUT");
    diode.rated_voltage.emplace().value = base::Quantity::of(75, Unit::volt);
    const auto at = [&](const char* volts) {
        Bench run(
            bench({supply("J1", volts, "VIN", "GND"), make::r("R1", "10k", "VIN", "OUT"), diode}));
        return run.to(1e-3).volts("OUT");
    };
    EXPECT_NEAR(at("50 V"), 50.0, 1e-2);
    EXPECT_NEAR(at("200 V"), 75.0, 0.3);
}

TEST(LedStringModel, HoldsItsForwardVoltageAtItsForwardCurrent) {
    auto leds = make::part("LED1", "LED string", {{"+", "OUT"}, {"-", "GND"}});
    leds = with(with(with(leds, "count", 13), "forward_voltage", 3.1, Unit::volt),
                "forward_current",
                0.35,
                Unit::ampere);
    Bench run(bench({supply("J1", "50 V", "VIN", "GND"),
                     make::r("R1", "27.714R", "VIN", "OUT"),  // (50 - 13 * 3.1) / 0.35
                     leds}));
    EXPECT_NEAR(run.to(1e-3).volts("OUT"), 13 * 3.1, 0.05);
    EXPECT_NEAR(run.amps("LED1"), 0.35, 2e-3);
    ASSERT_EQ(run.model.terminals.loads.size(), 1u);
    EXPECT_EQ(run.model.terminals.loads[0].part, "LED1");
}

TEST(BridgeModel, ChargesItsCapacitorToTheCrestLessTwoDrops) {
    Bench run(bench({make::mains("L", "N"),
                     make::bridge("BR1", "L", "N", "HV+", "HV-"),
                     make::electrolytic("C1", "HV+", "HV-"),
                     make::r("R1", "1M", "HV+", "HV-")}));
    const double crest = 230.0 * std::numbers::sqrt2;
    run.to(0.1);
    EXPECT_NEAR(run.volts("HV+"), crest - 1.3, 3.0);
}

// One NPN: 5 V, 1 kilohm at the collector.
double collector_volts(const std::string& base_ohm, double gain) {
    auto q = make::part("Q1", "NPN transistor", {{"B", "BASE"}, {"C", "COLL"}, {"E", "GND"}});
    q = with(with(q, "gain", gain), "base_emitter_voltage", 0.68, Unit::volt);
    Bench run(bench({supply("J1", "5 V", "VIN", "GND"),
                     make::r("R1", "1k", "VIN", "COLL"),
                     make::r("R2", base_ohm, "VIN", "BASE"),
                     q}));
    return run.to(1e-2).volts("COLL");
}

TEST(TransistorModel, AmplifiesTheBaseCurrentByItsGain) {
    // Base current (5 V - 0.63 V) / 1 megohm, a hundredfold through 1 kilohm.
    EXPECT_NEAR(collector_volts("1M", 100), 5.0 - 0.1 * (5.0 - 0.63), 2e-2);
}

TEST(TransistorModel, SaturatesWhenItsBaseIsOverdriven) {
    const double volts = collector_volts("10k", 100);
    EXPECT_GT(volts, 0.0);
    EXPECT_LT(volts, 0.2);
}

TEST(TransistorModel, MirrorsForPnp) {
    auto q = make::part("Q1", "PNP transistor", {{"B", "BASE"}, {"C", "COLL"}, {"E", "VIN"}});
    q = with(with(q, "gain", 100), "base_emitter_voltage", 0.68, Unit::volt);
    Bench run(bench({supply("J1", "5 V", "VIN", "GND"),
                     make::r("R1", "1k", "COLL", "GND"),
                     make::r("R2", "1M", "BASE", "GND"),
                     q}));
    EXPECT_NEAR(run.to(1e-2).volts("COLL"), 0.1 * (5.0 - 0.63), 2e-2);
}

TEST(MosfetModel, IsAResistorWithMuchGateVoltageAndACurrentSourceWithLittle) {
    auto q = make::part("Q1", "N-channel MOSFET", {{"G", "IN"}, {"D", "DRAIN"}, {"S", "GND"}});
    q = with(with(q, "on_resistance", 1.0, Unit::ohm), "gate_threshold", 2.0, Unit::volt);
    const auto drain = [&](const char* gate) {
        Bench run(bench({supply("J1", "10 V", "VIN", "GND"),
                         make::r("R1", "9R", "VIN", "DRAIN"),
                         drive(gate),
                         q}));
        return run.to(1e-3).volts("DRAIN");
    };
    EXPECT_NEAR(drain("12 V"), 1.0, 5e-3);                // 1 ohm of 10
    EXPECT_NEAR(drain("2.5 V"), 10.0 - 9.0 * 0.5, 1e-2);  // 1 S times half a volt
    EXPECT_NEAR(drain("1 V"), 10.0, 1e-3);
}

TEST(OptocouplerModel, PassesItsTransferRatioUntilItSaturates) {
    auto u =
        make::part("U1",
                   "optocoupler",
                   {{"anode", "LED"}, {"cathode", "GND"}, {"collector", "OUT"}, {"emitter", "S"}});
    u = with(with(u, "ctr", 80, Unit::percent), "forward_voltage", 1.2, Unit::volt);
    const auto out = [&](const char* collector_ohm) {
        Bench run(bench({supply("J1", "11.2 V", "VIN", "GND"),
                         make::r("R1", "1k", "VIN", "LED"),  // 10 mA at 1.2 V
                         supply("J2", "15 V", "VS", "S"),
                         make::r("R2", collector_ohm, "VS", "OUT"),
                         u}));
        return run.to(5e-3).volts("OUT");
    };
    EXPECT_NEAR(out("1k"), 15.0 - 8.0, 2e-2);
    EXPECT_LT(out("10k"), 0.2);
    EXPECT_GT(out("10k"), 0.0);
}

TEST(OptocouplerModel, FollowsWithOneTimeConstant) {
    auto u =
        make::part("U1",
                   "optocoupler",
                   {{"anode", "LED"}, {"cathode", "GND"}, {"collector", "OUT"}, {"emitter", "S"}});
    u = with(with(with(u, "ctr", 100, Unit::percent), "forward_voltage", 1.2, Unit::volt),
             "bandwidth",
             10e3,
             Unit::hertz);
    Bench run(bench({supply("J1", "11.2 V", "VIN", "GND"),
                     make::r("R1", "1k", "VIN", "LED"),
                     supply("J2", "15 V", "VS", "S"),
                     make::r("R2", "100R", "VS", "OUT"),
                     u}));
    const double tau = 1.0 / (2.0 * pi * 10e3);
    run.to(tau);  // switched on at 0: the LED's capacitance delays it by some nanoseconds
    EXPECT_NEAR(15.0 - run.volts("OUT"), 1.0 * (1.0 - std::exp(-1.0)), 1e-2);
}

TEST(ShuntRegulatorModel, HoldsItsReferenceAtTheDivider) {
    auto u = make::part(
        "U1", "shunt regulator", {{"cathode", "OUT"}, {"anode", "GND"}, {"reference", "REF"}});
    u = with(u, "reference_voltage", 2.495, Unit::volt);
    Bench run(bench({supply("J1", "15 V", "VIN", "GND"),
                     make::r("R1", "470R", "VIN", "OUT"),
                     make::r("R2", "38.3k", "OUT", "REF"),
                     make::r("R3", "10k", "REF", "GND"),
                     u}));
    // Vref (1 + R2/R3) + Iref R2 with 2 uA, and what the finite transconductance of 2.5 S adds.
    const double ideal = 2.495 * (1 + 38.3 / 10.0) + 2e-6 * 38.3e3;
    const double cathode_a = (15.0 - ideal) / 470.0 - ideal / 48.3e3;
    EXPECT_NEAR(run.to(1e-2).volts("OUT"), ideal + 4.83 * cathode_a / 2.5, 5e-3);
}

TEST(ShuntRegulatorModel, PullsItsCathodeNoLowerThanItsLeastVoltage) {
    auto u = make::part(
        "U1", "shunt regulator", {{"cathode", "OUT"}, {"anode", "GND"}, {"reference", "IN"}});
    Bench run(bench(
        {supply("J1", "15 V", "VIN", "GND"), make::r("R1", "10k", "VIN", "OUT"), drive("3 V"), u}));
    EXPECT_NEAR(run.to(1e-2).volts("OUT"), 1.9, 0.02);
}

TEST(LinearRegulatorModel, RegulatesAndDropsOut) {
    auto u = make::part(
        "U1", "linear regulator", "5 V", {{"in", "VIN"}, {"out", "OUT"}, {"gnd", "GND"}});
    u = with(u, "dropout", 1.5, Unit::volt);
    const auto out = [&](const char* volts) {
        Bench run(bench({supply("J1", volts, "VIN", "GND"),
                         u,
                         make::c("C1", "100n", "OUT", "GND"),
                         make::r("R1", "100R", "OUT", "GND")}));
        return run.to(1e-2).volts("OUT");
    };
    EXPECT_NEAR(out("12 V"), 5.0, 1e-2);
    EXPECT_NEAR(out("5.5 V"), 4.0, 1e-2);
}

TEST(OpAmpModel, AmplifiesAndStopsAtItsRails) {
    const auto u = make::part(
        "U1", "op-amp", {{"+", "IN"}, {"-", "FB"}, {"out", "OUT"}, {"v+", "VIN"}, {"v-", "GND"}});
    const auto out = [&](const char* volts) {
        Bench run(bench({supply("J1", "12 V", "VIN", "GND"),
                         drive(volts),
                         make::r("R1", "9k", "OUT", "FB"),
                         make::r("R2", "1k", "FB", "GND"),
                         u}));
        return run.to(1e-2).volts("OUT");
    };
    EXPECT_NEAR(out("0.5 V"), 5.0, 1e-2);
    EXPECT_NEAR(out("3 V"), 12.0 - 1.4, 0.15);
}

TEST(ComparatorModel, SinksWhereItsInvertingInputIsHigher) {
    const auto u =
        make::part("U1",
                   "comparator",
                   {{"+", "REF"}, {"-", "IN"}, {"out", "OUT"}, {"v+", "VIN"}, {"v-", "GND"}});
    const auto out = [&](const char* volts) {
        Bench run(bench({supply("J1", "12 V", "VIN", "GND"),
                         drive(volts),
                         make::r("R1", "10k", "VIN", "REF"),
                         make::r("R2", "10k", "REF", "GND"),
                         make::r("R3", "10k", "VIN", "OUT"),
                         u}));
        return run.to(1e-3).volts("OUT");
    };
    EXPECT_NEAR(out("5.9 V"), 12.0, 1e-2);
    EXPECT_LT(out("6.1 V"), 0.1);
}

TEST(FuseModel, MeltsByItsIntegralAndStaysWholeBelow) {
    auto fuse = make::part("F1", "fuse", "1 A", {{"1", "VIN"}, {"2", "OUT"}});
    fuse = with(fuse, "melting_energy", 4.0, Unit::ampere_squared_second);
    const auto amps_after = [&](const char* ohm, double t_s) {
        Bench run(
            bench({supply("J1", "10 V", "VIN", "GND"), fuse, make::r("R1", ohm, "OUT", "GND")}));
        const double amps = run.to(t_s).volts("OUT");
        return std::pair(amps, run.told("fuse_melted"));
    };
    // 10 V over 1 ohm and 0.15 ohm of the fuse: 75.6 A2, so 4 A2s take 53 ms and little more for
    // what cools away; then the arc burns 10 ms.
    EXPECT_GT(amps_after("1R", 0.050).first, 8.0);
    const auto [volts, told] = amps_after("1R", 0.075);
    EXPECT_LT(volts, 1e-3);
    EXPECT_TRUE(told);
    EXPECT_FALSE(amps_after("8R2", 1.0).second);
}

TEST(NtcModel, FallsToTheResistanceOfItsWarmth) {
    auto ntc = make::part("RT1", "NTC thermistor", "10R", {{"1", "VIN"}, {"2", "OUT"}});
    ntc = with(ntc, "beta", 3000);
    Bench run(bench({supply("J1", "12 V", "VIN", "GND"), ntc, make::r("R1", "10R", "OUT", "GND")}));
    run.to(1e-3);
    EXPECT_NEAR(run.volts("OUT"), 6.0, 0.01) << "cold";
    run.to(200.0);
    // Where R = 10 exp(3000 (1/T - 1/298)) and T = 298 + I^2 R / 0.012 meet.
    double ohm = 10.0;
    for (int k = 0; k < 2000; ++k) {
        const double amps = 12.0 / (10.0 + ohm);
        const double kelvin = 298.15 + amps * amps * ohm / 0.012;
        ohm += 0.05 * (10.0 * std::exp(3000.0 * (1.0 / kelvin - 1.0 / 298.15)) - ohm);
    }
    const double found = 10.0 * (12.0 - run.volts("OUT")) / run.volts("OUT");
    EXPECT_NEAR(std::log(found / ohm), 0.0, 0.3) << "levels are a factor of 0.7 apart";
}

TEST(VaristorModel, PassesOneMilliampereAtItsVoltage) {
    const auto rv = make::part("RV1", "varistor", "470 V", {{"1", "OUT"}, {"2", "GND"}});
    Bench run(bench({supply("J1", "480 V", "VIN", "GND"), make::r("R1", "10k", "VIN", "OUT"), rv}));
    EXPECT_NEAR(run.to(1e-3).volts("OUT"), 470.0, 0.05);
    EXPECT_NEAR(run.amps("RV1"), 1e-3, 5e-6);
}

TEST(TriacModel, FiresWhenItsDiacDoesAndConductsToTheZeroOfTheMains) {
    const double ohm = 100e3, farad = 100e-9;
    auto lamp = make::part("LA1", "lamp", "100 W", {{"1", "L"}, {"2", "MT2"}});
    lamp.rated_voltage.emplace().value = base::Quantity::of(230, Unit::volt);
    Bench run(bench({make::mains("L", "N"),
                     lamp,
                     make::part("Q1", "triac", {{"mt2", "MT2"}, {"mt1", "N"}, {"gate", "G"}}),
                     make::r("R1", "100k", "MT2", "TIME"),
                     make::c("C1", "100n", "TIME", "N"),
                     make::part("D1", "diac", "32 V", {{"1", "TIME"}, {"2", "G"}})}));
    // The capacitor's voltage from rest: a sine that lags and an exponential.
    const double w = 2 * pi * 50, tau = ohm * farad, lag = std::atan(w * tau);
    const double peak = 230 * std::numbers::sqrt2 / std::sqrt(1 + w * w * tau * tau);
    double t = 0.0;
    while (peak * (std::sin(w * t - lag) + std::sin(lag) * std::exp(-t / tau)) < 32.0) {
        t += 1e-6;
    }
    run.to(t - 1e-4);
    EXPECT_NEAR(run.amps("LA1"), 0.0, 5e-3);
    run.to(t + 1e-4);
    EXPECT_NEAR(
        run.amps("LA1"), 230 * std::numbers::sqrt2 * std::sin(w * (t + 1e-4)) / 529.0, 0.02);
    run.to(0.0102);
    EXPECT_NEAR(run.amps("LA1"), 0.0, 5e-3) << "it has gone out at the zero of the mains";
}

TEST(ThyristorModel, LatchesAndStaysOnWithoutItsGate) {
    auto q = make::part("Q1", "thyristor", {{"anode", "OUT"}, {"cathode", "GND"}, {"gate", "G"}});
    Bench run(bench({supply("J1", "12 V", "VIN", "GND"),
                     make::r("R1", "12R", "VIN", "OUT"),
                     make::r("R2", "470R", "PULSE", "G"),
                     make::c("C1", "1u", "VIN", "PULSE"),  // a pulse of gate current at switch-on
                     q}));
    run.to(0.1);
    EXPECT_LT(run.volts("OUT"), 1.5);
    EXPECT_GT(run.volts("OUT"), 0.8);
}

TEST(SparkGapModel, FiresAtItsVoltage) {
    const auto gap = make::part("SG1", "spark gap", "350 V", {{"1", "OUT"}, {"2", "GND"}});
    const auto out = [&](const char* volts) {
        Bench run(bench({supply("J1", volts, "VIN", "GND"),
                         make::r("R1", "100R", "VIN", "OUT"),
                         make::c("C1", "1u", "OUT", "GND"),
                         gap}));
        return run.to(5e-3).volts("OUT");
    };
    EXPECT_NEAR(out("340 V"), 340.0, 0.1);
    EXPECT_LT(out("400 V"), 25.0);
}

TEST(RelayModel, PullsInAndClosesItsContact) {
    auto k =
        make::part("K1", "relay", {{"a1", "VIN"}, {"a2", "GND"}, {"com", "VIN"}, {"no", "OUT"}});
    k = with(with(k, "coil_voltage", 12, Unit::volt), "coil_resistance", 360, Unit::ohm);
    Bench run(bench({supply("J1", "12 V", "VIN", "GND"), k, make::r("R1", "1k", "OUT", "GND")}));
    run.to(1e-3);
    EXPECT_LT(run.volts("OUT"), 0.1);
    run.to(0.05);
    EXPECT_NEAR(run.volts("OUT"), 12.0, 0.05);
    EXPECT_TRUE(run.told("pulled_in"));
}

TEST(CommonModeChokeModel, LetsTheDifferentialCurrentSeeItsLeakage) {
    auto l = make::part("L1",
                        "common-mode choke",
                        "20 mH",
                        {{"1", "VIN"}, {"2", "OUT"}, {"3", "GND"}, {"4", "RET"}});
    l = with(with(l, "leakage", 200e-6, Unit::henry), "resistance", 0.5, Unit::ohm);
    Bench run(bench({supply("J1", "10 V", "VIN", "GND"), l, make::r("R1", "9R", "OUT", "RET")}));
    const double tau = 200e-6 / 10.0;  // 9 ohm and twice half an ohm
    run.to(tau);
    EXPECT_NEAR(run.volts("OUT") - run.volts("RET"), 9.0 * (1 - std::exp(-1.0)), 0.02);
    run.to(20 * tau);
    EXPECT_NEAR(run.volts("OUT") - run.volts("RET"), 9.0, 0.01);
}

TEST(TransformerModel, TransformsByTurnsAndFeedsItsInductance) {
    dossier::Part t1 =
        make::part("T1", "transformer", {{"1", "L"}, {"2", "N"}, {"3", "S"}, {"4", "G"}});
    t1.windings = {make::winding("primary", {"1", "2"}), make::winding("secondary", {"3", "4"})};
    t1.windings[0].turns.emplace().value = 1000;
    t1.windings[1].turns.emplace().value = 50;
    t1.windings[0].inductance.emplace().value = base::Quantity::of(20, Unit::henry);
    t1.leakage.emplace().value = base::Quantity::of(0.02, Unit::henry);
    Bench run(bench({make::mains("L", "N"), t1, make::r("R1", "1k", "S", "G")}));
    run.simulation().measure({run.model.net_volts.at("S")});
    run.to(1.0);
    EXPECT_NEAR(run.simulation().measured().rms[0], 230.0 / 20.0, 0.03);
}

TEST(InductorModel, RisesByVoltageOverInductanceAndFasterPastSaturation) {
    auto l = make::part("L1", "inductor", "1 mH", {{"1", "VIN"}, {"2", "OUT"}});
    l = with(with(l, "resistance", 1e-3, Unit::ohm), "saturation_current", 1.0, Unit::ampere);
    Bench run(bench({supply("J1", "10 V", "VIN", "GND"), l, make::r("R1", "1mohm", "OUT", "GND")}));
    const auto total = [&] { return run.volts("OUT") / 1e-3; };
    run.to(50e-6);
    EXPECT_NEAR(total(), 0.5, 0.01);
    run.to(110e-6);  // 10 % past saturation: nine times more flows beside the coil
    EXPECT_NEAR(total(), 1.1 + 0.9, 0.03);
}

TEST(PtcModel, TripsAndStaysHighOhmic) {
    auto f = make::part("F1", "resettable fuse", {{"1", "VIN"}, {"2", "OUT"}});
    f.rated_current.emplace().value = base::Quantity::of(0.5, Unit::ampere);
    f = with(f, "trip_time", 0.5, Unit::second);
    Bench run(bench({supply("J1", "5 V", "VIN", "GND"), f, make::r("R1", "1R", "OUT", "GND")}));
    run.to(0.05);
    EXPECT_GT(run.volts("OUT"), 4.0);
    run.to(2.0);
    EXPECT_LT(run.volts("OUT"), 0.1);
    EXPECT_TRUE(run.told("ptc_tripped"));
}

TEST(BatteryModel, CountsItsCells) {
    auto battery = make::part("BT1", "battery", {{"+", "VIN"}, {"-", "GND"}});
    battery = with(battery, "count", 3);
    Bench run(bench({battery, make::r("R1", "1k", "VIN", "GND")}));
    EXPECT_NEAR(run.to(1e-3).volts("VIN"), 4.5, 2e-3);
}

TEST(MainsModel, GivesItsVoltageBehindItsImpedance) {
    Bench run(bench({make::mains("L", "N"), make::r("R1", "1k", "L", "N")}));
    const Terminals& ends = run.model.terminals;
    run.simulation().measure({*ends.mains_v, *ends.mains_a});
    run.to(0.2);
    const Measured seen = run.simulation().measured();
    EXPECT_NEAR(seen.rms[0], 230.0, 0.1);
    EXPECT_NEAR(seen.rms[1], 0.23, 2e-4);
    EXPECT_LT(seen.branch_joule[static_cast<std::size_t>(ends.mains[0].index)], 0.0)
        << "it delivers";
}

TEST(PotentiometerModel, DividesInTheMiddle) {
    const auto pot =
        make::part("RV1", "potentiometer", "10k", {{"1", "VIN"}, {"2", "OUT"}, {"3", "GND"}});
    const auto dossier = bench({supply("J1", "10 V", "VIN", "GND"), pot});
    EXPECT_NEAR(Bench(dossier).to(1e-3).volts("OUT"), 5.0, 1e-2);
    ModelOptions turned;
    turned.values["RV1.wiper"] = 0.8;
    EXPECT_NEAR(Bench(dossier, turned).to(1e-3).volts("OUT"), 8.0, 1e-2);
}

}  // namespace
}  // namespace etchback::behaviour
