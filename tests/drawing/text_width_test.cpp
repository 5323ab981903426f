#include <gtest/gtest.h>

#include "drawing/symbol.h"

namespace etchback::drawing {
namespace {

// Liberation Sans 1.07.4, hmtx: zero 1139, A 1366 (bold 1479), Omega U+03A9 1531 of 2048.
TEST(TextWidth, IsTheSumOfTheAdvanceWidths) {
    EXPECT_DOUBLE_EQ(text_width("0", 2.048), 1.139);
    EXPECT_DOUBLE_EQ(text_width("A0", 2.048), 1.366 + 1.139);
    EXPECT_DOUBLE_EQ(text_width("A", 2.048, true), 1.479);
    EXPECT_DOUBLE_EQ(text_width("Ω", 2.048), 1.531);
    EXPECT_DOUBLE_EQ(text_width("", 1.0), 0.0);
}

TEST(TextWidth, KnowsLatinGreekAndSigns) {
    EXPECT_DOUBLE_EQ(text_width("µ", 2.048), 1.180);  // U+00B5
    EXPECT_DOUBLE_EQ(text_width("μ", 2.048), 1.180);  // U+03BC
    EXPECT_DOUBLE_EQ(text_width("°", 2.048), 0.819);
    EXPECT_DOUBLE_EQ(text_width("±", 2.048), 1.124);
    EXPECT_DOUBLE_EQ(text_width("–", 2.048), 1.139);
    EXPECT_DOUBLE_EQ(text_width("₂", 2.048), 1.139);
}

TEST(TextWidth, TakesAnUnknownSignAsWideAsTheWidest) {
    EXPECT_GE(text_width("漢", 1.0), text_width("—", 1.0));
    EXPECT_GE(text_width("漢", 1.0), text_width("W", 1.0));
}

TEST(TextWidth, CountsEachByteThatIsNoUtf8AsOneUnknownSign) {
    const double one = text_width("\xff", 1.0);
    EXPECT_GT(one, 1.0);
    EXPECT_DOUBLE_EQ(text_width("\xff\xfe", 1.0), 2 * one);
    EXPECT_DOUBLE_EQ(text_width("\xe2\x82", 1.0), 2 * one);  // cut off
    EXPECT_DOUBLE_EQ(text_width("\xc3(", 1.0), one + text_width("(", 1.0));
}

TEST(TextBox, StandsAtItsAnchor) {
    const double w = text_width("R1", 0.9);
    const Box start = text_box("R1", {2, 3}, Word::Anchor::start, 0.9);
    EXPECT_DOUBLE_EQ(start.left, 2);
    EXPECT_DOUBLE_EQ(start.right, 2 + w);
    EXPECT_DOUBLE_EQ(start.top, 3 - 0.74 * 0.9);
    EXPECT_DOUBLE_EQ(start.bottom, 3 + 0.22 * 0.9);
    EXPECT_DOUBLE_EQ(text_box("R1", {2, 3}, Word::Anchor::middle, 0.9).left, 2 - w / 2);
    EXPECT_DOUBLE_EQ(text_box("R1", {2, 3}, Word::Anchor::end, 0.9).right, 2);
}

}  // namespace
}  // namespace etchback::drawing
