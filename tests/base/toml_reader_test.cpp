#include "base/toml_reader.h"

#include <gtest/gtest.h>

namespace etchback::base {
namespace {

struct Read {
    toml::table table;
    Errors errors;
    explicit Read(std::string_view text) : table(*parse_toml(text, "t.toml")) {}
    TableReader reader() { return {table, "t.toml", "part R1", errors}; }
};

TEST(TomlText, FaultsHaveTheirPlace) {
    const auto result = parse_toml("a = 1\nb = \"open\nc = 2\n", "t.toml");
    ASSERT_FALSE(result);
    EXPECT_EQ(result.errors()[0].place.file, "t.toml");
    EXPECT_EQ(result.errors()[0].place.line, 2);
}

TEST(TomlText, BytesThatAreNoTextAreFoundInTheirLineAndColumn) {
    const auto result = parse_toml("a = 1\nb = \"µ\xFF\"\n", "t.toml");
    ASSERT_FALSE(result);
    EXPECT_EQ(result.errors()[0].place, (Place{"t.toml", 2, 7}));
    EXPECT_FALSE(parse_toml(std::string_view("a = 1\n\0", 7), "t.toml"));
    EXPECT_FALSE(parse_toml("\xFF", "t.toml"));
    EXPECT_TRUE(parse_toml("", "t.toml"));
}

TEST(TableKeys, AreReadWithTheirPlaces) {
    Read read("# head\ntitle = \"Ω\"\nn = 2\nx = 2.5\non = true\n");
    TableReader reader = read.reader();
    EXPECT_EQ(reader.text("title")->value, "Ω");
    EXPECT_EQ(reader.text("title")->place, (Place{"t.toml", 2, 9}));
    EXPECT_EQ(reader.key_place("n"), (Place{"t.toml", 3, 1}));
    EXPECT_EQ(reader.integer("n")->value, 2);
    EXPECT_EQ(reader.number("n")->value, 2.0);
    EXPECT_EQ(reader.number("x")->value, 2.5);
    EXPECT_TRUE(reader.flag("on")->value);
    EXPECT_FALSE(reader.text("absent"));
    reader.finish();
    EXPECT_TRUE(read.errors.empty());
}

TEST(TableKeys, ColumnsCountCharactersNotBytes) {
    Read read("a = \"ΩΩΩ\" # µ\nt = { k = \"ΩΩ\", b = 1 }\n");
    EXPECT_EQ(place_of(*read.table["t"]["b"].node(), "t.toml").column, 21);
}

TEST(TableKeys, OfTheWrongTypeAreAllReported) {
    Read read("title = 1\nn = 1.5\nx = \"1\"\non = \"yes\"\nlist = 3\nwords = [1]\nsub = 1\n");
    TableReader reader = read.reader();
    EXPECT_FALSE(reader.text("title"));
    EXPECT_FALSE(reader.integer("n"));
    EXPECT_FALSE(reader.number("x"));
    EXPECT_FALSE(reader.flag("on"));
    EXPECT_TRUE(reader.tables("list").empty());
    EXPECT_TRUE(reader.texts("words").empty());
    EXPECT_EQ(reader.table("sub"), nullptr);
    ASSERT_EQ(read.errors.size(), 7U);
    EXPECT_EQ(to_string(read.errors[0]),
              "t.toml:1:9: part R1: 'title' is a whole number, but text is needed; "
              "put it between quotation marks");
}

TEST(TableKeys, ThatNobodyKnowsSuggestTheNearest) {
    Read read("vlaue = \"4k7\"\nqqqqqq = 1\n");
    TableReader reader = read.reader();
    reader.know("value");
    reader.finish();
    ASSERT_EQ(read.errors.size(), 2U);
    EXPECT_EQ(read.errors[0].todo, "did you mean 'value'?");
    EXPECT_EQ(read.errors[1].todo, "known here: value");
}

TEST(TableKeys, KeepTheOrderOfTheFile) {
    Read read("z = 1\na = 2\nm = 3\n");
    EXPECT_EQ(read.reader().keys(), (std::vector<std::string>{"z", "a", "m"}));
}

TEST(TableKeys, InfinityIsNoNumber) {
    Read read("x = inf\n");
    TableReader reader = read.reader();
    EXPECT_FALSE(reader.number("x"));
    EXPECT_EQ(read.errors.size(), 1U);
}

TEST(TableKeys, ThatMustBeThereAreMissed) {
    Read read("a = 1\n");
    TableReader reader = read.reader();
    reader.require("name", "give it a name");
    ASSERT_EQ(read.errors.size(), 1U);
    EXPECT_EQ(read.errors[0].what, "part R1: 'name' is missing");
}

TEST(TableWords, AreOneOfAListOrSuggestTheNearest) {
    const std::vector<std::string> sides = {"top", "bottom"};
    Read read("a = \"top\"\nb = \"botom\"\nc = \"left\"\n");
    TableReader reader = read.reader();
    EXPECT_EQ(reader.word("a", sides)->value, "top");
    reader.word("b", sides);
    reader.word("c", sides);
    ASSERT_EQ(read.errors.size(), 2U);
    EXPECT_EQ(read.errors[0].todo, "write \"bottom\"");
    EXPECT_EQ(read.errors[1].todo, "write one of: top or bottom");
}

TEST(TableValues, MayBeSpelledAsTextOrNumberOrDate) {
    Read read("a = \"1N4007\"\nb = 104\nc = 2026-03-14\nd = [1]\n");
    TableReader reader = read.reader();
    EXPECT_EQ(reader.spelled("a")->value, "1N4007");
    EXPECT_EQ(reader.spelled("b")->value, "104");
    EXPECT_EQ(reader.spelled("c")->value, "2026-03-14");
    EXPECT_FALSE(reader.spelled("d"));
}

TEST(TableQuantities, TakeTextOrABareNumber) {
    Read read("a = \"4k7\"\nb = 12.5\nc = \"4k7k\"\n");
    TableReader reader = read.reader();
    EXPECT_DOUBLE_EQ(reader.quantity("a", Unit::ohm)->value.value, 4700.0);
    EXPECT_DOUBLE_EQ(reader.quantity("b", Unit::volt)->value.value, 12.5);
    EXPECT_FALSE(reader.quantity("c", Unit::ohm));
    EXPECT_EQ(read.errors.size(), 1U);
}

}  // namespace
}  // namespace etchback::base
