#include "parts/catalogue.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <set>

#include "base/file.h"
#include "base/text.h"
#include "base/toml_reader.h"

namespace etchback::parts {
namespace {

const std::filesystem::path source_dir = ETCHBACK_SOURCE_DIR;

const Catalogue& shipped() {
    static const Catalogue catalogue = [] {
        auto loaded = load_catalogue(source_dir / "data/parts");
        if (!loaded) {
            for (const base::Error& error : loaded.errors()) {
                ADD_FAILURE() << to_string(error);
            }
            return Catalogue({}, {});
        }
        return *loaded;
    }();
    return catalogue;
}

TEST(Catalogue, HasEveryKindThatADossierMayName) {
    for (const std::string_view kind : {"resistor",
                                        "film capacitor",
                                        "ceramic capacitor",
                                        "electrolytic capacitor",
                                        "X1 capacitor",
                                        "X2 capacitor",
                                        "Y1 capacitor",
                                        "Y2 capacitor",
                                        "inductor",
                                        "common-mode choke",
                                        "transformer",
                                        "diode",
                                        "Schottky diode",
                                        "Zener diode",
                                        "bridge rectifier",
                                        "LED",
                                        "LED string",
                                        "NPN transistor",
                                        "PNP transistor",
                                        "N-channel MOSFET",
                                        "P-channel MOSFET",
                                        "optocoupler",
                                        "shunt regulator",
                                        "controller",
                                        "linear regulator",
                                        "fuse",
                                        "fusible resistor",
                                        "NTC",
                                        "PTC",
                                        "varistor",
                                        "spark gap",
                                        "switch",
                                        "triac",
                                        "diac",
                                        "relay",
                                        "connector",
                                        "jumper",
                                        "test point",
                                        "crystal",
                                        "op-amp",
                                        "comparator",
                                        "mains",
                                        "DC supply",
                                        "battery",
                                        "load",
                                        "motor",
                                        "lamp",
                                        "earth terminal",
                                        "ferrite bead",
                                        "coupled inductor",
                                        "TVS",
                                        "JFET",
                                        "IGBT",
                                        "thyristor",
                                        "voltage reference",
                                        "integrated circuit",
                                        "unknown"}) {
        EXPECT_NE(shipped().find(kind), nullptr) << kind;
    }
}

TEST(Catalogue, FindsKindsHoweverTheyAreSpelled) {
    const auto id = [](std::string_view word) {
        const Kind* kind = shipped().find(word);
        return kind == nullptr ? std::string("nothing") : kind->id;
    };
    EXPECT_EQ(id("x2 CAPACITOR"), "x2_capacitor");
    EXPECT_EQ(id("x2_capacitor"), "x2_capacitor");
    EXPECT_EQ(id("n channel mosfet"), "n_channel_mosfet");
    EXPECT_EQ(id("nmos"), "n_channel_mosfet");
    EXPECT_EQ(id("mosfet n"), "n_channel_mosfet");
    EXPECT_EQ(id("ecap"), "electrolytic_capacitor");
    EXPECT_EQ(id("zener"), "zener_diode");
    EXPECT_EQ(id("opto"), "optocoupler");
    EXPECT_EQ(id("bridge"), "bridge_rectifier");
    EXPECT_EQ(id("res"), "resistor");
    EXPECT_EQ(id("flux capacitor"), "nothing");
    EXPECT_EQ(id(""), "nothing");
}

TEST(Catalogue, SuggestsTheNearestKind) {
    EXPECT_EQ(shipped().suggestion("resistr"), "resistor");
    EXPECT_EQ(shipped().suggestion("schotky diode"), "Schottky diode");
    EXPECT_EQ(shipped().suggestion("elektrolytic capacitor"), "electrolytic capacitor");
    EXPECT_EQ(shipped().suggestion("quantum tunnelling plate"), std::nullopt);
}

TEST(Catalogue, FindsEveryKindAndPinOfTheCommentedExample) {
    const std::filesystem::path file = source_dir / "docs/everything.toml";
    const auto table = base::parse_toml(base::read_file(file), file.string());
    ASSERT_TRUE(table);
    int pins = 0;
    for (const auto& [name, node] : *(*table)["parts"].as_table()) {
        const toml::table& part = *node.as_table();
        const auto word = part["kind"].value<std::string>();
        if (!word) {
            continue;
        }
        const Kind* kind = shipped().find(*word);
        ASSERT_NE(kind, nullptr) << *word;
        const toml::table* used = part["pins"].as_table();
        for (const auto& [pin, net] : used == nullptr ? toml::table() : *used) {
            EXPECT_TRUE(kind->open_pins || kind->pin(pin.str())) << *word << " " << pin.str();
            ++pins;
        }
        if (const toml::table* properties = part["properties"].as_table()) {
            for (const auto& [key, value] : *properties) {
                const auto same = [&](const Property& p) { return p.key == key.str(); };
                EXPECT_TRUE(std::any_of(kind->properties.begin(), kind->properties.end(), same))
                    << *word << " " << key.str();
            }
        }
    }
    EXPECT_GT(pins, 40);
}

TEST(Catalogue, KindsUseOnlyTheFamiliesAndSymbolsThatOthersKnow) {
    const std::set<std::string> families = {
        "resistor", "capacitor",  "inductor",   "transformer", "choke",     "diode",
        "bridge",   "led",        "transistor", "optocoupler", "regulator", "controller",
        "fuse",     "thermistor", "varistor",   "spark_gap",   "switch",    "thyristor",
        "relay",    "connector",  "jumper",     "test_point",  "crystal",   "amplifier",
        "source",   "earth",      "load",       "unknown"};
    const std::set<std::string> symbols = {"resistor",
                                           "fusible_resistor",
                                           "potentiometer",
                                           "capacitor",
                                           "polarised_capacitor",
                                           "inductor",
                                           "ferrite_bead",
                                           "common_mode_choke",
                                           "transformer",
                                           "diode",
                                           "schottky_diode",
                                           "zener_diode",
                                           "tvs",
                                           "led",
                                           "led_string",
                                           "bridge_rectifier",
                                           "npn",
                                           "pnp",
                                           "nmos",
                                           "pmos",
                                           "njfet",
                                           "igbt",
                                           "optocoupler",
                                           "shunt_regulator",
                                           "controller",
                                           "linear_regulator",
                                           "fuse",
                                           "ntc",
                                           "ptc",
                                           "varistor",
                                           "spark_gap",
                                           "switch",
                                           "triac",
                                           "diac",
                                           "thyristor",
                                           "relay",
                                           "connector",
                                           "jumper",
                                           "test_point",
                                           "crystal",
                                           "op_amp",
                                           "comparator",
                                           "mains",
                                           "dc_supply",
                                           "battery",
                                           "load",
                                           "motor",
                                           "lamp",
                                           "earth",
                                           "box"};
    std::set<std::string> drawn;
    for (const Kind& kind : shipped().kinds()) {
        EXPECT_TRUE(families.contains(kind.family)) << kind.id << " " << kind.family;
        EXPECT_TRUE(symbols.contains(kind.symbol)) << kind.id << " " << kind.symbol;
        EXPECT_FALSE(kind.pins.empty() && !kind.open_pins) << kind.id << " has no pins";
        drawn.insert(kind.symbol);
    }
    EXPECT_EQ(drawn, symbols);  // a symbol that no kind uses would be a mistake too
}

TEST(Catalogue, PinsHaveTheNamesThatPeopleWrite) {
    const Kind& bridge = *shipped().find("bridge");
    EXPECT_EQ(bridge.pin("~1"), 0U);
    EXPECT_EQ(bridge.pin("~"), 0U);
    EXPECT_EQ(bridge.pin("AC2"), 1U);
    EXPECT_EQ(bridge.pin("+"), 2U);
    EXPECT_EQ(bridge.pin("-"), 3U);
    EXPECT_EQ(bridge.pin("5"), std::nullopt);
    const Kind& diode = *shipped().find("diode");
    EXPECT_EQ(diode.pin("A"), diode.pin("anode"));
    EXPECT_EQ(diode.pin("K"), diode.pin("cathode"));
    EXPECT_EQ(diode.pin("1"), diode.pin("cathode"));  // IPC-7351, common practice
}

TEST(Catalogue, GalvanicSidesPartTheIsolatingKinds) {
    for (const std::string_view word : {"optocoupler", "relay", "common-mode choke", "optotriac"}) {
        std::set<std::string> sides;
        for (const PinSpec& pin : shipped().find(word)->pins) {
            EXPECT_FALSE(pin.side.empty()) << word;
            sides.insert(pin.side);
        }
        EXPECT_EQ(sides.size(), 2U) << word;
    }
    EXPECT_EQ(shipped().find("optocoupler")->coupling, Coupling::optical);
    EXPECT_EQ(shipped().find("transformer")->coupling, Coupling::magnetic);
    EXPECT_EQ(shipped().find("Y1 capacitor")->coupling, Coupling::capacitive);
    EXPECT_EQ(shipped().find("Y1 capacitor")->safety_class, "Y1");
    EXPECT_EQ(shipped().find("resistor")->coupling, Coupling::conductive);
    EXPECT_TRUE(shipped().find("mains")->pins[2].optional);
}

TEST(Catalogue, KnowsWhatTheNamesOfChipPinsMean) {
    EXPECT_EQ(shipped().usual_role("VCC"), PinRole::supply);
    EXPECT_EQ(shipped().usual_role("vdd2"), PinRole::supply);
    EXPECT_EQ(shipped().usual_role("GND"), PinRole::ground);
    EXPECT_EQ(shipped().usual_role("DRV"), PinRole::output);
    EXPECT_EQ(shipped().usual_role("CS"), PinRole::input);
    EXPECT_EQ(shipped().usual_role("7"), PinRole::passive);
}

class CatalogueFiles : public testing::Test {
protected:
    CatalogueFiles() {
        folder_ = std::filesystem::temp_directory_path() /
                  ("etchback_parts_" +
                   std::string(testing::UnitTest::GetInstance()->current_test_info()->name()));
        std::filesystem::remove_all(folder_);
        std::filesystem::create_directories(folder_);
    }
    ~CatalogueFiles() override { std::filesystem::remove_all(folder_); }

    void write(const std::string& name, const std::string& text) {
        std::ofstream(folder_ / name) << text;
    }
    std::vector<std::string> complaints() {
        const auto loaded = load_catalogue(folder_);
        std::vector<std::string> texts;
        if (!loaded) {
            for (const base::Error& error : loaded.errors()) {
                texts.push_back(to_string(error));
            }
        }
        return texts;
    }

    std::filesystem::path folder_;
};

TEST_F(CatalogueFiles, TwoKindsWithOneSpellingAreAnError) {
    write("a.toml", R"(source = "test"
kind = [{ id = "spoon", title = "spoon", family = "unknown", prefix = "X", symbol = "box" }])");
    write("b.toml", R"(source = "test"

[[kind]]
id = "ladle"
title = "ladle"
aliases = ["Spoon"]
family = "unknown"
prefix = "X"
symbol = "box")");
    EXPECT_THAT(complaints(),
                testing::ElementsAre(testing::AllOf(
                    testing::HasSubstr("b.toml:3:1"),
                    testing::HasSubstr("kind ladle: 'spoon' is also a spelling of spoon"))));
}

TEST_F(CatalogueFiles, EveryMistakeIsToldInOnePass) {
    write("a.toml", R"([[kind]]
id = "spoon"
title = "spoon"
family = "unknown"
prefix = "X"
symbol = "box"
value_unit = "ohms"
couplin = "none"
pins = [{ name = "a" }, { name = "A", role = "pasive" }]

[[body]]
id = "1206"
source = "test"
usual_power_w = -1
)");
    EXPECT_THAT(complaints(),
                testing::UnorderedElementsAre(testing::HasSubstr("no source is given"),
                                              testing::HasSubstr("'ohms' is no unit"),
                                              testing::HasSubstr("did you mean 'coupling'?"),
                                              testing::HasSubstr("write \"passive\""),
                                              testing::HasSubstr("two pins are called 'a'"),
                                              testing::HasSubstr("'usual_power_w' is negative")));
}

TEST_F(CatalogueFiles, AMissingFolderIsAnErrorAndNoCrash) {
    const auto loaded = load_catalogue(folder_ / "none");
    ASSERT_FALSE(loaded);
    EXPECT_THAT(to_string(loaded.errors().front()), testing::HasSubstr("no such folder"));
}

TEST_F(CatalogueFiles, LoadingTwiceGivesTheSame) {
    const auto again = load_catalogue(source_dir / "data/parts");
    ASSERT_TRUE(again);
    EXPECT_EQ(again->kinds(), shipped().kinds());
    EXPECT_EQ(again->bodies(), shipped().bodies());
}

}  // namespace
}  // namespace etchback::parts
