#include "dossier/write.h"

#include "dossier/detail/quantity_text.h"
#include "dossier/detail/toml_text.h"
#include "dossier/fixture.h"
#include "dossier/generator.h"

namespace etchback::dossier {
namespace {

using base::Unit;

TEST(WrittenDossier, EverythingReadsBackEqual) {
    const Dossier dossier = everything();
    EXPECT_EQ(read_well(write(dossier, catalogue())), dossier);
}

TEST(WrittenDossier, FiveHundredGeneratedDossiersReadBackEqual) {
    for (std::uint64_t seed = 1; seed <= 500; ++seed) {
        const Dossier dossier = Generator(seed, catalogue()).dossier();
        const std::string text = write(dossier, catalogue());
        ASSERT_EQ(read_well(text) == dossier, true) << "seed " << seed << "\n" << text;
    }
}

TEST(WrittenDossier, TheSameDossierGivesTheSameBytes) {
    const Dossier dossier = Generator(7, catalogue()).dossier();
    EXPECT_EQ(write(dossier, catalogue()), write(dossier, catalogue()));
}

TEST(WrittenDossier, AnExampleLooksAsAPersonWouldWriteIt) {
    Dossier dossier;
    dossier.item.name = {"lamp", {}};
    dossier.item.date = {"2026-03-14", {}};
    dossier.item.story = {"Found.\nDirty.\n", {}};
    Part part;
    part.name = "R 1";
    part.kind = {"resistor", {}};
    part.value = Amount{Quantity::of(4700.0, Unit::ohm), {}};
    part.pins = {{"1", "HV+", {}}, {"2", "GND", {}}};
    part.known = {{"", Basis::traced}};
    part.alternatives = {{"value", {"47k", {}}, {"smudged", {}}, 0.2}};
    dossier.parts.push_back(part);
    EXPECT_EQ(write(dossier, catalogue()), R"(format = 1

[item]
name = "lamp"
date = 2026-03-14
story = """
Found.
Dirty.
"""

[parts."R 1"]
kind = "resistor"
value = "4k7"
pins = { 1 = "HV+", 2 = "GND" }
known = "traced"

[[parts."R 1".alternatives]]
field = "value"
reading = "47k"
because = "smudged"
weight = 0.2
)");
}

TEST(WrittenDossier, ManyPinsGetATableOfTheirOwn) {
    Dossier dossier;
    dossier.item.name = {"board", {}};
    Part part;
    part.name = "U1";
    for (int i = 1; i <= 48; ++i) {
        part.pins.push_back({std::to_string(i), "NET_" + std::to_string(i), {}});
    }
    dossier.parts.push_back(part);
    const std::string text = write(dossier, catalogue());
    EXPECT_NE(text.find("[parts.U1.pins]\n1 = \"NET_1\"\n2 = \"NET_2\"\n"), std::string::npos)
        << text;
    EXPECT_EQ(read_well(text), dossier);
}

struct Spelling {
    Quantity quantity;
    Unit expected;
    std::string text;
};

TEST(QuantityText, IsAsOnABenchNote) {
    const std::vector<Spelling> spellings = {
        {Quantity::of(4700, Unit::ohm), Unit::ohm, "4k7"},
        {Quantity::of(0.22, Unit::ohm), Unit::ohm, "0R22"},
        {Quantity::of(1.5, Unit::ohm), Unit::ohm, "1R5"},
        {Quantity::of(1e6, Unit::ohm), Unit::ohm, "1M"},
        {Quantity::of(100e-9, Unit::farad), Unit::farad, "100n"},
        {Quantity::of(4.7e-6, Unit::farad), Unit::farad, "4u7"},
        {Quantity::of(1.5e-3, Unit::henry), Unit::henry, "1.5 mH"},
        {Quantity::of(3.6, Unit::watt), Unit::watt, "3.6 W"},
        {Quantity::of(4, Unit::none), Unit::none, "4"},
        {{175, Unit::volt, 85, 265, {}, false}, Unit::volt, "85-265 V"},
        {{230, Unit::volt, 207, 253, {}, true}, Unit::volt, "230 V ±10 %"},
        {{50, Unit::hertz, 50, 60, {50, 60}, false}, Unit::hertz, "50/60 Hz"},
    };
    for (const Spelling& spelling : spellings) {
        EXPECT_EQ(detail::quantity_text(spelling.quantity, spelling.expected), spelling.text);
    }
}

TEST(QuantityText, ReadsBackExactlyInEveryUnit) {
    Generator generator(3, catalogue());
    for (int unit = 0; unit <= static_cast<int>(Unit::gram); ++unit) {
        for (int i = 0; i < 200; ++i) {
            const Quantity quantity = generator.positive(static_cast<Unit>(unit));
            for (const Unit expected : {static_cast<Unit>(unit), Unit::none}) {
                const std::string text = detail::quantity_text(quantity, expected);
                const auto back = base::parse_quantity(text, expected);
                ASSERT_TRUE(back) << text;
                ASSERT_TRUE(*back == quantity) << text;
            }
        }
    }
}

TEST(QuantityText, NegativeTemperaturesReadBack) {
    const Quantity range = {22.5, Unit::celsius, -40, 85, {}, false};
    const auto back =
        base::parse_quantity(detail::quantity_text(range, Unit::celsius), Unit::celsius);
    ASSERT_TRUE(back);
    EXPECT_EQ(*back, range);
}

TEST(TomlText, KeysAreQuotedOnlyWhereTheyMustBe) {
    EXPECT_EQ(detail::key_text("R1_a-2"), "R1_a-2");
    EXPECT_EQ(detail::key_text("HV+"), "\"HV+\"");
    EXPECT_EQ(detail::key_text("-"), "\"-\"");
    EXPECT_EQ(detail::key_text(""), "\"\"");
    EXPECT_EQ(detail::key_text("a\"b"), R"("a\"b")");
}

TEST(TomlText, LongTextsKeepTheirLinesAndNothingElse) {
    EXPECT_EQ(detail::long_string_text("one"), "\"one\"");
    EXPECT_EQ(detail::long_string_text("a\nb\n"), "\"\"\"\na\nb\n\"\"\"");
    EXPECT_EQ(detail::long_string_text("say \"hi\"\n\"\"\""),
              "\"\"\"\nsay \"hi\"\n\\\"\\\"\\\"\"\"\"");
}

TEST(BlankDossier, ReadsWithoutErrorAndHoldsTheName) {
    const Dossier dossier = read_well(blank_dossier("my \"odd\" lamp"));
    EXPECT_EQ(dossier.item.name.value, "my \"odd\" lamp");
    EXPECT_TRUE(dossier.parts.empty());
    EXPECT_EQ(read_well(blank_dossier("  ")).item.name.value, "unnamed item");
}

// A newcomer takes the # away: what the examples say must then be in order, too.
TEST(BlankDossier, ItsExamplesAreInOrderOnceTheirCommentSignIsGone) {
    std::string text = blank_dossier("lamp");
    std::string bare;
    std::size_t at = text.find("# maker");
    bare = text.substr(0, at);
    bool in_story = false;
    while (at < text.size()) {
        const std::size_t end = text.find('\n', at);
        std::string line = text.substr(at, end - at);
        const bool is_example =
            line.starts_with("# ") && (line.find(" = ") != std::string::npos ||
                                       line.starts_with("# [") || in_story || line == "# \"\"\"");
        if (line.find("\"\"\"") != std::string::npos) {
            in_story = !in_story;
        }
        bare += (is_example ? line.substr(2) : line) + "\n";
        at = end + 1;
    }
    const Dossier dossier = read_well(bare);
    EXPECT_EQ(dossier.parts.size(), 6U) << bare;
    EXPECT_EQ(dossier.readings.size(), 2U);
    EXPECT_EQ(dossier.claims.size(), 1U);
    EXPECT_EQ(dossier.continuity.size(), 1U);
    EXPECT_EQ(dossier.photos.size(), 1U);
}

}  // namespace
}  // namespace etchback::dossier
