// Placement and routing on circuits by chance: nothing may overlap, and the picture must say the
// same as the circuit.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>

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

// A thousand circuits of up to 150 parts take a quarter of an hour of one processor. Without being
// asked, the tests draw every 23rd (of every size, since 23 and the cycle of sizes share no
// divisor); with ETCHBACK_SEEDS=1000 in the environment the first thousand, one by one.
constexpr std::uint64_t generated = 1000;
constexpr std::uint64_t usual_stride = 23;

struct Seeds {
    std::uint64_t end, stride;
};

Seeds seeds() {
    const char* asked = std::getenv("ETCHBACK_SEEDS");
    return asked != nullptr ? Seeds{std::strtoull(asked, nullptr, 10), 1}
                            : Seeds{generated, usual_stride};
}

class GeneratedCircuits : public ::testing::TestWithParam<std::uint64_t> {};

// A tenth each, so that a failure is found soon and the tests can run side by side.
TEST_P(GeneratedCircuits, AreDrawnWithoutOverlapAndReadBackEqual) {
    const auto [end, stride] = seeds();
    for (std::uint64_t seed = 0; seed < end; seed += stride) {
        if (seed / stride % 10 == GetParam()) {
            SCOPED_TRACE(fmt::format("seed {}", seed));
            expect_right(circuit::build(random_parts(seed), {}, catalogue()));
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Tenths, GeneratedCircuits, ::testing::Range<std::uint64_t>(0, 10));

// The corner of a sign's text and that of a part's name met between two lines of the grid.
TEST(GeneratedCircuits946, HasNoSignOnAText) {
    expect_right(circuit::build(random_parts(946), {}, catalogue()));
}

TEST(GeneratedCircuitsByDefault, AreOfEverySizeUpToTheLargest) {
    std::size_t least = 1000, most = 0;
    for (std::uint64_t seed = 0; seed < generated; seed += usual_stride) {
        least = std::min(least, random_parts(seed).size());
        most = std::max(most, random_parts(seed).size());
    }
    EXPECT_EQ(least, 5U);
    EXPECT_GE(most, 140U);
    std::size_t largest = 0;
    for (std::uint64_t seed = 0; seed < generated; ++seed) {
        largest = std::max(largest, random_parts(seed).size());
    }
    EXPECT_EQ(largest, static_cast<std::size_t>(drawing_test::largest_random));
}

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
