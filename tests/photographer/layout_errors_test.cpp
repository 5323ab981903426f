// A layout that is not in order is told with its line and what to do.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "board-photographer/layout_file.h"

namespace etchback::photographer {
namespace {

constexpr std::string_view head = R"(format = 1
invented = true
[board]
outline = [[0, 0], [30, 0], [30, 20], [0, 20]]
)";

std::string first_error(std::string_view text) {
    const auto layout = parse_layout(text, "layout.toml");
    return layout ? "no error" : base::to_string(layout.errors().front());
}

TEST(LayoutErrors, AreNoneInAPlainLayout) {
    EXPECT_EQ(first_error(std::string(head) + "[parts]\nR1 = { body = \"1206\", at = [5, 5] }\n"),
              "no error");
}

TEST(LayoutErrors, TellAMissingBoard) {
    EXPECT_THAT(first_error("format = 1\ninvented = true\n"), testing::HasSubstr("[board]"));
}

TEST(LayoutErrors, TellABoardThatIsNotSaidToBeInvented) {
    EXPECT_THAT(first_error("format = 1\n[board]\noutline = [[0,0],[9,0],[9,9]]\n"),
                testing::HasSubstr("write invented = true"));
}

TEST(LayoutErrors, TellAnUnknownBodyAndTheNearest) {
    EXPECT_EQ(first_error(std::string(head) + "[parts]\nR1 = { body = \"SOT-32\", at = [5, 5] }\n"),
              "layout.toml:6:15: part R1: no body is called 'SOT-32'; did you mean 'SOT-23'?");
}

TEST(LayoutErrors, TellAPointThatIsNone) {
    EXPECT_EQ(first_error(std::string(head) + "[parts]\nR1 = { body = \"1206\", at = [5] }\n"),
              "layout.toml:6:28: part R1: at is not a point; "
              "write [x, y] in mm, x to the right and y down");
}

TEST(LayoutErrors, TellAPadBesideTheBoard) {
    EXPECT_THAT(
        first_error(std::string(head) + "[parts]\nR1 = { body = \"1206\", at = [31, 5] }\n"),
        testing::AllOf(testing::StartsWith("layout.toml:6:"),
                       testing::HasSubstr("lies beside the board")));
}

TEST(LayoutErrors, TellATrackWithoutNet) {
    EXPECT_THAT(
        first_error(std::string(head) +
                    "[copper]\ntracks = [\n  { side = \"top\", along = [[1, 1], [2, 2]] },\n]\n"),
        testing::AllOf(testing::StartsWith("layout.toml:7:"), testing::HasSubstr("net")));
}

TEST(LayoutErrors, TellAMisspeltKeyAndAWrongWord) {
    EXPECT_THAT(first_error(std::string(head) + "msak = \"green\"\n"), testing::HasSubstr("mask"));
    EXPECT_THAT(first_error(std::string(head) + "mask = \"gren\"\n"), testing::HasSubstr("green"));
}

TEST(LayoutErrors, TellMorePinsThanTheBodyHas) {
    EXPECT_THAT(
        first_error(std::string(head) + "[parts]\nR1 = { body = \"1206\", at = [5, 5], pins = "
                                        "{ 1 = \"A\", 2 = \"B\", 3 = \"C\" } }\n"),
        testing::HasSubstr("3 pins on a body of 2"));
}

}  // namespace
}  // namespace etchback::photographer
