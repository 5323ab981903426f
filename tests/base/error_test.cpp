#include "base/error.h"

#include <gtest/gtest.h>

namespace etchback::base {
namespace {

TEST(ErrorText, GivesPlaceThenWhatThenRemedy) {
    EXPECT_EQ(to_string({{"d.toml", 3, 9}, "no such key", "write 'value'"}),
              "d.toml:3:9: no such key; write 'value'");
}

TEST(ErrorText, LeavesOutWhatIsNotKnown) {
    EXPECT_EQ(to_string({{"d.toml", 0, 0}, "it is empty", ""}), "d.toml: it is empty");
    EXPECT_EQ(to_string({{"", 4, 0}, "odd", ""}), "line 4: odd");
    EXPECT_EQ(to_string({{}, "odd", "mend it"}), "odd; mend it");
}

TEST(ErrorOrder, IsByPlace) {
    Errors errors = {{{"b", 1, 1}, "x", ""}, {{"a", 2, 1}, "x", ""}, {{"a", 1, 7}, "x", ""}};
    sort_by_place(errors);
    EXPECT_EQ(errors[0].place.column, 7);
    EXPECT_EQ(errors[2].place.file, "b");
}

TEST(PlacedValue, IsEqualWhereverItStands) {
    EXPECT_EQ((Placed<int>{1, {"a", 1, 1}}), (Placed<int>{1, {"b", 2, 2}}));
    EXPECT_FALSE((Placed<int>{1, {}} == Placed<int>{2, {}}));
}

}  // namespace
}  // namespace etchback::base
