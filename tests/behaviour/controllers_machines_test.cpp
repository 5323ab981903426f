// The machines on a stage, with plants written by hand.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <random>

#include "behaviour/controllers_stage.h"

namespace etchback::behaviour {
namespace {

struct Built {
    Network network;
    std::unique_ptr<Machine> machine;
};

// A controller of `family` with its pins on nets of their own and an outer transistor.
std::unique_ptr<Built> build(std::string_view family,
                             std::vector<std::string> roles,
                             std::map<std::string, double> numbers) {
    auto built = std::make_unique<Built>();
    ControllerWiring wiring;
    wiring.part = "U1";
    wiring.pins["return"] = reference;
    for (const std::string& role : roles) {
        wiring.pins[role] = built->network.node(role);
    }
    wiring.numbers = std::move(numbers);
    const NodeId drain = built->network.node("D");
    wiring.switch_node = drain;
    wiring.power_switch =
        built->network.add_switch("Q1", drain, reference, Switch{1.0, 1e-9, false});
    auto made = make_controller(built->network, *find_family(families(), family), wiring);
    EXPECT_TRUE(made) << base::to_string(made.errors().front());
    built->machine = std::move(*made);
    return built;
}

constexpr const char* flyback_cc = "flyback, boundary mode, primary-side constant current";
constexpr const char* flyback_ff = "flyback, fixed frequency, optocoupler";

// ---- supply ----

// A supply capacitor of 10 µF, charged through a start resistor.
Stage::Plant start_resistor(double amps) {
    return [amps](Stage& stage, double dt) {
        double& v = stage.probe["supply"];
        v = std::max(0.0, v + dt * (amps - stage.knob("U1 supply current")) / 10e-6);
        stage.probe["feedback"] = 0.0;
    };
}

TEST(ControllerSupply, HiccupsWhereNothingTakesOverFromTheStartResistor) {
    const auto built = build(flyback_ff,
                             {"supply", "sense", "feedback"},
                             {{"start", 16.0}, {"stop", 9.0}, {"operating_current", 1e-3}});
    Stage stage(built->network, std::move(built->machine), start_resistor(0.2e-3));
    stage.begin();
    stage.run_to(2.0, 1e-4);
    // Up: 16 V at 190 µA is 0.842 s, then 7 V at 0.8 mA down (87 ms) and at 190 µA up (368 ms).
    std::vector<std::string> keys;
    for (const StoryLine& line : stage.story) {
        if (line.key != "burst_begin") {
            keys.push_back(line.key);
        }
    }
    EXPECT_EQ(keys,
              (std::vector<std::string>{"start_threshold",
                                        "stop_threshold",
                                        "restart",
                                        "stop_threshold",
                                        "restart",
                                        "stop_threshold"}));
    EXPECT_NEAR(stage.story.front().t_s, 0.8421, 1e-3);
    EXPECT_NEAR(stage.story.back().t_s, 0.8421 + 3 * 0.0875 + 2 * 0.3684, 3e-3);
}

TEST(ControllerSupply, WithoutACapacitorTriesNoMoreOftenThanItSettles) {
    const auto built = build(flyback_ff, {"supply", "sense", "feedback"}, {{"start", 16.0}});
    Stage stage(built->network, std::move(built->machine), [](Stage& s, double) {
        s.probe["supply"] = s.knob("U1 supply current") > 0.5e-3 ? 0.0 : 20.0;
    });
    stage.begin();
    stage.run_to(10e-3, 1e-6);
    EXPECT_TRUE(stage.told("restart"));
    EXPECT_LE(stage.story.size(), 400u);
}

TEST(ControllerSupply, StopsAtOverVoltageAndTriesAgainAfterItsRest) {
    const auto built =
        build(flyback_ff,
              {"supply", "sense", "feedback"},
              {{"start", 16.0}, {"stop", 9.0}, {"over_voltage", 25.0}, {"restart_time", 0.5}});
    Stage stage(built->network, std::move(built->machine), [](Stage& s, double) {
        s.probe["supply"] = s.now_s() < 1e-3 ? 20.0 : s.now_s() < 0.3 ? 26.0 : 20.0;
        s.probe["feedback"] = 3.0;
        s.probe["sense"] = s.closed("Q1") ? 2.0 : 0.0;
    });
    stage.begin();
    stage.run_to(0.6, 1e-6);
    EXPECT_TRUE(stage.told("over_voltage"));
    ASSERT_TRUE(stage.told("restart"));
    const auto restart = std::find_if(stage.story.begin(), stage.story.end(), [](const auto& line) {
        return line.key == "restart";
    });
    EXPECT_NEAR(restart->t_s, 0.501 + 100e-6, 1e-5);  // after settling
}

TEST(ControllerSupply, LatchedProtectionHoldsUntilTheSupplyIsGone) {
    const auto built =
        build(flyback_ff,
              {"supply", "sense", "feedback"},
              {{"start", 16.0}, {"stop", 9.0}, {"over_voltage", 25.0}, {"latched", 1.0}});
    Stage stage(built->network, std::move(built->machine), [](Stage& s, double) {
        const double t = s.now_s();
        s.probe["supply"] = t < 1e-3 ? 26.0 : t < 3.0 ? 8.0 : t < 3.5 ? 20.0 : t < 4.0 ? 3.0 : 20.0;
        s.probe["feedback"] = 0.0;
    });
    stage.begin();
    stage.run_to(3.9, 1e-3);
    EXPECT_TRUE(stage.told("over_voltage"));
    EXPECT_FALSE(stage.told("restart"));
    stage.run_to(4.1, 1e-3);
    EXPECT_TRUE(stage.told("restart"));
}

TEST(ControllerSupply, StaysOffWhereItIsTooHot) {
    const auto built =
        build(flyback_ff, {"supply", "sense", "feedback"}, {{"junction_temperature", 170.0}});
    Stage stage(built->network, std::move(built->machine), [](Stage& s, double) {
        s.probe["supply"] = 20.0;
        s.probe["feedback"] = 3.0;
    });
    stage.begin();
    stage.run_to(0.01, 1e-5);
    EXPECT_TRUE(stage.told("over_temperature"));
    EXPECT_EQ(stage.counted["cycle"], 0);
}

// ---- boundary mode ----

// An ideal flyback: primary current, plateau, then a ring of the switch node.
struct IdealFlyback {
    double vin = 300.0, henry = 1.4e-3, reflected = 96.0, sense_ohm = 1.0, farad = 150e-12;
    double comp_farad = 0.05e-6;
    double amps = 0.0, ring_s = 0.0, comp_v = 0.0, supply_v = 18.0;
    double detect_share = 0.0;  // volts at the detection pin for each reflected volt
    bool dead = false;          // the switch node shows nothing
    double out_c = 0.0;         // charge into the output, seen from the primary

    void operator()(Stage& stage, double dt) {
        const bool on = stage.closed("Q1");
        const double w = 1.0 / std::sqrt(henry * farad);
        double node = 0.0, slope = 0.0;
        if (on) {
            amps += dt * vin / henry;
            ring_s = 0.0;
        } else if (amps > 0.0) {
            out_c += dt * (amps - 0.5 * dt * reflected / henry);
            amps = std::max(0.0, amps - dt * reflected / henry);
            node = vin + reflected;
            slope = -1e5;
        } else {
            ring_s += dt;
            const double fade = std::exp(-ring_s / 20e-6);
            node = vin + reflected * fade * std::cos(w * ring_s);
            slope = -reflected * fade * w * std::sin(w * ring_s);
        }
        comp_v =
            std::clamp(comp_v + dt * stage.knob("U1 compensation current") / comp_farad, 0.0, 4.5);
        if (stage.closed("U1 compensation reset")) {
            comp_v = 0.0;
        }
        stage.probe["sense"] = on ? amps * sense_ohm : 0.0;
        stage.probe["supply"] = supply_v;
        stage.probe["compensation"] = comp_v;
        stage.probe["switch node"] = dead ? 0.0 : node;
        stage.probe["switch node slope"] = dead ? 0.0 : slope;
        stage.probe["detection"] = on ? 0.0 : detect_share * (node - vin);
        stage.probe["detection slope"] = on ? 0.0 : detect_share * slope;
    }
};

double mean_output_a(IdealFlyback& plant, std::map<std::string, double> numbers, bool divided) {
    std::vector<std::string> roles = {"supply", "sense", "compensation"};
    if (divided) {
        roles.push_back("detect");
    }
    const auto built = build(flyback_cc, roles, std::move(numbers));
    Stage stage(built->network, std::move(built->machine), std::ref(plant));
    stage.begin();
    stage.run_to(0.015, 20e-9);
    const double before = plant.out_c;
    stage.run_to(0.02, 20e-9);
    const double amps = (plant.out_c - before) / 0.005;
    EXPECT_GT(stage.counted["valley"], 100);
    stage.run_to(0.045, 50e-9);  // it is told after a slow mean
    EXPECT_TRUE(stage.told("regulating"));
    return amps;
}

TEST(BoundaryFlyback, HoldsHalfTheReferenceOverTheSenseResistorAtTheSwitchNode) {
    for (const double vin : {150.0, 320.0}) {
        IdealFlyback plant;
        plant.vin = vin;
        // I = n Vref / (2 Rs); here seen from the primary, n = 1.
        EXPECT_NEAR(mean_output_a(plant, {{"current_reference", 0.3}}, false), 0.15, 0.0015) << vin;
    }
}

TEST(BoundaryFlyback, HoldsTheSameWithADetectionPin) {
    IdealFlyback plant;
    plant.detect_share = 0.02;
    EXPECT_NEAR(mean_output_a(plant, {{"current_reference", 0.3}}, true), 0.15, 0.0015);
}

TEST(BoundaryFlyback, GivesLessWhereItIsHot) {
    IdealFlyback plant;
    const double amps = mean_output_a(plant,
                                      {{"current_reference", 0.3},
                                       {"junction_temperature", 145.0},
                                       {"foldback_start", 135.0},
                                       {"foldback_slope", 0.03}},
                                      false);
    EXPECT_NEAR(amps, 0.15 * 0.7, 0.0015);
}

TEST(BoundaryFlyback, LeavesTheStartToTheTimerWhereNothingIsSeen) {
    IdealFlyback plant;
    plant.dead = true;
    const auto built =
        build(flyback_cc, {"supply", "sense", "compensation"}, {{"restart_timer", 50e-6}});
    Stage stage(built->network, std::move(built->machine), std::ref(plant));
    stage.begin();
    stage.run_to(2e-3, 20e-9);
    EXPECT_TRUE(stage.told("restart_timer"));
    EXPECT_EQ(stage.counted["valley"], 0);
    EXPECT_NEAR(stage.counted["restart_timer"], 39, 1);
}

TEST(BoundaryFlyback, EndsACycleAtItsCurrentLimit) {
    IdealFlyback plant;
    plant.henry = 0.2e-3;  // 1 A after 0.67 µs
    const auto built = build(flyback_cc,
                             {"supply", "sense", "compensation"},
                             {{"minimum_on_time", 5e-6}, {"current_limit", 1.0}});
    double peak = 0.0;
    Stage stage(built->network, std::move(built->machine), [&](Stage& s, double dt) {
        plant(s, dt);
        peak = std::max(peak, s.probe["sense"]);
    });
    stage.begin();
    stage.run_to(1e-3, 5e-9);
    EXPECT_TRUE(stage.told("current_limit"));
    // 100 ns of delay at 1.5 A/µs.
    EXPECT_NEAR(peak, 1.15, 0.02);
}

TEST(BoundaryFlyback, StopsAtOverVoltageOfItsDetectionPin) {
    IdealFlyback plant;
    plant.detect_share = 4.0 / 96.0;
    const auto built = build(flyback_cc,
                             {"supply", "sense", "compensation", "detect"},
                             {{"detect_over_voltage", 3.2}, {"minimum_on_time", 3e-6}});
    Stage stage(built->network, std::move(built->machine), std::ref(plant));
    stage.begin();
    stage.run_to(1e-3, 10e-9);
    EXPECT_TRUE(stage.told("over_voltage"));
    EXPECT_EQ(stage.counted["cycle"], 1);
    EXPECT_FALSE(stage.closed("Q1"));
    EXPECT_TRUE(stage.closed("U1 compensation reset"));
}

TEST(BoundaryFlyback, StopsAfterAWhileOfShortedOutput) {
    IdealFlyback plant;
    plant.reflected = 1.0;  // as good as shorted: the winding never runs empty
    const auto built =
        build(flyback_cc, {"supply", "sense", "compensation"}, {{"short_output_time", 5e-3}});
    Stage stage(built->network, std::move(built->machine), std::ref(plant));
    stage.begin();
    stage.run_to(20e-3, 50e-9);
    EXPECT_TRUE(stage.told("short_output"));
    EXPECT_FALSE(stage.closed("Q1"));
}

TEST(BoundaryFlyback, CallsNothingShortedWhereNoCurrentFlows) {
    const auto built =
        build(flyback_cc, {"supply", "sense", "compensation"}, {{"short_output_time", 5e-3}});
    Stage stage(built->network, std::move(built->machine), [](Stage& s, double) {
        s.probe["supply"] = 18.0;  // the transistor's gate is open: the switch node rests at 300 V
        s.probe["switch node"] = 300.0;
    });
    stage.begin();
    stage.run_to(20e-3, 1e-6);
    EXPECT_GT(stage.counted["restart_timer"], 100);
    EXPECT_FALSE(stage.told("short_output"));
    EXPECT_FALSE(stage.told("regulating"));
}

TEST(BoundaryFlyback, BearsAnOutputThatIsLowOnlyNowAndThen) {
    IdealFlyback plant;
    const auto built =
        build(flyback_cc, {"supply", "sense", "compensation"}, {{"short_output_time", 5e-3}});
    Stage stage(built->network, std::move(built->machine), [&](Stage& s, double dt) {
        // As good as shorted for 2 ms of every 6 ms.
        plant.reflected = std::fmod(s.now_s(), 6e-3) < 2e-3 ? 1.0 : 96.0;
        plant(s, dt);
    });
    stage.begin();
    stage.run_to(20e-3, 50e-9);
    EXPECT_TRUE(stage.told("restart_timer"));
    EXPECT_FALSE(stage.told("short_output"));
}

TEST(BoundaryBuck, TurnsOffAtItsThresholdAndStopsWhereDemagnetisationIsShort) {
    for (const double out_v : {80.0, 400.0}) {
        IdealFlyback plant;
        plant.henry = 2e-3;
        plant.vin = 300.0;
        plant.reflected = out_v;
        plant.sense_ohm = 1.0;
        const auto built = build("buck, boundary mode, constant current",
                                 {"supply", "sense"},
                                 {{"current_reference", 0.4},
                                  {"over_voltage_demagnetisation", 4e-6},
                                  {"delay_to_output", 0.0}});
        Stage stage(built->network, std::move(built->machine), std::ref(plant));
        stage.begin();
        stage.run_to(2e-3, 10e-9);
        // 2 mH at 0.4 A runs empty in 10 µs at 80 V and in 2 µs at 400 V.
        EXPECT_EQ(stage.told("over_voltage"), out_v > 200.0) << out_v;
        EXPECT_EQ(stage.counted["cycle"] > 50, out_v < 200.0) << out_v;
    }
}

// ---- clocked ----

// A coil that starts each cycle at no current (discontinuous).
struct Ramp {
    double amps_per_s = 0.2e6, feedback = 3.0, supply_v = 18.0;
    double amps = 0.0, peak = 0.0, on_s = 0.0;
    std::vector<double> peaks, on_at;
    bool was_on = false;
    void operator()(Stage& stage, double dt) {
        const bool on = stage.closed("Q1");
        if (on && was_on) {
            amps += dt * amps_per_s;
        }
        if (!on && was_on) {
            peaks.push_back(amps);
        }
        if (on && !was_on) {
            amps = 0.0;
            on_at.push_back(stage.now_s());
        }
        was_on = on;
        stage.probe["sense"] = on ? amps : 0.0;
        stage.probe["supply"] = supply_v;
        stage.probe["feedback"] = feedback;
    }
};

TEST(FixedFrequencyFlyback, ComparesTheSenseWithAThirdOfTheFeedbackLessTheSlope) {
    Ramp plant;
    plant.feedback = 2.1;
    const auto built = build(flyback_ff,
                             {"supply", "sense", "feedback"},
                             {{"slope_compensation", 20e3},
                              {"delay_to_output", 0.0},
                              {"soft_start", 0.0},
                              {"switching_frequency", 65e3}});
    Stage stage(built->network, std::move(built->machine), std::ref(plant));
    stage.begin();
    stage.run_to(1e-3, 5e-9);
    // 0.2 V/µs meets 0.7 V - 0.02 V/µs at 0.7/0.22 µs.
    ASSERT_GT(plant.peaks.size(), 10u);
    EXPECT_NEAR(plant.peaks.back(), 0.2 * 0.7 / 0.22, 0.003);
    EXPECT_NEAR(plant.on_at[9] - plant.on_at[8], 1.0 / 65e3, 1e-9);
    EXPECT_TRUE(stage.told("regulating"));
}

TEST(FixedFrequencyFlyback, SlowsItsClockAndSkipsAtLowDemand) {
    Ramp plant;
    plant.feedback = 1.6;
    const auto built = build(flyback_ff,
                             {"supply", "sense", "feedback"},
                             {{"soft_start", 0.0},
                              {"switching_frequency", 65e3},
                              {"lowest_frequency", 25e3},
                              {"burst_enter", 1.0},
                              {"burst_exit", 1.2},
                              {"full_frequency", 2.0}});
    Stage stage(built->network, std::move(built->machine), std::ref(plant));
    stage.begin();
    stage.run_to(1e-3, 20e-9);
    EXPECT_NEAR(plant.on_at[9] - plant.on_at[8], 1.0 / 45e3, 1e-9);
    plant.feedback = 0.9;
    stage.run_to(2e-3, 20e-9);
    const auto cycles = stage.counted["cycle"];
    EXPECT_TRUE(stage.told("burst_begin"));
    plant.feedback = 1.1;
    stage.run_to(3e-3, 20e-9);
    EXPECT_EQ(stage.counted["cycle"], cycles);
    plant.feedback = 1.25;
    stage.run_to(4e-3, 20e-9);
    EXPECT_GT(stage.counted["cycle"], cycles + 20);
    EXPECT_TRUE(stage.told("burst_end"));
}

TEST(FixedFrequencyFlyback, KeepsSilentAboutADemandThatHasYetToComeUp) {
    Ramp plant;
    const auto built = build(flyback_ff, {"supply", "sense", "feedback"}, {{"soft_start", 0.0}});
    Stage stage(built->network, std::move(built->machine), [&](Stage& s, double dt) {
        plant.feedback = std::min(3.0, s.now_s() * 1e5);
        plant(s, dt);
    });
    stage.begin();
    stage.run_to(1e-3, 50e-9);
    EXPECT_FALSE(stage.told("burst_begin"));
    EXPECT_FALSE(stage.told("burst_end"));
    EXPECT_NEAR(stage.story[1].t_s, 12e-6, 1e-6);  // first pulse, at 1.2 V
}

TEST(FixedFrequencyFlyback, RaisesItsLimitSoftlyThenStopsAtAnOverload) {
    Ramp plant;
    plant.feedback = 4.8;
    const auto built = build(flyback_ff,
                             {"supply", "sense", "feedback"},
                             {{"current_limit", 0.85},
                              {"delay_to_output", 0.0},
                              {"soft_start", 4e-3},
                              {"overload_time", 20e-3},
                              {"switching_frequency", 65e3}});
    Stage stage(built->network, std::move(built->machine), std::ref(plant));
    stage.begin();
    stage.run_to(30e-3, 20e-9);
    EXPECT_NEAR(plant.peaks.front(), 0.25 * 0.85, 0.01);
    EXPECT_NEAR(plant.peaks[130], 0.85 * (0.25 + 0.75 * 0.5), 0.01);
    EXPECT_NEAR(plant.peaks[plant.peaks.size() - 2], 0.85, 0.01);
    EXPECT_TRUE(stage.told("soft_start_done"));
    EXPECT_TRUE(stage.told("current_limit"));
    ASSERT_TRUE(stage.told("overload"));
    EXPECT_NEAR(stage.story.back().t_s, 24e-3, 1e-4);
    EXPECT_FALSE(stage.closed("Q1"));
}

TEST(FixedFrequencyFlyback, EndsACycleAtItsLargestDuty) {
    Ramp plant;
    plant.amps_per_s = 1e3;
    const auto built = build(
        flyback_ff, {"supply", "sense", "feedback"}, {{"soft_start", 0.0}, {"maximum_duty", 0.75}});
    double on_s = 0.0;
    Stage stage(built->network, std::move(built->machine), [&](Stage& s, double dt) {
        on_s += s.closed("Q1") ? dt : 0.0;
        plant(s, dt);
    });
    stage.begin();
    stage.run_to(10e-3, 50e-9);
    EXPECT_NEAR(on_s / 10e-3, 0.75, 0.002);
    EXPECT_GT(stage.counted["maximum_duty"], 600);
}

// ---- table ----

TEST(ThresholdTable, TurnsOnAfterItsOffTimeAndWaitsForTheFeedback) {
    Ramp plant;
    plant.feedback = 1.0;
    const auto built = build("unknown",
                             {"supply", "sense", "feedback"},
                             {{"start", 10.0},
                              {"stop", 8.0},
                              {"on_time", 2e-6},
                              {"off_time", 8e-6},
                              {"feedback_reference", 1.25}});
    Stage stage(built->network, std::move(built->machine), std::ref(plant));
    stage.begin();
    stage.run_to(1e-3, 50e-9);
    EXPECT_NEAR(stage.counted["cycle"], 100, 1);
    plant.feedback = 1.3;
    stage.run_to(2e-3, 50e-9);
    EXPECT_NEAR(stage.counted["cycle"], 100, 1);
    EXPECT_TRUE(stage.told("regulating"));
    plant.feedback = 1.2;
    stage.run_to(3e-3, 50e-9);
    EXPECT_NEAR(stage.counted["cycle"], 200, 2);
}

TEST(ThresholdTable, EndsAPulseAtItsCurrentLimit) {
    Ramp plant;
    const auto built = build("unknown",
                             {"supply", "sense"},
                             {{"start", 10.0},
                              {"stop", 8.0},
                              {"frequency", 100e3},
                              {"current_limit", 0.5},
                              {"delay_to_output", 0.0}});
    Stage stage(built->network, std::move(built->machine), std::ref(plant));
    stage.begin();
    stage.run_to(1e-3, 10e-9);
    EXPECT_NEAR(plant.peaks.back(), 0.5, 0.005);
    EXPECT_NEAR(stage.counted["current_limit"], 100, 1);
}

// ---- all ----

TEST(EveryMachine, ItsCloneGoesOnAsItWouldHave) {
    const auto built = build(flyback_cc, {"supply", "sense", "compensation"}, {});
    IdealFlyback plant;
    Stage stage(built->network, std::move(built->machine), std::ref(plant));
    stage.begin();
    stage.run_to(1.0003e-3, 10e-9);
    const auto run_on = [&](std::unique_ptr<Machine> machine) {
        // The same machine state on the same stage state gives the same calls.
        IdealFlyback copy = plant;
        Stage other(built->network, std::move(machine), std::ref(copy));
        copy(other, 0.0);
        std::vector<double> seen;
        for (int i = 0; i < 3; ++i) {
            other.machine().alarm(other, i);
            other.machine().crossed(other, 6 + i);
            seen.push_back(other.knob("U1 compensation current"));
            seen.push_back(other.closed("Q1") ? 1.0 : 0.0);
        }
        return seen;
    };
    const auto first = run_on(stage.machine().clone());
    const auto second = run_on(stage.machine().clone());
    EXPECT_EQ(first, second);
}

TEST(EveryMachine, BearsEventsInAnyOrderAndRestsWithItsSwitchOpen) {
    // With every pin on a net, and with no more than are needed.
    for (const bool all : {true, false}) {
        for (const Family& family : families()) {
            Network network;
            ControllerWiring wiring;
            wiring.part = "U1";
            for (const auto& [role, names] : family.pins) {
                const bool needed =
                    std::count(family.needed.begin(), family.needed.end(), role) > 0;
                if (all || needed) {
                    wiring.pins[role] = role == "return" ? reference : network.node(role);
                }
            }
            wiring.numbers = {{"on_time", 1e-6}, {"latched", 0.0}};
            if (family.behaviour == "threshold table") {
                wiring.numbers.insert({{"start", 10.0}, {"stop", 8.0}, {"off_time", 5e-6}});
            }
            auto made = make_controller(network, family, wiring);
            if (!made && !all) {
                continue;  // it needs a switch or a sense pin, and says so
            }
            ASSERT_TRUE(made) << family.family;
            Stage stage(network, std::move(*made), [](Stage&, double) {});
            std::mt19937 random(7);
            const auto number = [&](double low, double high) {
                return low + (high - low) * static_cast<double>(random() % 10001) / 1e4;
            };
            stage.probe["supply"] = 20.0;
            stage.begin();
            for (int i = 0; i < 10000; ++i) {
                stage.probe["supply"] = number(9.0, 22.0);
                stage.probe["enable"] = number(0.0, 3.0);
                stage.probe["sense"] = number(-0.1, 1.2);
                stage.probe["switch node"] = number(0.0, 500.0);
                stage.probe["switch node slope"] = number(-1e9, 1e9);
                stage.probe["detection"] = number(-3.0, 3.0);
                stage.probe["feedback"] = number(0.0, 5.0);
                stage.run_to(stage.now_s() + number(0.0, 4e-6), 1e-6);
                stage.machine().crossed(stage, static_cast<int>(random() % 16));
                stage.machine().alarm(stage, static_cast<int>(random() % 12));
            }
            stage.probe["supply"] = 1.0;
            stage.run_to(stage.now_s() + 3.0, 0.1);
            EXPECT_FALSE(stage.closed("U1 switch")) << family.family;
            EXPECT_LT(stage.story.size(), 100000u);
        }
    }
}

}  // namespace
}  // namespace etchback::behaviour
