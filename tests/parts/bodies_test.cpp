#include <gtest/gtest.h>

#include "parts/catalogue.h"

namespace etchback::parts {
namespace {

const Catalogue& shipped() {
    static const Catalogue catalogue = [] {
        auto loaded = load_catalogue(std::filesystem::path(ETCHBACK_SOURCE_DIR) / "data/parts");
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

std::string found(std::string_view name, std::string_view family) {
    const Body* body = shipped().body(name, family);
    return body == nullptr ? "nothing" : body->id;
}

TEST(Bodies, ChipSizesAreFoundHoweverTheyAreSpelled) {
    for (const std::string_view name :
         {"1206", "R1206", "SMD 1206", "smd_1206", "1206 chip", "3216 metric", "3216", " 1206 "}) {
        EXPECT_EQ(found(name, "resistor"), "1206") << name;
    }
    EXPECT_EQ(found("0805", "resistor"), "0805");
    EXPECT_EQ(found("C0805", "capacitor"), "0805");
    EXPECT_EQ(found("1206", "diode"), "nothing");
    EXPECT_EQ(found("9999", "resistor"), "nothing");
    EXPECT_EQ(found("", "resistor"), "nothing");
    EXPECT_EQ(found("SMD", "resistor"), "nothing");
}

TEST(Bodies, ABareNumberThatExistsInBothSystemsMeansInches) {
    EXPECT_EQ(found("0603", "resistor"), "0603");
    EXPECT_EQ(found("0603 metric", "resistor"), "0201");
    EXPECT_EQ(found("0402 metric", "resistor"), "01005");
}

TEST(Bodies, AxialBodiesAreFoundByTheNearestLength) {
    EXPECT_EQ(found("axial 6.3 mm", "resistor"), "axial 6.2 mm");
    EXPECT_EQ(found("axial 6,8 mm", "resistor"), "axial 6.2 mm");
    EXPECT_EQ(found("axial 3.6 mm", "resistor"), "axial 3.4 mm");
    EXPECT_EQ(found("1/4 W axial", "resistor"), "axial 6.2 mm");
    EXPECT_EQ(found("axial 25 mm", "resistor"), "nothing");
    EXPECT_EQ(found("axial mm", "resistor"), "nothing");
    EXPECT_EQ(found("axial 1e300 mm", "resistor"), "nothing");
}

TEST(Bodies, RowsOfNoFamilyHoldForAll) {
    EXPECT_EQ(found("SOT-23-6", "controller"), "SOT-23-6");
    EXPECT_EQ(found("sot 23 6", ""), "SOT-23-6");
    EXPECT_EQ(found("DPAK", "transistor"), "TO-252");
    EXPECT_EQ(shipped().body("DIP-4", "optocoupler")->pin_pitch_mm, 2.54);
    EXPECT_EQ(shipped().body("SO-8", "controller")->pins, 8);
    EXPECT_EQ(found("MBS", "bridge"), "MBS");
    EXPECT_EQ(found("radial 10 mm", "capacitor"), "radial 10 mm");
}

// The figures of makers' data sheets for thick-film chips: from 0201 upwards.
TEST(Bodies, ChipResistorsCarryTheirUsualPowerAndVoltage) {
    struct Row {
        std::string_view size;
        double power_w;
        double voltage_v;
    };
    for (const Row& row : {Row{"0201", 0.05, 25},
                           Row{"0402", 0.0625, 50},
                           Row{"0603", 0.1, 75},
                           Row{"0805", 0.125, 150},
                           Row{"1206", 0.25, 200},
                           Row{"2512", 1.0, 200}}) {
        const Body* body = shipped().body(row.size, "resistor");
        ASSERT_NE(body, nullptr) << row.size;
        EXPECT_EQ(body->usual_power_w, row.power_w) << row.size;
        EXPECT_EQ(body->usual_voltage_v, row.voltage_v) << row.size;
        EXPECT_FALSE(body->from_memory) << row.size;
    }
}

TEST(Bodies, EveryRowNamesItsSource) {
    ASSERT_GT(shipped().bodies().size(), 100U);
    for (const Body& body : shipped().bodies()) {
        EXPECT_FALSE(body.source.empty()) << body.id;
        EXPECT_GE(body.length_mm + body.pin_pitch_mm, 0.1) << body.id;
    }
}

}  // namespace
}  // namespace etchback::parts
