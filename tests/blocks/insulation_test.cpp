#include "blocks/insulation.h"

#include "board.h"

namespace etchback::test {
namespace {

std::string resistor(const char* value, const char* a, const char* b) {
    return std::string("kind = \"resistor\"\nvalue = \"") + value + "\"\npins = { 1 = \"" + a +
           "\", 2 = \"" + b + "\" }";
}

blocks::Insulation insulation_of(const Board& board) {
    const Derived d(board);
    return blocks::insulation(d.circuit, d.domains);
}

int domain_of(const Board& board, const blocks::Insulation& insulation, const char* net) {
    return insulation.domains.of(*Derived(board).circuit.net(net));
}

TEST(Insulation, WithoutBridgesItIsTheDomainsThemselves) {
    const Derived d(flyback());
    const auto apart = blocks::insulation(d.circuit, d.domains);
    EXPECT_TRUE(apart.bridges.empty());
    EXPECT_EQ(apart.domains.of_net, d.domains.of_net);
}

TEST(Insulation, AHighResistorBridgesAndTiesNothing) {
    const Board board = flyback().with("R30", resistor("4M7", "OUT-", "HV-"));
    const auto apart = insulation_of(board);
    ASSERT_EQ(apart.bridges.size(), 1U);
    const circuit::Circuit circuit = Derived(board).circuit;
    EXPECT_EQ(circuit[apart.bridges[0].from()].name, "HV-") << "from the mains, beyond";
    EXPECT_TRUE(apart.domains.isolated_from_mains(*circuit.net("OUT+")));
}

TEST(Insulation, ALowResistorTies) {
    const Board board = flyback().with("R30", resistor("47k", "OUT-", "HV-"));
    const auto apart = insulation_of(board);
    EXPECT_TRUE(apart.bridges.empty());
    EXPECT_FALSE(apart.domains.isolated_from_mains(*Derived(board).circuit.net("OUT+")));
}

TEST(Insulation, OneShortCircuitIsTheWorstOfAllLinks) {
    Board board = flyback().with("R30", resistor("3M", "HV-", "PM"));
    board.with("R31", resistor("1M", "PM", "OUT-"));
    auto r =
        blocks::resistance_to(insulation_of(board), domain_of(board, insulation_of(board), "OUT-"));
    EXPECT_NEAR(r.whole_ohm, 4e6, 1.0);
    EXPECT_NEAR(r.after_one_short_ohm, 1e6, 1.0);
    board.with("R32", resistor("4M", "HV+", "OUT+"));
    r = blocks::resistance_to(insulation_of(board), domain_of(board, insulation_of(board), "OUT-"));
    EXPECT_NEAR(r.whole_ohm, 2e6, 1.0);
    EXPECT_EQ(r.after_one_short_ohm, 0.0) << "R32 stands alone";
    EXPECT_EQ(r.parts.size(), 3U);
}

TEST(Insulation, TheMainsStandsAcrossWhatBridgesIt) {
    Board board = flyback().with("R30", resistor("3M", "HV-", "PM"));
    board.with("R31", resistor("1M", "PM", "OUT-"));
    const Derived d(board);
    EXPECT_NEAR(d.rms("HV-", "OUT-"), 230.0, 1e-9);
    EXPECT_NEAR(d.rms("HV-", "PM"), 172.5, 1e-9);
}

}  // namespace
}  // namespace etchback::test
