// Where bodies lie, as the dossier and the catalogue tell it.
#include "copper/detail/part_bodies.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "copper/boards.h"

namespace etchback::copper {
namespace {

std::vector<detail::PlacedPart> placed_in(std::string_view toml,
                                          const std::vector<PointedPad>& pointed = {}) {
    const dossier::Dossier dossier = dossier_of(toml);
    std::vector<Remark> remarks;
    return detail::placed_parts(
        dossier, catalogue(), find_pads(dossier, catalogue(), pointed, remarks));
}

std::pair<double, double> reach_along(const Polyline& ring, double Point::*way) {
    const auto [least, most] = std::ranges::minmax(ring, {}, way);
    return {least.*way, most.*way};
}

TEST(PartBodies, AChipResistorLiesBetweenItsPads) {
    const auto placed = placed_in(
        "[parts.R1]\nkind = \"resistor\"\nbody = \"1206\"\npads = { 1 = [10, 5], 2 = [13, 5] }\n");
    ASSERT_EQ(placed.size(), 1U);
    EXPECT_TRUE(placed[0].flat);
    const auto [left, right] = reach_along(placed[0].body, &Point::x_mm);
    const auto [upper, lower] = reach_along(placed[0].body, &Point::y_mm);
    EXPECT_NEAR(0.5 * (left + right), 11.5, 1e-6);
    EXPECT_NEAR(right - left, 3.2, 0.1);
    EXPECT_NEAR(lower - upper, 1.6, 0.1);
}

TEST(PartBodies, ABodyThatNobodyKnowsStandsOverItsPins) {
    const auto placed = placed_in(
        "[parts.J1]\nkind = \"connector\"\nbody = \"brass block\"\n"
        "pads = { 1 = [10, 5], 2 = [12, 5], 3 = [14, 5] }\n");
    ASSERT_EQ(placed.size(), 1U);
    EXPECT_FALSE(placed[0].known);
    const auto [left, right] = reach_along(placed[0].body, &Point::x_mm);
    EXPECT_LT(left, 10.0);
    EXPECT_GT(right, 14.0);
}

TEST(PartBodies, WiresAndEmptyPlacesHaveNone) {
    const auto placed = placed_in(
        "[parts.J1]\nkind = \"connector\"\nbody = \"wires\"\n"
        "pads = { 1 = [10, 5], 2 = [14, 5] }\n"
        "[parts.R1]\nkind = \"resistor\"\nbody = \"1206\"\nfitted = false\n"
        "pads = { 1 = [10, 9], 2 = [13, 9] }\n");
    ASSERT_EQ(placed.size(), 2U);
    EXPECT_TRUE(placed[0].body.empty());
    EXPECT_TRUE(placed[1].body.empty());
}

TEST(PartBodies, PinsOfAnUnknownBodyPointedAtFromBelowGoThroughTheBoard) {
    const std::string photo =
        "[[photos]]\nfile = \"b.jpg\"\nside = \"bottom\"\n"
        "[parts.X]\nkind = \"connector\"\nbody = \"";
    const std::string pads = "\"\npads_on = \"b.jpg\"\npads = { 1 = [10, 5], 2 = [12, 5] }\n";
    const std::vector<PointedPad> pointed = {{"X", "1", {10.0, 5.0}, Side::bottom},
                                             {"X", "2", {12.0, 5.0}, Side::bottom}};
    const auto unknown = placed_in(photo + "brass block" + pads, pointed);
    ASSERT_EQ(unknown.size(), 1U);
    EXPECT_FALSE(unknown[0].pads[0].side);
    EXPECT_EQ(unknown[0].side, Side::top);
    const auto flat = placed_in(photo + "SOP-8" + pads, pointed);
    ASSERT_EQ(flat.size(), 1U);
    EXPECT_EQ(flat[0].pads[0].side, Side::bottom);
}

}  // namespace
}  // namespace etchback::copper
