// Placement and routing on circuits by chance: nothing may overlap, and the picture must say the
// same as the circuit.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "circuit/domains.h"
#include "drawing/drawing.h"
#include "drawing/figures.h"
#include "drawing/random_circuit.h"
#include "drawing/svg.h"

namespace etchback::drawing {
namespace {

using drawing_test::catalogue;
using drawing_test::random_parts;

void expect_right(const circuit::Circuit& circuit) {
    const Drawing drawn = draw(circuit, circuit::domains(circuit));
    const DrawingFigures found = figures(drawn, circuit);
    EXPECT_EQ(found.overlaps, 0) << fmt::format("{}", fmt::join(found.overlap_list, "\n"));
    const auto nets = nets_from_svg(to_svg(drawn, circuit));
    ASSERT_TRUE(static_cast<bool>(nets));
    EXPECT_EQ(*nets, nets_of(circuit));
}

class GeneratedCircuits : public ::testing::TestWithParam<int> {};

// Twenty circuits each, so that a failure is found soon and the tests can run side by side.
TEST_P(GeneratedCircuits, AreDrawnWithoutOverlapAndReadBackEqual) {
    for (int i = 0; i < 20; ++i) {
        const auto seed = static_cast<std::uint64_t>(GetParam() * 20 + i);
        SCOPED_TRACE(fmt::format("seed {}", seed));
        expect_right(circuit::build(random_parts(seed), {}, catalogue()));
    }
}

INSTANTIATE_TEST_SUITE_P(TwoHundred, GeneratedCircuits, ::testing::Range(0, 10));

// The same circuit with its parts listed from last to first.
circuit::Circuit reversed(const circuit::Circuit& circuit) {
    circuit::Circuit other = circuit;
    const int last = static_cast<int>(circuit.parts.size()) - 1;
    std::reverse(other.parts.begin(), other.parts.end());
    for (circuit::Net& net : other.nets) {
        for (circuit::PinRef& ref : net.pins) {
            ref.part.index = last - ref.part.index;
        }
        std::sort(net.pins.begin(), net.pins.end());
    }
    return other;
}

TEST(GeneratedCircuitsInAnyOrder, AreDrawnWithoutOverlapAndReadBackEqual) {
    for (std::uint64_t seed = 300; seed < 305; ++seed) {
        SCOPED_TRACE(fmt::format("seed {}", seed));
        expect_right(reversed(circuit::build(random_parts(seed, 30), {}, catalogue())));
    }
}

TEST(GeneratedCircuitsDrawnTwice, GiveTheSameBytes) {
    for (std::uint64_t seed = 400; seed < 404; ++seed) {
        const circuit::Circuit circuit = circuit::build(random_parts(seed, 25), {}, catalogue());
        const circuit::Domains domains = circuit::domains(circuit);
        EXPECT_EQ(to_svg(draw(circuit, domains), circuit), to_svg(draw(circuit, domains), circuit));
    }
}

}  // namespace
}  // namespace etchback::drawing
