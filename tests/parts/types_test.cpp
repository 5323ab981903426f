#include "parts/types.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

namespace etchback::parts {
namespace {

const std::filesystem::path data = std::filesystem::path(ETCHBACK_SOURCE_DIR) / "data/parts";

const Catalogue& catalogue() {
    static const Catalogue loaded = *load_catalogue(data);
    return loaded;
}

const std::vector<RegisteredType>& shipped() {
    static const std::vector<RegisteredType> types = [] {
        auto loaded = load_types(data / "types.toml", catalogue());
        if (!loaded) {
            for (const base::Error& error : loaded.errors()) {
                ADD_FAILURE() << to_string(error);
            }
            return std::vector<RegisteredType>();
        }
        return *loaded;
    }();
    return types;
}

const RegisteredType& type(std::string_view name) {
    const auto found = find_type(shipped(), name);
    static const RegisteredType nothing;
    EXPECT_TRUE(found && found->exact) << name;
    return found ? *found->type : nothing;
}

// Ratings on which data sheets of the trade agree.
TEST(Types, CarryTheRatingsOfTheDataSheets) {
    EXPECT_EQ(type("1N4007").reverse_voltage_v, 1000);
    EXPECT_EQ(type("1N4007").current_a, 1);
    EXPECT_EQ(type("1N4007").body, "DO-41");
    EXPECT_EQ(type("1n4148").reverse_voltage_v, 75);
    EXPECT_NEAR(type("1N4148").recovery_s, 4e-9, 1e-15);
    EXPECT_EQ(type("1N5819").kind, "schottky_diode");
    EXPECT_EQ(type("1N5231B").zener_voltage_v, 5.1);
    EXPECT_EQ(type("1N5231B").tolerance_percent, 5);
    EXPECT_EQ(type("1N4742A").zener_voltage_v, 12);
    EXPECT_EQ(type("MB6S").reverse_voltage_v, 600);
    EXPECT_EQ(type("2N3904").main_voltage_v, 40);
    EXPECT_EQ(type("UF4007").reverse_voltage_v, 1000);
    EXPECT_TRUE(type("UF4007").from_memory);
    EXPECT_FALSE(type("1N4007").from_memory);
}

TEST(Types, VoltageStepsOfTwoSeriesAreNotMixedUp) {
    EXPECT_EQ(type("HER105").reverse_voltage_v, 400);
    EXPECT_EQ(type("FR105").reverse_voltage_v, 600);
}

TEST(Types, VariantsAreFoundButNotAsExact) {
    const auto found = [](std::string_view name) {
        const auto match = find_type(shipped(), name);
        return !match ? "nothing" : match->type->type + (match->exact ? "" : ", variant");
    };
    EXPECT_EQ(found("1N4148"), "1N4148");
    EXPECT_EQ(found("1N4148W"), "1N4148, variant");
    EXPECT_EQ(found("1N4148W-7-F"), "1N4148, variant");
    EXPECT_EQ(found("2N3904BU"), "2N3904, variant");
    EXPECT_EQ(found("1N4733"), "1N4733A, variant");
    EXPECT_EQ(found("1N4733C"), "1N4733A, variant");
    EXPECT_EQ(found("1N5231"), "1N5231B, variant");
    EXPECT_EQ(found("1N41480"), "nothing");
    EXPECT_EQ(found("M7X"), "nothing");
    EXPECT_EQ(found("SS1"), "nothing");
    EXPECT_EQ(found(""), "nothing");
}

TEST(Types, EachHasKindSourceAndARating) {
    EXPECT_GT(shipped().size(), 200U);
    for (const RegisteredType& one : shipped()) {
        EXPECT_NE(catalogue().find(one.kind), nullptr) << one.type;
        EXPECT_FALSE(one.source.empty()) << one.type;
        EXPECT_GT(one.reverse_voltage_v + one.zener_voltage_v + one.main_voltage_v, 0) << one.type;
    }
}

TEST(Types, EveryMistakeIsToldInOnePass) {
    const std::filesystem::path file =
        std::filesystem::temp_directory_path() / "etchback_types_test.toml";
    std::ofstream(file) << R"([[types]]
kind = "diod"
rows = [
  { type = "1N1", reverse_voltage_v = 50, source = "test" },
  { type = "1N1", kind = "diode", reverse_voltage_v = 0 },
  { type = "1N2", kind = "diode", curent_a = 1, source = "test" },
])";
    const auto loaded = load_types(file, catalogue());
    std::filesystem::remove(file);
    ASSERT_FALSE(loaded);
    std::vector<std::string> texts;
    for (const base::Error& error : loaded.errors()) {
        texts.push_back(to_string(error));
    }
    EXPECT_THAT(
        texts,
        testing::UnorderedElementsAre(testing::HasSubstr(":4:3: type 1N1: 'diod' is no kind"),
                                      testing::HasSubstr("'reverse_voltage_v' is not above zero"),
                                      testing::HasSubstr("no source is given"),
                                      testing::HasSubstr("twice"),
                                      testing::HasSubstr("did you mean 'current_a'?")));
}

}  // namespace
}  // namespace etchback::parts
