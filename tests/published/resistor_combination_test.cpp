// Series and parallel sets against worked examples of the literature. Tolerances are half a unit of
// the last printed digit.
#include <gtest/gtest.h>

#include <algorithm>

#include "circuit/build.h"
#include "circuit/reductions.h"

namespace etchback::circuit {
namespace {

using test::r;

double value_of(const std::vector<Reduction>& all, const std::string& name) {
    const auto it = std::find_if(
        all.begin(), all.end(), [&](const Reduction& each) { return each.name == name; });
    return it == all.end() ? 0.0 : it->value;
}

std::vector<Reduction> reduced(std::vector<dossier::Part> parts) {
    parts.push_back(test::part("J1", "connector", {{"1", "A"}, {"2", "B"}}));
    return reductions(test::build(parts));
}

// T. R. Kuphaldt, Lessons in Electric Circuits, vol. I DC, 5th ed., ch. 7, series-parallel analysis
// (printed values from memory).
TEST(PublishedReductions, KuphaldtChapter7) {
    const auto all = reduced({r("R1", "100", "A", "M"),
                              r("R2", "250", "A", "M"),
                              r("R3", "350", "M", "B"),
                              r("R4", "200", "M", "B")});
    EXPECT_NEAR(value_of(all, "R1||R2"), 71.429, 0.0005);
    EXPECT_NEAR(value_of(all, "R3||R4"), 127.27, 0.005);
    EXPECT_NEAR(value_of(all, "(R1||R2)+(R3||R4)"), 198.70, 0.005);
}

// The same, ch. 5, simple parallel circuits (printed value from memory).
TEST(PublishedReductions, KuphaldtChapter5) {
    const auto all =
        reduced({r("R1", "10k", "A", "B"), r("R2", "2k", "A", "B"), r("R3", "1k", "A", "B")});
    EXPECT_NEAR(value_of(all, "R1||R2||R3"), 625.0, 0.5);
}

// "Equivalent resistance exercise", a teaching sheet (read): (R1+R2)||R3 + R4.
TEST(PublishedReductions, TeachingSheetOnEquivalentResistance) {
    const auto all = reduced({r("R1", "5", "A", "X"),
                              r("R2", "15", "X", "M"),
                              r("R3", "30", "A", "M"),
                              r("R4", "8", "M", "B")});
    EXPECT_NEAR(value_of(all, "R1+R2"), 20.0, 1e-9);
    EXPECT_NEAR(value_of(all, "(R1+R2)||R3"), 12.0, 1e-9);
    EXPECT_NEAR(value_of(all, "((R1+R2)||R3)+R4"), 20.0, 1e-9);
}

}  // namespace
}  // namespace etchback::circuit
