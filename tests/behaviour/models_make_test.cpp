// Making models: every kind, faults, overrides, complaints, and the table of devices.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "behaviour/detail/model_parts.h"
#include "behaviour/models_stage.h"

namespace etchback::behaviour {
namespace {

using base::Unit;
using test::bench;
using test::Bench;
using test::supply;
using test::with;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
namespace make = test::make;

const Branch* branch(const Model& model, std::string_view name) {
    for (const Branch& each : model.network.branches()) {
        if (each.name == name) {
            return &each;
        }
    }
    return nullptr;
}

// --- every kind of the catalogue ---

// Kinds that only join nets, feed the circuit or are simulated by controllers.cpp.
bool adds_nothing_itself(const parts::Kind& kind) {
    return kind.family == "source" || kind.family == "connector" || kind.family == "test_point" ||
           kind.family == "earth" || kind.id == "controller";
}

std::string usual_value(const parts::Kind& kind) {
    switch (kind.value_unit) {
        case Unit::ohm:
            return "100";
        case Unit::farad:
            return "1u";
        case Unit::henry:
            return "1m";
        case Unit::volt:
            return "5";
        case Unit::ampere:
            return "1";
        case Unit::watt:
            return "10";
        default:
            return "";
    }
}

TEST(EveryKind, IsModelledOrLeftOutWithWords) {
    for (const parts::Kind& kind : make::catalogue().kinds()) {
        if (adds_nothing_itself(kind)) {
            continue;
        }
        SCOPED_TRACE(kind.id);
        make::Pins pins;
        const std::vector<std::string> nets = {"VIN", "GND", "A", "B", "C"};
        for (std::size_t p = 0; p < kind.pins.size(); ++p) {
            pins.emplace_back(kind.pins[p].name, nets[p]);
        }
        if (kind.pins.empty()) {
            pins = {{"1", "VIN"}, {"2", "GND"}, {"3", "A"}, {"4", "GND"}};
        }
        const std::string value = usual_value(kind);
        dossier::Part part = value.empty() ? make::part("X1", kind.id, pins)
                                           : make::part("X1", kind.id, value, pins);
        if (kind.family == "transformer") {
            part.windings = {make::winding("one", {"1", "2"}), make::winding("two", {"3", "4"})};
            part.windings[0].turns.emplace().value = 10;
            part.windings[1].turns.emplace().value = 5;
        }
        const auto dossier = bench({supply("J1", "12 V", "VIN", "GND"),
                                    part,
                                    make::r("R1", "1k", "A", "GND"),
                                    make::r("R2", "1k", "B", "GND"),
                                    make::r("R3", "1k", "C", "GND")});
        const auto made = test::try_model(dossier);
        ASSERT_TRUE(made) << test::all_of(made.errors());
        const bool modelled = std::any_of(
            made->network.branches().begin(), made->network.branches().end(), [&](const Branch& b) {
                return b.name == "X1" || b.name.starts_with("X1.");
            });
        const bool told = std::any_of(made->left_out.begin(),
                                      made->left_out.end(),
                                      [](const std::string& s) { return s.starts_with("X1:"); });
        EXPECT_TRUE(modelled || told);
        // It runs for a while whatever it is.
        auto machines = std::vector<std::unique_ptr<Machine>>();
        for (const auto& each : made->machines) {
            machines.push_back(each->clone());
        }
        auto simulation = Simulation::make(made->network, std::move(machines));
        ASSERT_TRUE(simulation) << test::all_of(simulation.errors());
        EXPECT_EQ((*simulation).run_to(1e-3), Ending::reached)
            << test::all_of((*simulation).trouble());
    }
}

// --- what is assumed, what can be varied ---

TEST(Model, ListsWhatItAssumesWithRangeAndSource) {
    const auto model = test::model(bench({supply("J1", "12 V", "VIN", "GND"),
                                          make::diode("D1", "VIN", "OUT"),
                                          make::r("R1", "1k", "OUT", "GND")}));
    const auto it = std::find_if(model.assumed.begin(), model.assumed.end(), [](const Assumed& a) {
        return a.part == "D1" && a.parameter == "junction capacitance";
    });
    ASSERT_NE(it, model.assumed.end());
    EXPECT_DOUBLE_EQ(it->value.value, 15e-12);
    EXPECT_LT(it->value.low, it->value.value);
    EXPECT_GT(it->value.high, it->value.value);
    EXPECT_THAT(it->source, HasSubstr("common practice"));
}

TEST(Model, TakesARowOfTheBodyBeforeOneOfTheKind) {
    auto diode = make::diode("D1", "VIN", "OUT");
    diode.body.value = "SOD-123";
    const auto model = test::model(
        bench({supply("J1", "12 V", "VIN", "GND"), diode, make::r("R1", "1k", "OUT", "GND")}));
    EXPECT_DOUBLE_EQ(std::get<Capacitance>(branch(model, "D1.junction")->element).farad, 3e-12);
}

TEST(Model, TakesTheDossiersPropertyBeforeAnyRow) {
    const auto model =
        test::model(bench({supply("J1", "12 V", "VIN", "GND"),
                           with(make::electrolytic("C1", "VIN", "GND"), "esr", 0.7, Unit::ohm)}));
    EXPECT_DOUBLE_EQ(std::get<Conductance>(branch(model, "C1.series resistance")->element).siemens,
                     1 / 0.7);
    for (const Assumed& each : model.assumed) {
        EXPECT_FALSE(each.part == "C1" && each.parameter == "esr");
    }
}

TEST(Model, GivesParametersTheirTolerance) {
    auto r = make::r("R1", "1k", "VIN", "GND");
    r.tolerance.emplace().value = base::Quantity::of(1, Unit::percent);
    const auto model = test::model(bench({supply("J1", "12 V", "VIN", "GND"), r}));
    const auto it =
        std::find_if(model.parameters.begin(), model.parameters.end(), [](const Parameter& p) {
            return p.part == "R1" && p.name == "value";
        });
    ASSERT_NE(it, model.parameters.end());
    EXPECT_DOUBLE_EQ(it->low, 990.0);
    EXPECT_DOUBLE_EQ(it->high, 1010.0);
    EXPECT_FALSE(it->assumed);
}

TEST(Model, SaysThatAShortedSupplyIsShorted) {
    dossier::Part mains = make::part("J1", "mains", {{"L", "A"}, {"N", "A"}});
    const auto dossier = bench({mains, make::r("R1", "1k", "A", "B")});
    const auto made = test::try_model(dossier);
    ASSERT_FALSE(made);
    EXPECT_NE(test::all_of(made.errors()).find("the supply is shorted"), std::string::npos);
}

TEST(Model, ReplacesValuesAndRefusesUnknownNames) {
    const auto dossier =
        bench({supply("J1", "12 V", "VIN", "GND"), make::r("R1", "1k", "VIN", "GND")});
    ModelOptions options;
    options.values["R1.value"] = 2000;
    EXPECT_DOUBLE_EQ(
        std::get<Conductance>(branch(test::model(dossier, options), "R1")->element).siemens,
        1.0 / 2000);
    options.values["R1.valve"] = 1;
    const auto made = test::try_model(dossier, options);
    ASSERT_FALSE(made);
    EXPECT_THAT(test::all_of(made.errors()), HasSubstr("'R1.valve'"));
}

TEST(Model, LeavesOutCapacitorsThatDoNothing) {
    const auto model = test::model(bench({supply("J1", "12 V", "VIN", "GND"),
                                          make::r("R1", "1k", "VIN", "GND"),
                                          make::c("C1", "10p", "VIN", "GND")}));
    EXPECT_EQ(branch(model, "C1"), nullptr);
    EXPECT_THAT(model.left_out, Contains(HasSubstr("C1")));
}

TEST(Model, TakesLimitsFromDossierTypeAndBody) {
    auto diode = make::diode("D1", "VIN", "OUT");
    diode.type.value = "1N4007";
    auto r = make::r("R1", "1k", "OUT", "GND");
    r.body.value = "1206";
    auto c = make::c("C1", "100n", "OUT", "GND");
    c.rated_voltage.emplace().value = base::Quantity::of(50, Unit::volt);
    const auto model = test::model(bench({supply("J1", "12 V", "VIN", "GND"), diode, r, c}));
    const auto rating = [&](const std::string& part, Limit::Kind kind) {
        for (const Limit& limit : model.limits) {
            if (limit.part == part && limit.kind == kind) {
                return limit.rating.value_or(-1.0);
            }
        }
        return -2.0;
    };
    EXPECT_DOUBLE_EQ(rating("D1", Limit::Kind::peak_voltage), 1000.0);
    EXPECT_DOUBLE_EQ(rating("D1", Limit::Kind::mean_current), 1.0);
    EXPECT_DOUBLE_EQ(rating("R1", Limit::Kind::power), 0.25);
    EXPECT_DOUBLE_EQ(rating("C1", Limit::Kind::peak_voltage), 50.0);
}

// --- complaints ---

TEST(Model, AsksForASupply) {
    const auto made = test::try_model(bench({make::r("R1", "1k", "A", "B")}));
    ASSERT_FALSE(made);
    EXPECT_THAT(test::all_of(made.errors()), HasSubstr("nothing feeds the circuit"));
}

TEST(Model, AsksForAValueThatItCannotDoWithout) {
    const auto made =
        test::try_model(bench({supply("J1", "12 V", "VIN", "GND"),
                               make::part("R1", "resistor", {{"1", "VIN"}, {"2", "GND"}}),
                               make::part("C1", "capacitor", {{"1", "VIN"}, {"2", "GND"}})}));
    ASSERT_FALSE(made);
    EXPECT_THAT(test::all_of(made.errors()), HasSubstr("R1: it has no value"));
    EXPECT_THAT(test::all_of(made.errors()), HasSubstr("C1: it has no value"));
}

TEST(Model, RefusesNegativeValues) {
    ModelOptions options;
    options.values["R1.value"] = -5.0;
    const auto made = test::try_model(
        bench({supply("J1", "12 V", "VIN", "GND"), make::r("R1", "1k", "VIN", "GND")}), options);
    ASSERT_FALSE(made);
    EXPECT_THAT(test::all_of(made.errors()), HasSubstr("R1: its value is -5"));
}

TEST(Model, AsksForTheFamilyOfAController) {
    const auto made = test::try_model(
        bench({supply("J1", "12 V", "VIN", "GND"),
               make::part("U1", "controller", {{"VCC", "VIN"}, {"GND", "GND"}, {"DRV", "G"}}),
               make::r("R1", "1k", "VIN", "GND")}));
    ASSERT_FALSE(made);
    EXPECT_THAT(test::all_of(made.errors()), HasSubstr("U1: what sort of controller"));
    EXPECT_THAT(test::all_of(made.errors()), HasSubstr("flyback, fixed frequency, optocoupler"));
}

TEST(Model, TakesAConnectorOnLiveAndNeutralAsMains) {
    const auto dossier = bench(
        {make::part("J1", "connector", {{"1", "L"}, {"2", "N"}}), make::r("R1", "1k", "L", "N")},
        {make::note("L", "live"), make::note("N", "neutral")});
    const auto model = test::model(dossier);
    EXPECT_EQ(model.terminals.mains.size(), 1u);
    EXPECT_DOUBLE_EQ(model.terminals.mains_hz, 50.0);
}

TEST(Model, TiesAFloatingSideAndSaysSo) {
    dossier::Part t1 =
        make::part("T1", "transformer", {{"1", "L"}, {"2", "N"}, {"3", "S"}, {"4", "OUT-"}});
    t1.windings = {make::winding("primary", {"1", "2"}), make::winding("secondary", {"3", "4"})};
    t1.windings[0].turns.emplace().value = 100;
    t1.windings[1].turns.emplace().value = 10;
    const auto model =
        test::model(bench({make::mains("L", "N"), t1, make::r("R1", "1k", "S", "OUT-")},
                          {make::note("OUT-", "return")}));
    EXPECT_THAT(model.left_out, Contains(HasSubstr("OUT-: floats against")));
    EXPECT_NE(branch(model, "tie of OUT-"), nullptr);
}

// --- faults ---

dossier::Dossier divider() {
    return bench({supply("J1", "10 V", "VIN", "GND"),
                  make::r("R1", "1k", "VIN", "OUT"),
                  make::r("R2", "1k", "OUT", "GND"),
                  make::c("C1", "1n", "OUT", "GND")});
}

Fault fault(Fault::Kind kind,
            const std::string& part,
            const std::string& pin = "",
            const std::string& other = "") {
    return {kind, part, pin, other};
}

double divided(const Fault& f) {
    ModelOptions options;
    options.faults = {f};
    Bench run(divider(), options);
    return run.to(1e-3).volts("OUT");
}

TEST(Faults, OpenAndShortParts) {
    EXPECT_NEAR(divided(fault(Fault::Kind::open, "R2")), 10.0, 1e-3);
    EXPECT_NEAR(divided(fault(Fault::Kind::open, "R1")), 0.0, 1e-3);
    EXPECT_NEAR(divided(fault(Fault::Kind::shorted, "R1")), 10.0, 1e-2);
    EXPECT_NEAR(divided(fault(Fault::Kind::shorted, "C1")), 0.0, 1e-3);
}

TEST(Faults, LeaveALoadsTerminalsAtTheCircuit) {
    auto leds = make::part("LED1", "LED string", {{"+", "OUT"}, {"-", "GND"}});
    leds = with(with(leds, "count", 3), "forward_current", 0.02, Unit::ampere);
    ModelOptions options;
    options.faults = {fault(Fault::Kind::open, "LED1")};
    Bench run(
        bench({supply("J1", "20 V", "VIN", "GND"), make::r("R1", "470R", "VIN", "OUT"), leds}),
        options);
    run.to(1e-3);
    EXPECT_NEAR(run.simulation().value(run.model.terminals.loads[0].volts), 20.0, 1e-3);
    EXPECT_NEAR(run.simulation().value(run.model.terminals.loads[0].amps), 0.0, 1e-6);
}

TEST(Faults, BridgePins) {
    auto q = make::part("Q1", "NPN transistor", {{"B", "GND"}, {"C", "OUT"}, {"E", "GND"}});
    const auto dossier =
        bench({supply("J1", "10 V", "VIN", "GND"), make::r("R1", "1k", "VIN", "OUT"), q});
    EXPECT_NEAR(Bench(dossier).to(1e-3).volts("OUT"), 10.0, 1e-2);
    ModelOptions options;
    options.faults = {fault(Fault::Kind::bridged, "Q1", "collector", "emitter")};
    EXPECT_NEAR(Bench(dossier, options).to(1e-3).volts("OUT"), 0.0, 1e-2);
}

TEST(Faults, AreRefusedWhereTheySpeakOfNothing) {
    ModelOptions options;
    options.faults = {fault(Fault::Kind::open, "R9"),
                      fault(Fault::Kind::open, "R1", "gate"),
                      fault(Fault::Kind::bridged, "R1", "1")};
    const auto made = test::try_model(divider(), options);
    ASSERT_FALSE(made);
    const std::string all = test::all_of(made.errors());
    EXPECT_THAT(all, HasSubstr("'R9 open'"));
    EXPECT_THAT(all, HasSubstr("R1 has no pin 'gate'"));
    EXPECT_THAT(all, HasSubstr("has one end"));
}

TEST(Faults, SleepUntilTheirSwitchIsTurned) {
    ModelOptions options;
    options.dormant = {fault(Fault::Kind::open, "R2"), fault(Fault::Kind::shorted, "R2")};
    const auto model = test::model(divider(), options);
    ASSERT_EQ(model.dormant.size(), 2u);
    EXPECT_FALSE(model.dormant[0].faulty) << "an open switch opens the part";
    EXPECT_TRUE(model.dormant[1].faulty) << "a closed switch shorts it";
    const auto& switches = model.network.switches();
    const auto closed = [&](std::size_t f) {
        const BranchId id = switches[static_cast<std::size_t>(model.dormant[f].id.index)];
        return std::get<Switch>(model.network[id].element).closed;
    };
    EXPECT_TRUE(closed(0));
    EXPECT_FALSE(closed(1));
    Bench run(divider(), options);
    EXPECT_NEAR(run.to(1e-3).volts("OUT"), 5.0, 1e-3);
}

TEST(Faults, TakeTheDriveAwayWithTheGateResistor) {
    const auto dossier = test::read_dossier("examples/seedling-driver");
    ModelOptions options;
    options.faults = {fault(Fault::Kind::open, "R8")};
    const auto dead = test::model(dossier, options);
    EXPECT_THAT(dead.left_out, Contains(HasSubstr("Q1: the fault takes its drive away")));
    const auto* channel = branch(dead, "Q1.channel");
    ASSERT_NE(channel, nullptr);
    EXPECT_TRUE(std::holds_alternative<Curve>(channel->element)) << "it follows its own gate";
    options.faults.clear();
    options.dormant = {fault(Fault::Kind::open, "R8"), fault(Fault::Kind::shorted, "R8")};
    const auto sleeping = test::model(dossier, options);
    EXPECT_NE(branch(sleeping, "Q1.drive"), nullptr);
    EXPECT_FALSE(sleeping.dormant[0].faulty);
    EXPECT_NE(sleeping.dormant[0].id, sleeping.dormant[1].id)
        << "a shorted gate resistor takes nothing away";
}

// A controller, two followers and a resistor in front of a MOSFET; a boost converter, invented.
dossier::Dossier boost_with_followers() {
    auto u1 = make::part(
        "U1", "controller", {{"VCC", "VIN"}, {"GND", "GND"}, {"DRV", "DRV"}, {"CS", "SENSE"}});
    u1.thresholds["start"].value = base::Quantity::of(8, Unit::volt);
    u1.thresholds["stop"].value = base::Quantity::of(6, Unit::volt);
    u1.thresholds["frequency"].value = base::Quantity::of(50e3, Unit::hertz);
    u1.thresholds["current_limit"].value = base::Quantity::of(0.2, Unit::volt);
    return bench({supply("J1", "12 V", "VIN", "GND"),
                  u1,
                  make::part("Q2", "NPN transistor", {{"B", "DRV"}, {"C", "VIN"}, {"E", "PUSH"}}),
                  make::part("Q3", "PNP transistor", {{"B", "DRV"}, {"C", "GND"}, {"E", "PUSH"}}),
                  make::r("R1", "10R", "PUSH", "GATE"),
                  make::part("Q1", "NMOS", {{"G", "GATE"}, {"D", "SW"}, {"S", "SENSE"}}),
                  make::r("R2", "0R1", "SENSE", "GND"),
                  make::part("L1", "inductor", "100u", {{"1", "VIN"}, {"2", "SW"}}),
                  make::diode("D1", "SW", "OUT"),
                  make::c("C1", "1u", "OUT", "GND"),
                  make::r("R3", "100R", "OUT", "GND")},
                 {make::note("GND", "return")});
}

TEST(Drive, ReachesTheMosfetThroughFollowers) {
    const auto made = test::model(boost_with_followers());
    ASSERT_NE(branch(made, "Q1.channel"), nullptr);
    EXPECT_TRUE(std::holds_alternative<Switch>(branch(made, "Q1.channel")->element));
    EXPECT_EQ(branch(made, "Q2.transport"), nullptr);
    EXPECT_EQ(branch(made, "Q3.transport"), nullptr);
    Bench run(boost_with_followers());
    EXPECT_GT(run.to(5e-3).volts("OUT"), 13.0) << "it boosts";
}

TEST(Drive, EndsWithTheFollowerThatTurnsItOn) {
    ModelOptions options;
    options.faults = {fault(Fault::Kind::open, "Q3", "base")};
    EXPECT_TRUE(std::holds_alternative<Switch>(
        branch(test::model(boost_with_followers(), options), "Q1.channel")->element));
    options.faults = {fault(Fault::Kind::open, "Q2", "base")};
    EXPECT_TRUE(std::holds_alternative<Curve>(
        branch(test::model(boost_with_followers(), options), "Q1.channel")->element));
}

// Turns a dormant fault at an instant.
class Turner final : public Machine {
public:
    Turner(Model::Dormant dormant, double at_s) : dormant_(dormant), at_s_(at_s) {}
    std::string name() const override { return "turner"; }
    void start(Hands& hands) override { hands.timer(0, at_s_); }
    void crossed(Hands&, int) override {}
    void alarm(Hands& hands, int) override { hands.set(dormant_.id, dormant_.faulty); }
    std::unique_ptr<Machine> clone() const override { return std::make_unique<Turner>(*this); }

private:
    Model::Dormant dormant_;
    double at_s_;
};

TEST(Faults, WakeWhenTheirSwitchIsTurned) {
    const Fault both[] = {fault(Fault::Kind::open, "R2"), fault(Fault::Kind::shorted, "R2")};
    const double after[] = {10.0, 0.0};
    for (std::size_t f = 0; f < 2; ++f) {
        ModelOptions options;
        options.dormant = {both[0], both[1]};
        auto model = test::model(divider(), options);
        model.machines.push_back(std::make_unique<Turner>(model.dormant[f], 1e-3));
        Bench run(std::move(model));
        EXPECT_NEAR(run.to(0.9e-3).volts("OUT"), 5.0, 1e-3);
        EXPECT_NEAR(run.to(2e-3).volts("OUT"), after[f], 1e-3);
    }
}

TEST(SingleFaults, AreEachPartOpenAndShortedAndNeighboursBridged) {
    const auto circuit =
        make::build({make::mains("L", "N"),
                     make::r("R1", "1k", "L", "A"),
                     make::part("Q1", "NPN transistor", {{"B", "A"}, {"C", "L"}, {"E", "N"}})});
    std::vector<std::string> ids;
    for (const Fault& each : single_faults(circuit)) {
        ids.push_back(each.id());
    }
    EXPECT_THAT(ids,
                ElementsAre("Q1.base open",
                            "Q1.collector open",
                            "Q1.emitter open",
                            "Q1.base-Q1.collector bridged",
                            "Q1.base-Q1.emitter bridged",
                            "Q1.collector-Q1.emitter bridged",
                            "R1 open",
                            "R1 shorted"));
}

TEST(SingleFaults, KeepToOneSideOfAnOptocoupler) {
    const auto circuit = make::build(
        {make::part("U1",
                    "optocoupler",
                    {{"anode", "A"}, {"cathode", "B"}, {"collector", "C"}, {"emitter", "D"}})});
    int bridged = 0;
    for (const Fault& each : single_faults(circuit)) {
        bridged += each.kind == Fault::Kind::bridged ? 1 : 0;
    }
    EXPECT_EQ(bridged, 2);
}

TEST(SingleFaults, OfTheSeedlingDriverAllBecomeNetworks) {
    const auto dossier = test::read_dossier("examples/seedling-driver");
    const auto circuit = circuit::build(dossier, make::catalogue());
    const auto all = single_faults(circuit);
    EXPECT_GT(all.size(), 80u);
    for (const Fault& each : all) {
        ModelOptions options;
        options.faults = {each};
        const auto made = test::try_model(dossier, options);
        EXPECT_TRUE(made) << each.id() << ": " << test::all_of(made.errors());
    }
    ModelOptions asleep;
    asleep.dormant = all;
    const auto made = test::try_model(dossier, asleep);
    ASSERT_TRUE(made) << test::all_of(made.errors());
    for (const Model::Dormant& each : made->dormant) {
        EXPECT_GE(each.id.index, 0);
    }
}

// --- the table of devices ---

base::Errors table_errors(const std::string& text) {
    const auto read = detail::read_devices(text, "devices.toml", make::catalogue());
    return read ? base::Errors{} : read.errors();
}

TEST(DeviceTable, NamesThePlaceOfEachMistake) {
    const auto errors = table_errors(R"([[parameters]]
name = "gain"
title = "gain"
unit = "none"
rows = [
  { kind = "npn transistor", value = 100, low = 200, source = "s" },
  { kind = "npn transistr", value = 100, source = "s" },
  { kind = "npn transistor", value = 100 },
  { kind = "npn transistor", worth = 100, source = "s" },
]
[[parameters]]
name = "gain"
title = "gain"
unit = "furlong"
)");
    const std::string all = test::all_of(errors);
    EXPECT_THAT(
        all,
        HasSubstr("devices.toml:6:38: a row of gain: the usual value is not between low and high"));
    EXPECT_THAT(all, HasSubstr("devices.toml:7:"));
    EXPECT_THAT(all,
                HasSubstr("'npn transistr' is no kind of part; did you mean 'NPN transistor'?"));
    EXPECT_THAT(all, HasSubstr("devices.toml:8:3: "));
    EXPECT_THAT(all, HasSubstr("say where the number comes from"));
    EXPECT_THAT(all, HasSubstr("worth"));
    EXPECT_THAT(all, HasSubstr("'furlong' is no unit"));
    EXPECT_THAT(all, HasSubstr("the parameter is in the file twice"));
}

TEST(DeviceTable, FitsTypesAndTheirVariantsOnly) {
    const auto read = detail::read_devices(R"([[parameters]]
name = "on_resistance"
title = "on-resistance"
unit = "ohm"
rows = [{ type = "4N65", value = "2.3 ohm", source = "s" }]
)",
                                           "devices.toml",
                                           make::catalogue());
    ASSERT_TRUE(read);
    const auto finds = [&](const char* type) {
        circuit::Part part;
        part.said.type.value = type;
        return read->row(*read->parameter("on_resistance"), part) != nullptr;
    };
    EXPECT_TRUE(finds("4N65"));
    EXPECT_TRUE(finds("4N-65L"));
    EXPECT_FALSE(finds("4N650"));
    EXPECT_FALSE(finds("2N65"));
    EXPECT_FALSE(finds(""));
}

}  // namespace
}  // namespace etchback::behaviour
