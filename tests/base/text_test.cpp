#include "base/text.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace etchback::base {
namespace {

const std::vector<std::string> kKnown = {"kind", "value", "marking", "body", "resistor"};

TEST(NearestWord, FindsSwappedMissingAndWrongLetters) {
    EXPECT_EQ(nearest_word("vlaue", kKnown), "value");
    EXPECT_EQ(nearest_word("markng", kKnown), "marking");
    EXPECT_EQ(nearest_word("RESISTER", kKnown), "resistor");
}

TEST(NearestWord, FindsNothingForAStrangeEmptyOrEndlessWord) {
    EXPECT_FALSE(nearest_word("temperature", kKnown));
    EXPECT_FALSE(nearest_word("", kKnown));
    EXPECT_FALSE(nearest_word(std::string(1000000, 'x'), kKnown));
}

TEST(NearestWord, OfTwoEquallyNearTakesTheFirstInTheAlphabetWhateverTheirOrder) {
    const std::vector<std::string> one = {"cap", "cat"};
    const std::vector<std::string> other = {"cat", "cap"};
    EXPECT_EQ(nearest_word("cab", one), "cap");
    EXPECT_EQ(nearest_word("cab", other), "cap");
}

TEST(Listed, JoinsAsASentenceDoes) {
    EXPECT_EQ(listed(std::vector<std::string>{}), "");
    EXPECT_EQ(listed(std::vector<std::string>{"a"}), "a");
    EXPECT_EQ(listed(std::vector<std::string>{"a", "b", "c"}), "a, b and c");
    EXPECT_EQ(listed(std::vector<std::string>{"a", "b"}, "or"), "a or b");
}

TEST(NaturalOrder, CountsNumbersAsNumbers) {
    std::vector<std::string> names = {"R10", "R2", "C1", "R1", "R02", "R2b", "R"};
    std::sort(names.begin(), names.end(), natural_less);
    EXPECT_EQ(names, (std::vector<std::string>{"C1", "R", "R1", "R02", "R2", "R2b", "R10"}));
}

TEST(NaturalOrder, IsStrictAndTotal) {
    const std::vector<std::string> names = {"", "0", "00", "R1", "R01", "R1a", "R1A", "r1", "R10"};
    for (const std::string& a : names) {
        EXPECT_FALSE(natural_less(a, a)) << a;
        for (const std::string& b : names) {
            if (a != b) {
                EXPECT_NE(natural_less(a, b), natural_less(b, a)) << a << " and " << b;
            }
        }
    }
}

TEST(Utf8, CountsCharactersAndKnowsWhatIsNone) {
    EXPECT_EQ(characters("4,7 µF"), 6U);
    EXPECT_EQ(characters("😀"), 1U);
    EXPECT_TRUE(is_utf8("Ω ± –"));
    EXPECT_FALSE(is_utf8("\xC0\x80"));          // an overlong NUL
    EXPECT_FALSE(is_utf8("\xED\xA0\x80"));      // a surrogate
    EXPECT_FALSE(is_utf8("\xF4\x90\x80\x80"));  // beyond U+10FFFF
    EXPECT_FALSE(is_utf8("\xE2\x82"));          // cut short
}

TEST(CsvReader, KeepsQuotedCommasLinesAndQuotes) {
    const auto csv = parse_csv("part,note\r\nR1,\"a, \"\"b\"\"\nc\"\r\n\r\nR2,x\r\n", "t.csv");
    ASSERT_TRUE(csv);
    ASSERT_EQ(csv->rows.size(), 2U);
    EXPECT_EQ(csv->rows[0].fields[1], "a, \"b\"\nc");
    EXPECT_EQ(csv->rows[1].place.line, 5);
    EXPECT_EQ(csv->column("NOTE"), 1U);
    EXPECT_FALSE(csv->column("net"));
}

TEST(CsvReader, ReportsEveryRowThatIsNotInOrder) {
    const auto csv = parse_csv("a,b\n1\n1,2,3\n1,\"2\"x\n\"open\n", "t.csv");
    ASSERT_FALSE(csv);
    ASSERT_GE(csv.errors().size(), 4U);
    EXPECT_EQ(csv.errors()[0].place, (Place{"t.csv", 2, 1}));
    EXPECT_EQ(csv.errors()[1].place, (Place{"t.csv", 3, 1}));
    EXPECT_EQ(csv.errors()[2].place.line, 4);
}

TEST(CsvReader, RefusesAnEmptyTableAndBytesThatAreNoText) {
    EXPECT_FALSE(parse_csv("", "t.csv"));
    EXPECT_FALSE(parse_csv("a,b\n\xFF,1\n", "t.csv"));
}

}  // namespace
}  // namespace etchback::base
