// Families of controllers: their files, how they are found, what is refused.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <set>

#include "base/file.h"
#include "behaviour/controllers.h"
#include "behaviour/controllers_stage.h"

namespace etchback::behaviour {
namespace {

using testing::HasSubstr;

const Family* found(std::string_view written) {
    return find_family(families(), written);
}
std::string behaviour_of(std::string_view written) {
    const Family* family = found(written);
    return family == nullptr ? "none" : family->behaviour;
}

base::Errors complaints(const std::string& text) {
    const auto folder = std::filesystem::path(testing::TempDir()) / "controllers";
    std::filesystem::remove_all(folder);
    std::filesystem::create_directories(folder);
    std::ofstream(folder / "one.toml") << text;
    const auto loaded = load_families(folder);
    return loaded ? base::Errors{} : loaded.errors();
}

TEST(Families, AreLoadedWithASourceForEachNumber) {
    ASSERT_GE(families().size(), 8u);
    for (const Family& family : families()) {
        EXPECT_FALSE(family.words.empty()) << family.family;
        for (const FamilyNumber& number : family.numbers) {
            EXPECT_FALSE(number.source.empty()) << family.family << ": " << number.name;
            EXPECT_FALSE(number.words.empty()) << family.family << ": " << number.name;
        }
    }
}

TEST(Families, AreFoundByTheWordsOfTheExamples) {
    EXPECT_EQ(behaviour_of("flyback, boundary mode, primary-side constant current"),
              "boundary flyback, on-time");
    EXPECT_EQ(behaviour_of("flyback, primary-side constant current"), "boundary flyback, on-time");
    EXPECT_EQ(behaviour_of("flyback, fixed frequency, optocoupler"), "fixed-frequency flyback");
}

TEST(Families, AreFoundInAnyOrderCaseAndWithMoreWords) {
    EXPECT_EQ(behaviour_of("Primary-Side Constant Current; Boundary Mode Flyback"),
              "boundary flyback, on-time");
    EXPECT_EQ(behaviour_of("fixed-frequency flyback"), "fixed-frequency flyback");
    EXPECT_EQ(behaviour_of("flyback, fixed frequency 65 kHz, with optocoupler and burst"),
              "fixed-frequency flyback");
    EXPECT_EQ(behaviour_of("constant current buck"), "boundary buck");
    EXPECT_EQ(behaviour_of("linear LED driver, constant current"), "linear driver");
    EXPECT_EQ(behaviour_of("step-up converter, integrated switch"), "low-voltage converter");
    EXPECT_EQ(behaviour_of("unknown"), "threshold table");
}

TEST(Families, AreNotGuessedFromOneWordInCommon) {
    EXPECT_EQ(found("flyback"), nullptr);
    EXPECT_EQ(found("constant current"), nullptr);
    EXPECT_EQ(found("fixed frequency, current mode"), nullptr);
    EXPECT_EQ(found("LED driver"), nullptr);
    EXPECT_EQ(found(""), nullptr);
    EXPECT_EQ(found("motor bridge, three phases"), nullptr);
}

TEST(Families, EachIsFoundByItsOwnNames) {
    for (const Family& family : families()) {
        EXPECT_EQ(found(family.family), &family) << family.family;
        for (const std::string& other : family.also) {
            EXPECT_EQ(found(other), &family) << other;
        }
    }
}

TEST(Families, AreAllInTheHandbookWithTheirMachines) {
    const std::string page =
        base::read_file(std::filesystem::path(ETCHBACK_SOURCE_DIR) / "docs" / "controllers.md");
    for (const Family& family : families()) {
        EXPECT_THAT(page, HasSubstr("| " + family.family + " | " + family.behaviour + " |"));
    }
}

constexpr const char* good = R"(family = "a thing of mine"
behaviour = "threshold table"
words = "It switches."
source = "seen"
needed = ["return"]
[pins]
return = ["GND"]
)";

TEST(FamilyFile, OfAFewLinesIsEnough) {
    EXPECT_TRUE(complaints(good).empty());
}

TEST(FamilyFile, WithoutTheMachineItAsksForIsRefusedWithTheNearestName) {
    std::string text = good;
    text.replace(text.find("threshold table"), 15, "threshold tabel");
    const auto errors = complaints(text);
    ASSERT_EQ(errors.size(), 1u);
    EXPECT_THAT(base::to_string(errors[0]), HasSubstr("threshold table"));
    EXPECT_EQ(errors[0].place.line, 2);
}

TEST(FamilyFile, WithAnUnknownRoleOrKeyIsRefusedWithItsPlace) {
    const auto errors = complaints(std::string(good) + "gait = [\"G\"]\n");
    ASSERT_EQ(errors.size(), 1u);
    EXPECT_EQ(errors[0].place.line, 8);
    EXPECT_THAT(base::to_string(errors[0]), HasSubstr("gait"));
}

TEST(FamilyFile, NeedsPinsForTheRolesThatItNeeds) {
    std::string text = good;
    text.replace(text.find("[\"return\"]"), 10, "[\"return\", \"sense\"]");
    const auto errors = complaints(text);
    ASSERT_EQ(errors.size(), 1u);
    EXPECT_THAT(errors[0].what, HasSubstr("sense"));
    EXPECT_EQ(errors[0].place.line, 5);
}

TEST(FamilyFile, NeedsAUsualValueWithinItsRange) {
    const auto errors = complaints(std::string(good) + R"([[number]]
name = "start"
words = "start"
unit = "volt"
usual = "16 V"
low = "17 V"
high = "20 V"
)");
    ASSERT_EQ(errors.size(), 1u);
    EXPECT_THAT(errors[0].what, HasSubstr("outside its range"));
    EXPECT_EQ(errors[0].place.line, 12);
}

TEST(FamilyFile, WithANumberOfAnotherUnitIsRefused) {
    const auto errors = complaints(std::string(good) + R"([[number]]
name = "start"
words = "start"
unit = "volt"
usual = "16 A"
)");
    ASSERT_FALSE(errors.empty());
    EXPECT_EQ(errors[0].place.line, 12);
}

TEST(FamilyFile, FolderThatIsMissingIsTold) {
    EXPECT_FALSE(load_families("/nowhere/controllers"));
}

// ---- making machines ----

base::Errors refused(std::string_view family, const ControllerWiring& wiring) {
    Network network;
    ControllerWiring given = wiring;
    given.part = "U1";
    given.pins["return"] = reference;
    for (auto& [role, node] : given.pins) {
        if (role != "return") {
            node = network.node(role);
        }
    }
    const auto made = make_controller(network, *found(family), given);
    return made ? base::Errors{} : made.errors();
}

TEST(MakeController, NamesTheNeededPinThatIsMissing) {
    ControllerWiring wiring;
    wiring.pins = {{"supply", {}}, {"sense", {}}};
    const auto errors = refused("flyback, fixed frequency, optocoupler", wiring);
    ASSERT_EQ(errors.size(), 1u);
    EXPECT_THAT(errors[0].what, HasSubstr("feedback"));
    EXPECT_THAT(errors[0].what, HasSubstr("FB"));
}

TEST(MakeController, RefusesAStopAboveTheStart) {
    ControllerWiring wiring;
    wiring.pins = {{"supply", {}}, {"sense", {}}, {"feedback", {}}};
    wiring.numbers = {{"start", 8.0}, {"stop", 9.0}};
    const auto errors = refused("flyback, fixed frequency, optocoupler", wiring);
    ASSERT_EQ(errors.size(), 1u);
    EXPECT_THAT(errors[0].what, HasSubstr("stops at"));
}

TEST(MakeController, AsksForTheTableOfAnUnknownController) {
    ControllerWiring wiring;
    wiring.pins = {{"supply", {}}, {"sense", {}}};
    const auto errors = refused("unknown", wiring);
    std::set<std::string> all;
    for (const auto& error : errors) {
        all.insert(error.what);
    }
    EXPECT_TRUE(all.contains("U1 has no number 'start'"));
    EXPECT_TRUE(all.contains("nothing says when U1 turns on"));
    EXPECT_TRUE(all.contains("nothing says when U1 turns off"));
}

TEST(MakeController, RefusesNumbersThatAreNegativeOrNotFinite) {
    ControllerWiring wiring;
    wiring.pins = {{"supply", {}}, {"sense", {}}, {"feedback", {}}};
    wiring.numbers = {{"current_limit", -1.0}, {"switching_frequency", std::nan("")}};
    EXPECT_EQ(refused("flyback, fixed frequency, optocoupler", wiring).size(), 2u);
}

TEST(MakeController, LeavesANetworkThatCanBeSimulatedForEveryFamily) {
    for (const Family& family : families()) {
        Network network;
        ControllerWiring wiring;
        wiring.part = "U1";
        wiring.owner = network.owner("U1");
        for (const auto& [role, names] : family.pins) {
            wiring.pins[role] = role == "return" ? reference : network.node(role);
        }
        wiring.numbers = {{"on_time", 1e-6}};
        if (family.behaviour == "threshold table") {
            wiring.numbers.insert({{"start", 10.0}, {"stop", 8.0}, {"off_time", 5e-6}});
        }
        const auto made = make_controller(network, family, wiring);
        ASSERT_TRUE(made) << family.family << ": " << base::to_string(made.errors().front());
        EXPECT_EQ((*made)->name(), "U1");
        for (const auto& error : faults_of(network)) {
            ADD_FAILURE() << family.family << ": " << base::to_string(error);
        }
    }
}

TEST(MakeController, PutsACapacitorAtTheCompensationPinOnlyWhereThereIsNone) {
    enum class At { nowhere, pin, behind_a_contact };
    for (const At at : {At::nowhere, At::pin, At::behind_a_contact}) {
        const bool outside = at != At::nowhere;
        Network network;
        ControllerWiring wiring;
        wiring.part = "U1";
        wiring.pins["return"] = reference;
        for (const char* role : {"supply", "sense", "compensation", "drain"}) {
            wiring.pins[role] = network.node(role);
        }
        if (at == At::pin) {
            network.add("C6", wiring.pins["compensation"], reference, Capacitance{1e-6});
        } else if (at == At::behind_a_contact) {
            const NodeId net = network.node("COMP");
            network.add_switch(
                "U1.COMP open", wiring.pins["compensation"], net, Switch{200.0, 1e-11, true});
            network.add("C6", net, reference, Capacitance{1e-6});
        }
        const auto* family = found("flyback, boundary mode, primary-side constant current");
        ASSERT_TRUE(make_controller(network, *family, wiring));
        const auto inside = std::count_if(
            network.branches().begin(), network.branches().end(), [](const Branch& branch) {
                return branch.name == "U1 compensation inside";
            });
        EXPECT_EQ(inside, outside ? 0 : 1);
    }
}

}  // namespace
}  // namespace etchback::behaviour
