// Controllers in closed loop on the engine, in small circuits built by hand. All values are
// invented; what is expected follows from the laws named beside it.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "behaviour/controllers.h"
#include "behaviour/controllers_stage.h"
#include "behaviour/simulation.h"

namespace etchback::behaviour {
namespace {

// A network that grows, with devices of a few segments.
struct Board {
    Network n;
    ControllerWiring wiring;

    Board() {
        wiring.part = "U1";
        wiring.owner = n.owner("U1");
        wiring.pins["return"] = reference;
    }
    void resistor(const char* name, NodeId a, NodeId b, double ohm) {
        n.add(name, a, b, Conductance{1.0 / ohm});
    }
    void capacitor(const char* name, NodeId a, NodeId b, double farad, double volt = 0.0) {
        n.add(name, a, b, Capacitance{farad, volt});
    }
    BranchId diode(const char* name, NodeId anode, NodeId cathode, double knee_v, double ohm) {
        return n.add(name,
                     anode,
                     cathode,
                     Curve{Expression::voltage(anode, cathode),
                           PiecewiseLinear{{knee_v}, {1e-9, 1.0 / ohm}, 0.0},
                           1.0});
    }
    // A transistor with its source at `source`; the controller works it.
    void transistor(NodeId drain, NodeId source, double ohm) {
        wiring.switch_node = drain;
        wiring.switch_source = source;
        wiring.power_switch = n.add_switch("Q1", drain, source, Switch{1.0 / ohm, 1e-9, false});
        diode("Q1 body", source, drain, 0.8, 0.2);
        capacitor("Q1 output capacitance", drain, source, 25e-12);
    }
};

class Played {
public:
    Played(Board& board, std::string_view family) {
        auto made = make_controller(board.n, *find_family(families(), family), board.wiring);
        EXPECT_TRUE(made) << base::to_string(made.errors().front());
        std::vector<std::unique_ptr<Machine>> machines;
        machines.push_back(std::move(*made));
        auto simulation = Simulation::make(board.n, std::move(machines));
        EXPECT_TRUE(simulation) << base::to_string(simulation.errors().front());
        simulation_ = std::make_unique<Simulation>(std::move(*simulation));
    }
    void to(double t_s) {
        const Ending ending = simulation_->run_to(t_s);
        EXPECT_EQ(ending, Ending::reached);
        for (const auto& error : simulation_->trouble()) {
            ADD_FAILURE() << base::to_string(error);
        }
    }
    // Mean of a branch's current over the next `span_s`.
    double mean_a(BranchId branch, double span_s) {
        simulation_->measure({});
        to(simulation_->now_s() + span_s);
        EXPECT_TRUE(simulation_->ledger().in_order()) << simulation_->ledger().residual();
        return simulation_->measured().branch_mean_a[static_cast<std::size_t>(branch.index)];
    }
    double value(ProbeId probe) const { return simulation_->value(probe); }
    double first(std::string_view key) const {
        for (const StoryLine& line : simulation_->story()) {
            if (line.key == key) {
                return line.t_s;
            }
        }
        return -1.0;
    }
    bool told(std::string_view key) const { return first(key) >= 0.0; }
    std::vector<std::string> keys() const {
        std::vector<std::string> all;
        for (const StoryLine& line : simulation_->story()) {
            all.push_back(line.key);
        }
        return all;
    }
    std::int64_t counted(std::string_view what) const {
        for (const Simulation::Count& count : simulation_->counts()) {
            if (count.what == what) {
                return count.number;
            }
        }
        return 0;
    }
    Simulation& simulation() { return *simulation_; }

private:
    std::unique_ptr<Simulation> simulation_;
};

// ---- boundary-mode flyback ----

struct FlybackOptions {
    double vin = 300.0;
    double led_v = 36.0;
    bool open = false;            // no load but a large resistor
    double detect_divider = 0.0;  // share of the auxiliary voltage at the pin; 0: not wired
};

struct Flyback {
    Board board;
    BranchId led;
    ProbeId out;
};

// 1.4 mH and 120:50:24 turns as the transformer of a small LED driver, 0.2 % of leakage.
Flyback flyback(const FlybackOptions& options) {
    Flyback f;
    Board& b = f.board;
    Network& n = b.n;
    const NodeId vin = n.node("vin"), drain = n.node("drain"), cs = n.node("cs");
    const NodeId sec = n.node("sec"), out = n.node("out"), clamp = n.node("clamp");
    const NodeId vcc = n.node("vcc"), comp = n.node("comp");
    n.add("input", vin, reference, VoltageSource{Constant{options.vin}});
    n.add("supply", vcc, reference, VoltageSource{Constant{18.0}});
    const double lp = 1.4e-3, turns = 120.0 / 50.0, ls = lp / (turns * turns);
    const double la = lp * 0.04;
    const BranchId primary = n.add("T1 primary", vin, drain, Winding{lp, 3.4});
    const BranchId secondary = n.add("T1 secondary", reference, sec, Winding{ls, 0.6});
    const double k = std::sqrt(1.0 - 0.002);
    n.couple(primary, secondary, k * std::sqrt(lp * ls));
    b.resistor("T1 loss", vin, drain, 100e3);
    b.transistor(drain, cs, 2.0);
    b.resistor("Rs", cs, reference, 1.0);
    b.diode("clamp", drain, clamp, 0.8, 5.0);
    b.capacitor("clamp C", clamp, vin, 2.2e-9, 120.0);
    b.resistor("clamp R", clamp, vin, 75e3);
    b.diode("D3", sec, out, 0.8, 0.1);
    b.capacitor("D3 junction", sec, out, 10e-12);
    b.capacitor("Co", out, reference, 5e-6, options.open ? 30.0 : options.led_v);
    f.led = options.open ? n.add("load", out, reference, Conductance{1e-5})
                         : b.diode("LED", out, reference, options.led_v, 4.0);
    b.capacitor("C6", comp, reference, 0.02e-6);
    b.wiring.pins["supply"] = vcc;
    b.wiring.pins["sense"] = cs;
    b.wiring.pins["compensation"] = comp;
    if (options.detect_divider > 0.0) {
        const NodeId aux = n.node("aux"), det = n.node("det");
        const BranchId auxiliary = n.add("T1 auxiliary", reference, aux, Winding{la, 0.8});
        n.couple(primary, auxiliary, k * std::sqrt(lp * la));
        n.couple(secondary, auxiliary, 0.999 * std::sqrt(ls * la));
        b.resistor("R4", aux, det, 10e3 / options.detect_divider - 10e3);
        b.resistor("R5", det, reference, 10e3);
        b.wiring.pins["detect"] = det;
    }
    f.out = n.probe_voltage("out", out, reference);
    b.wiring.numbers["current_reference"] = 0.3;
    return f;
}
constexpr const char* flyback_cc = "flyback, boundary mode, primary-side constant current";

TEST(EngineBoundaryFlyback, HoldsItsOutputCurrentAtTwoInputVoltages) {
    for (const double vin : {150.0, 320.0}) {
        Flyback f = flyback({.vin = vin});
        Played run(f.board, flyback_cc);
        run.to(0.012);
        const double amps = run.mean_a(f.led, 0.003);
        // I = n Vref / (2 Rs)
        EXPECT_NEAR(amps, 2.4 * 0.3 / 2.0, 0.03 * 0.36) << vin;
        EXPECT_GT(run.counted("valley"), 200) << vin;
    }
}

TEST(EngineBoundaryFlyback, HoldsItsOutputCurrentWithADetectionPin) {
    Flyback f = flyback({.vin = 200.0, .detect_divider = 0.131});
    Played run(f.board, flyback_cc);
    run.to(0.012);
    EXPECT_NEAR(run.mean_a(f.led, 0.003), 2.4 * 0.3 / 2.0, 0.03 * 0.36);
}

TEST(EngineBoundaryFlyback, StopsWhereTheDetectionPinShowsAnOpenOutput) {
    Flyback f = flyback({.vin = 200.0, .open = true, .detect_divider = 0.131});
    Played run(f.board, flyback_cc);
    run.to(0.012);
    EXPECT_TRUE(run.told("over_voltage"));
    // 3.2 V at the pin are 3.2 / 0.131 at the auxiliary, 50/24 of that at the secondary, less the
    // rectifier's 0.8 V.
    EXPECT_NEAR(run.value(f.out), 3.2 / 0.131 * 50.0 / 24.0 - 0.8, 1.5);
}

TEST(EngineBoundaryFlyback, HoldsItsOutputCurrentWithThePeakSetByCompensation) {
    Flyback f = flyback({.vin = 200.0});
    Played run(f.board, "flyback, boundary mode, peak current, primary-side constant current");
    run.to(0.012);
    EXPECT_NEAR(run.mean_a(f.led, 0.003), 2.4 * 0.3 / 2.0, 0.03 * 0.36);
}

// ---- fixed-frequency flyback ----

struct Adapter {
    Board board;
    ProbeId out, feedback;
};

// 12 V from 300 V. In place of the optocoupler and its regulator a current of 0.2 mA for each volt
// above 12 V flows out of the feedback pin.
Adapter adapter(double load_ohm, std::optional<double> start_resistor_ohm) {
    Adapter a;
    Board& b = a.board;
    Network& n = b.n;
    const NodeId vin = n.node("vin"), drain = n.node("drain"), cs = n.node("cs");
    const NodeId sec = n.node("sec"), out = n.node("out"), clamp = n.node("clamp");
    const NodeId vcc = n.node("vcc"), fb = n.node("fb");
    n.add("input", vin, reference, VoltageSource{Constant{300.0}});
    const double lp = 1.1e-3, turns = 102.0 / 15.0, ls = lp / (turns * turns);
    const BranchId primary = n.add("T1 primary", vin, drain, Winding{lp, 2.4});
    const BranchId secondary = n.add("T1 secondary", reference, sec, Winding{ls, 0.045});
    n.couple(primary, secondary, std::sqrt(0.99) * std::sqrt(lp * ls));
    b.resistor("T1 loss", vin, drain, 20e3);
    b.transistor(drain, cs, 2.0);
    b.resistor("Rs", cs, reference, 1.0);
    b.diode("clamp", drain, clamp, 0.8, 5.0);
    b.capacitor("clamp C", clamp, vin, 2.2e-9, 120.0);
    b.resistor("clamp R", clamp, vin, 75e3);
    b.diode("D3", sec, out, 0.4, 0.05);
    b.capacitor("D3 junction", sec, out, 200e-12);
    b.capacitor("Co", out, reference, 220e-6, 11.0);
    b.resistor("load", out, reference, load_ohm);
    b.capacitor("C fb", fb, reference, 2.2e-9);
    n.add("opto",
          fb,
          reference,
          Curve{Expression::voltage(out, reference),
                PiecewiseLinear{{12.0, 13.25}, {0.0, 0.2e-3, 0.0}, 0.0},
                0.1});
    if (start_resistor_ohm) {
        b.resistor("start", vin, vcc, *start_resistor_ohm);
        b.capacitor("C4", vcc, reference, 1e-6, 15.0);
    } else {
        n.add("supply", vcc, reference, VoltageSource{Constant{18.0}});
    }
    b.wiring.pins["supply"] = vcc;
    b.wiring.pins["sense"] = cs;
    b.wiring.pins["feedback"] = fb;
    b.wiring.numbers = {{"start", 16.0}, {"stop", 9.0}, {"soft_start", 1e-3}};
    a.out = n.probe_voltage("out", out, reference);
    a.feedback = n.probe_voltage("fb", fb, reference);
    return a;
}
constexpr const char* flyback_ff = "flyback, fixed frequency, optocoupler";

TEST(EngineFixedFrequencyFlyback, RegulatesAtTwoLoads) {
    std::vector<double> asked;
    for (const double ohm : {14.0, 40.0}) {
        Adapter a = adapter(ohm, std::nullopt);
        Played run(a.board, flyback_ff);
        run.to(0.025);
        const double out_v = run.value(a.out), fb_v = run.value(a.feedback);
        asked.push_back(fb_v);
        EXPECT_TRUE(run.told("regulating")) << ohm;
        EXPECT_NEAR(out_v, 12.5, 0.4) << ohm;
        // The pull-up gives what the substitute takes: 5 V - 20 kohm x 0.2 mA/V (out - 12 V).
        EXPECT_NEAR(fb_v, 5.0 - 4.0 * (out_v - 12.0), 0.15) << ohm;
    }
    EXPECT_GT(asked[0], asked[1] + 0.2);
}

TEST(EngineFixedFrequencyFlyback, HiccupsWhereItsSupplyIsTooWeak) {
    Adapter a = adapter(14.0, 1e6);
    Played run(a.board, flyback_ff);
    run.to(0.06);
    std::vector<std::string> supply;
    for (const std::string& key : run.keys()) {
        if (key == "start_threshold" || key == "stop_threshold" || key == "restart") {
            supply.push_back(key);
        }
    }
    ASSERT_GE(supply.size(), 3u);
    EXPECT_EQ(supply[0], "start_threshold");
    EXPECT_EQ(supply[1], "stop_threshold");
    EXPECT_EQ(supply[2], "restart");
    // From 9 V to 16 V: R C ln((300 - 9 - R I) / (300 - 16 - R I)) with R I = 10 V.
    EXPECT_NEAR(run.first("restart") - run.first("stop_threshold"),
                std::log((300.0 - 9.0 - 10.0) / (300.0 - 16.0 - 10.0)),
                2e-4);
}

TEST(EngineSupply, PinThatIsOnNothingElseHasAVoltageAndNeverStarts) {
    Adapter a = adapter(14.0, std::nullopt);
    a.board.wiring.pins["supply"] = a.board.n.node("U1.VCC");
    Played run(a.board, flyback_ff);
    run.to(1e-3);
    EXPECT_FALSE(run.told("start_threshold"));
}

// ---- buck ----

struct Buck {
    Board board;
    BranchId led;
    ProbeId out;
};

Buck buck(double vin_v, bool open) {
    Buck k;
    Board& b = k.board;
    Network& n = b.n;
    const NodeId vin = n.node("vin"), low = n.node("led-"), drain = n.node("drain");
    const NodeId cs = n.node("cs"), vcc = n.node("vcc");
    n.add("input", vin, reference, VoltageSource{Constant{vin_v}});
    n.add("supply", vcc, reference, VoltageSource{Constant{12.0}});
    k.led = open ? n.add("load", vin, low, Conductance{1e-6}) : b.diode("LED", vin, low, 79.0, 5.0);
    b.capacitor("Co", vin, low, open ? 2e-6 : 1e-6, 80.0);
    n.add("L1", low, drain, Winding{2e-3, 1.0});
    b.resistor("L1 loss", low, drain, 100e3);
    b.diode("D1", drain, vin, 0.8, 0.2);
    b.transistor(drain, cs, 2.0);
    b.resistor("Rs", cs, reference, 1.0);
    b.wiring.pins["supply"] = vcc;
    b.wiring.pins["sense"] = cs;
    b.wiring.numbers = {{"current_reference", 0.4}, {"delay_to_output", 100e-9}};
    k.out = n.probe_voltage("out", vin, low);
    return k;
}
constexpr const char* buck_cc = "buck, boundary mode, constant current";

TEST(EngineBoundaryBuck, GivesHalfItsPeakCurrent) {
    Buck k = buck(160.0, false);
    Played run(k.board, buck_cc);
    run.to(1e-3);
    const double amps = run.mean_a(k.led, 2e-3);
    // I = Vth / (2 Rs), with 100 ns of delay at 80 V across 2 mH, and half a period of the ring
    // with 80 pF in which nothing flows to some 20 µs in which current flows.
    const double peak_a = 0.4 + 80.0 / 2e-3 * 100e-9;
    const double flowing_s = 2.0 * 2e-3 * peak_a / 80.0;
    const double dead_s = 3.14159 * std::sqrt(2e-3 * 25e-12);
    EXPECT_NEAR(amps, 0.5 * peak_a * flowing_s / (flowing_s + dead_s), 0.03 * 0.2);
}

TEST(EngineBoundaryBuck, SeesAnOpenOutputByShortDemagnetisation) {
    Buck k = buck(320.0, true);
    k.board.wiring.numbers["over_voltage_demagnetisation"] = 4e-6;
    Played run(k.board, buck_cc);
    run.to(10e-3);
    EXPECT_TRUE(run.told("over_voltage"));
    // V = L I / T, with 100 ns of delay at 120 V across 2 mH.
    EXPECT_NEAR(run.value(k.out), 2e-3 * 0.406 / 4e-6, 10.0);
}

TEST(EngineBoundaryBuck, WithItsOwnSwitchFeedsItselfFromTheDrain) {
    Board b;
    Network& n = b.n;
    const NodeId vin = n.node("vin"), low = n.node("led-"), drain = n.node("drain");
    const NodeId cs = n.node("cs"), vcc = n.node("vcc");
    n.add("input", vin, reference, VoltageSource{Constant{160.0}});
    const BranchId led = b.diode("LED", vin, low, 79.0, 5.0);
    b.capacitor("Co", vin, low, 1e-6, 80.0);
    n.add("L1", low, drain, Winding{2e-3, 1.0});
    b.resistor("L1 loss", low, drain, 100e3);
    b.diode("D1", drain, vin, 0.8, 0.2);
    b.capacitor("Cd", drain, reference, 25e-12);
    b.diode("body", cs, drain, 0.8, 0.2);
    b.resistor("Rs", cs, reference, 1.0);
    b.capacitor("C4", vcc, reference, 0.1e-6);
    b.wiring.pins["supply"] = vcc;
    b.wiring.pins["sense"] = cs;
    b.wiring.pins["drain"] = drain;
    b.wiring.numbers = {{"start", 10.0}, {"stop", 7.0}, {"start_source_current", 1e-3}};
    const ProbeId supply = n.probe_voltage("vcc", vcc, reference);
    Played run(b, buck_cc);
    run.to(4e-3);
    EXPECT_NEAR(run.mean_a(led, 2e-3), 0.2, 0.02);
    EXPECT_FALSE(run.told("stop_threshold"));
    // It is held within a fifth of the 3 V between start and stop, below start.
    EXPECT_LT(run.value(supply), 10.05);
    EXPECT_GT(run.value(supply), 9.35);
    // 0.1 µF to 10 V with 1 mA less 50 µA.
    EXPECT_NEAR(run.first("start_threshold"), 0.1e-6 * 10.0 / 0.95e-3, 3e-5);
}

// ---- linear ----

double linear_a(double input_v) {
    Board b;
    Network& n = b.n;
    const NodeId in = n.node("in"), drain = n.node("out"), cs = n.node("cs");
    n.add("input", in, reference, VoltageSource{Constant{input_v}});
    const BranchId led = b.diode("LED", in, drain, 36.0, 10.0);
    b.resistor("Rs", cs, reference, 20.0);
    b.capacitor("C", drain, reference, 1e-9);
    b.wiring.pins["drain"] = drain;
    b.wiring.pins["sense"] = cs;
    b.wiring.numbers = {{"current_reference", 0.6},
                        {"on_resistance", 200.0},
                        {"start", 1.5},
                        {"stop", 1.0},
                        {"operating_current", 1e-6}};
    Played run(b, "linear, constant current");
    run.to(1e-3);
    return run.mean_a(led, 1e-3);
}

TEST(EngineLinearDriver, HoldsItsReferenceAcrossTheSenseResistor) {
    EXPECT_NEAR(linear_a(60.0), 0.6 / 20.0, 0.01 * 0.03);
    EXPECT_NEAR(linear_a(80.0), 0.6 / 20.0, 0.01 * 0.03);
}

TEST(EngineLinearDriver, GivesWhatItsLeastResistanceLetsThroughBelowItsDropout) {
    EXPECT_NEAR(linear_a(40.0), 4.0 / (200.0 + 20.0 + 10.0), 0.01 * 0.0174);
}

TEST(EngineLinearDriver, HandsOverFromSectionToSection) {
    // 18 V of diodes to the first section, 36 V to the second; the same current at 25 V and 45 V.
    for (const double input_v : {25.0, 45.0}) {
        Board b;
        Network& n = b.n;
        const NodeId in = n.node("in"), one = n.node("one"), two = n.node("two");
        const NodeId cs = n.node("cs");
        n.add("input", in, reference, VoltageSource{Constant{input_v}});
        b.diode("LED1", in, one, 18.0, 5.0);
        const BranchId second = b.diode("LED2", one, two, 18.0, 5.0);
        const BranchId sense = n.add("Rs", cs, reference, Conductance{1.0 / 20.0});
        b.capacitor("C1", one, reference, 1e-9);
        b.capacitor("C2", two, reference, 1e-9);
        b.wiring.pins["drain"] = one;
        b.wiring.pins["drain_2"] = two;
        b.wiring.pins["sense"] = cs;
        b.wiring.numbers = {
            {"current_reference", 0.6}, {"on_resistance", 100.0}, {"start", 1.5}, {"stop", 1.0}};
        Played run(b, "linear, constant current");
        run.to(1e-3);
        // The first section has 97 % of the reference of the last.
        const double share = input_v < 36.0 ? 0.97 : 1.0;
        EXPECT_NEAR(run.mean_a(sense, 1e-3), share * 0.6 / 20.0, 0.01 * 0.03) << input_v;
        EXPECT_NEAR(run.mean_a(second, 1e-3), input_v < 36.0 ? 0.0 : 0.03, 0.01 * 0.03) << input_v;
    }
}

// ---- low-voltage converters ----

TEST(EngineLowVoltageBuck, HoldsItsFeedbackAtTheReference) {
    Board b;
    Network& n = b.n;
    const NodeId vin = n.node("vin"), sw = n.node("sw"), out = n.node("out"), fb = n.node("fb");
    n.add("input", vin, reference, VoltageSource{Constant{12.0}});
    n.add("L1", sw, out, Winding{4.7e-6, 0.02});
    b.diode("D1", reference, sw, 0.35, 0.05);
    b.capacitor("Csw", sw, reference, 100e-12);
    b.resistor("Rsw", sw, out, 1e3);
    b.capacitor("Co", out, reference, 22e-6);
    b.resistor("load", out, reference, 3.3);
    b.resistor("R1", out, fb, 45e3);
    b.resistor("R2", fb, reference, 10e3);
    for (const auto& [role, node] :
         {std::pair{"supply", vin}, {"drain", vin}, {"source", sw}, {"feedback", fb}}) {
        b.wiring.pins[role] = node;
    }
    const ProbeId probe = n.probe_voltage("out", out, reference);
    Played run(b, "buck, integrated switch");
    run.to(3e-3);
    // Vref (1 + R1 / R2)
    EXPECT_NEAR(run.value(probe), 0.6 * 5.5, 0.02 * 3.3);
    EXPECT_TRUE(run.told("regulating"));
}

TEST(EngineLowVoltageBuck, NeedsNoRectifierWhereItIsSynchronous) {
    Board b;
    Network& n = b.n;
    const NodeId vin = n.node("vin"), sw = n.node("sw"), out = n.node("out"), fb = n.node("fb");
    n.add("input", vin, reference, VoltageSource{Constant{5.0}});
    n.add("L1", sw, out, Winding{4.7e-6, 0.02});
    b.capacitor("Csw", sw, reference, 100e-12);
    b.resistor("Rsw", sw, out, 1e3);
    b.capacitor("Co", out, reference, 22e-6);
    b.resistor("load", out, reference, 1.8);
    b.resistor("R1", out, fb, 20e3);
    b.resistor("R2", fb, reference, 10e3);
    for (const auto& [role, node] :
         {std::pair{"supply", vin}, {"drain", vin}, {"source", sw}, {"feedback", fb}}) {
        b.wiring.pins[role] = node;
    }
    b.wiring.numbers = {{"synchronous", 1.0}, {"on_resistance", 0.1}};
    const ProbeId probe = n.probe_voltage("out", out, reference);
    Played run(b, "buck, synchronous, integrated switch");
    run.to(3e-3);
    EXPECT_NEAR(run.value(probe), 0.6 * 3.0, 0.02 * 1.8);
}

TEST(EngineLowVoltageBoost, HoldsItsFeedbackAtTheReference) {
    Board b;
    Network& n = b.n;
    const NodeId vin = n.node("vin"), sw = n.node("sw"), out = n.node("out"), fb = n.node("fb");
    n.add("input", vin, reference, VoltageSource{Constant{5.0}});
    n.add("L1", vin, sw, Winding{10e-6, 0.05});
    b.diode("D1", sw, out, 0.35, 0.05);
    b.capacitor("Csw", sw, reference, 100e-12);
    b.resistor("Rsw", vin, sw, 2e3);
    b.capacitor("Co", out, reference, 22e-6, 4.6);
    b.resistor("load", out, reference, 60.0);
    b.resistor("R1", out, fb, 190e3);
    b.resistor("R2", fb, reference, 10e3);
    for (const auto& [role, node] : {std::pair{"supply", vin}, {"drain", sw}, {"feedback", fb}}) {
        b.wiring.pins[role] = node;
    }
    const ProbeId probe = n.probe_voltage("out", out, reference);
    Played run(b, "boost, integrated switch");
    run.to(5e-3);
    EXPECT_NEAR(run.value(probe), 0.6 * 20.0, 0.02 * 12.0);
    EXPECT_TRUE(run.told("regulating"));
}

// ---- a table of thresholds ----

TEST(EngineThresholdTable, ChargesAnOutputUpToItsFeedbackReference) {
    // A boost of 2 µs on and 3 µs off that waits while the output is above 12 V.
    Board b;
    Network& n = b.n;
    const NodeId vin = n.node("vin"), sw = n.node("sw"), out = n.node("out"), fb = n.node("fb");
    n.add("input", vin, reference, VoltageSource{Constant{5.0}});
    n.add("L1", vin, sw, Winding{22e-6, 0.05});
    b.diode("D1", sw, out, 0.35, 0.05);
    b.resistor("Rsw", vin, sw, 2e3);
    b.capacitor("Co", out, reference, 10e-6, 4.6);
    b.resistor("load", out, reference, 240.0);
    b.resistor("R1", out, fb, 86e3);
    b.resistor("R2", fb, reference, 10e3);
    b.transistor(sw, reference, 0.1);
    b.wiring.pins["supply"] = vin;
    b.wiring.pins["feedback"] = fb;
    b.wiring.numbers = {{"start", 4.0},
                        {"stop", 3.0},
                        {"on_time", 2e-6},
                        {"off_time", 3e-6},
                        {"feedback_reference", 1.25}};
    const ProbeId probe = n.probe_voltage("out", out, reference);
    Played run(b, "unknown");
    run.to(5e-3);
    EXPECT_TRUE(run.told("regulating"));
    EXPECT_NEAR(run.value(probe), 1.25 * 9.6, 0.2);
}

}  // namespace
}  // namespace etchback::behaviour
