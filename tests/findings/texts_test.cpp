// The texts of rules: complete, checked, and free of holes once filled.
#include <filesystem>
#include <fstream>

#include "base/file.h"
#include "findings/detail/placeholders.h"
#include "findings_of.h"

namespace etchback::test {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

// A folder with the project's texts, one replaced in one of them.
class Texts : public ::testing::Test {
protected:
    void SetUp() override {
        const auto* info = ::testing::UnitTest::GetInstance()->current_test_info();
        folder_ = fs::path(::testing::TempDir()) / (std::string("texts_") + info->name());
        fs::remove_all(folder_);
        fs::copy(fs::path(ETCHBACK_SOURCE_DIR) / "data/findings", folder_);
    }
    void TearDown() override { fs::remove_all(folder_); }

    base::Errors after(const std::string& from, const std::string& to) {
        const fs::path file = folder_ / "ratings.toml";
        std::string text = base::read_file(file);
        const auto at = text.find(from);
        EXPECT_NE(at, std::string::npos) << from;
        std::ofstream(file) << text.replace(at, from.size(), to);
        const auto result = findings::load_rule_texts(folder_);
        return result ? base::Errors{} : result.errors();
    }

private:
    fs::path folder_;
};

TEST_F(Texts, OfTheProjectAreInOrder) {
    const auto result = findings::load_rule_texts(ETCHBACK_SOURCE_DIR "/data/findings");
    ASSERT_TRUE(result) << base::to_string(result.errors().front());
    EXPECT_EQ(result->size(), findings::detail::text_specs().size());
}

TEST_F(Texts, AnUnknownPlaceholderIsAnErrorThatSuggestsTheNearest) {
    const auto errors =
        after("{part} sees {seen}; {limit_words}", "{part} sees {sean}; {limit_words}");
    ASSERT_EQ(errors.size(), 1u);
    EXPECT_THAT(errors[0].what, HasSubstr("{sean}"));
    EXPECT_THAT(errors[0].todo, HasSubstr("{seen}"));
    EXPECT_GT(errors[0].place.line, 0);
}

TEST_F(Texts, AnUnclosedBraceIsAnError) {
    EXPECT_EQ(after("{part} sees {seen}; {limit_words}", "{part} sees {seen").size(), 1u);
}

TEST_F(Texts, AnUnknownRuleIsAnErrorThatSuggestsTheNearest) {
    const auto errors = after("id = \"resistor_over_power\"", "id = \"resistor_over_pwer\"");
    ASSERT_EQ(errors.size(), 1u);
    EXPECT_THAT(errors[0].todo, HasSubstr("resistor_over_power"));
}

TEST_F(Texts, AWrongSeverityAndAMissingTextAreBothTold) {
    auto errors = after("severity = \"weakness\"", "severity = \"bad\"");
    EXPECT_EQ(errors.size(), 1u);
    errors = after("title = ", "# title = ");
    EXPECT_EQ(errors.size(), 2u);
}

TEST_F(Texts, ARuleWithoutTextIsAnError) {
    const auto errors = after("[[rule]]\nid = \"capacitor_over_voltage\"\n",
                              "[[rule]]\nid = \"capacitor_over_voltage.fault\"\n");
    ASSERT_EQ(errors.size(), 1u);
    EXPECT_THAT(errors[0].what, HasSubstr("a second text"));
}

TEST_F(Texts, AnEmptyFolderLacksThemAll) {
    const auto result = findings::load_rule_texts("/nonexistent");
    ASSERT_FALSE(result);
    EXPECT_EQ(result.errors().size(), findings::detail::text_specs().size());
}

TEST_F(Texts, EveryFindingIsWholeAndNamesItsEvidence) {
    Board bad = dropper().with("C1", R"(kind = "film capacitor"
value = "1u"
rated_voltage = "250 V"
pins = { 1 = "L", 2 = "AC" })");
    bad.without("R1").without("R2").without("R3").also("[nets.P]\ntouchable = true");
    const auto all = findings_of(bad);
    EXPECT_GE(all.size(), 5u);
    for (const auto& f : all) {
        for (const std::string* text : {&f.title, &f.text, &f.remedy, &f.basis}) {
            EXPECT_FALSE(text->empty()) << f.id;
            EXPECT_THAT(*text, ::testing::Not(HasSubstr("{"))) << f.id;
        }
        EXPECT_FALSE(f.evidence.empty()) << f.id;
        EXPECT_TRUE(std::any_of(f.evidence.begin(), f.evidence.end(), [](const base::Evidence& e) {
            return e.place.line > 0;
        })) << f.id;
    }
}

TEST_F(Texts, AreFilledOnceAndLeaveOtherTextAlone) {
    EXPECT_EQ(findings::detail::filled("{a} and {b}", {{"a", "{b}"}, {"b", "c"}}), "{b} and c");
    EXPECT_EQ(findings::detail::filled("no braces", {}), "no braces");
}

TEST(Findings, AreSortedByHowBadTheyAre) {
    Board bad = dropper()
                    .without("R3")
                    .with("LED1", R"(kind = "LED string"
properties = { count = "20", forward_voltage = "3 V" }
pins = { "+" = "P", "-" = "M" }
touchable = true)")
                    .also("[[claims]]\nquantity = \"power factor\"\nvalue = \"1.3\"");
    const auto all = findings_of(bad);
    ASSERT_GE(all.size(), 3u);
    EXPECT_TRUE(std::is_sorted(all.begin(), all.end(), [](const auto& a, const auto& b) {
        return a.severity < b.severity;
    }));
    EXPECT_EQ(all.front().rule, "load_not_isolated");
}

TEST(Findings, DoNotDependOnTheOrderOfParts) {
    Board bad = flyback().without("R4").without("RT1");
    bad.with("R3", R"(kind = "resistor"
value = "1M"
body = "1206"
pins = { 1 = "HV+", 2 = "VCC" })");
    bad.with("C9", R"(kind = "electrolytic capacitor"
value = "470u"
rated_voltage = "16 V"
pins = { "+" = "OUT+", "-" = "OUT-" })");
    bad.with("BR1", R"(kind = "bridge rectifier"
pins = { "~1" = "LF", "~2" = "N", "+" = "HV+", "-" = "HV-" })");
    const auto without_places = [](std::vector<findings::Finding> all) {
        for (auto& f : all) {
            for (auto& e : f.evidence) {
                e.place = {};
            }
        }
        return all;
    };
    const auto expected = without_places(findings_of(bad));
    EXPECT_GE(expected.size(), 3u);
    for (unsigned seed = 1; seed <= 25; ++seed) {
        EXPECT_EQ(without_places(findings_of(Board(bad).shuffle(seed))), expected) << seed;
        const Derived a(bad);
        const Derived b(Board(bad).shuffle(seed));
        ASSERT_EQ(a.figures.size(), b.figures.size());
        for (std::size_t i = 0; i < a.figures.size(); ++i) {
            EXPECT_EQ(a.figures[i].id, b.figures[i].id);
            EXPECT_EQ(a.figures[i].value, b.figures[i].value);
            EXPECT_EQ(a.figures[i].worked, b.figures[i].worked);
        }
    }
}

}  // namespace
}  // namespace etchback::test
