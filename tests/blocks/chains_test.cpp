#include "blocks/chains.h"

#include <gmock/gmock.h>

#include "board.h"

namespace etchback::test {
namespace {

std::string resistor(const std::string& value, const std::string& a, const std::string& b) {
    return "kind = \"resistor\"\nvalue = \"" + value + "\"\npins = { 1 = \"" + a + "\", 2 = \"" +
           b + "\" }";
}

std::vector<blocks::Chain> chains_of(const Board& board, const blocks::ChainOptions& options = {}) {
    return blocks::resistor_chains(circuit::build(dossier_of(board), catalogue()), options);
}

Board three() {
    Board board;
    board.with("R1", resistor("1k", "A", "B")).with("R2", resistor("2k", "B", "C"));
    return board.with("R3", resistor("3k", "C", "D"));
}

TEST(Chains, ThreeInARowAreOne) {
    const auto chains = chains_of(three());
    ASSERT_EQ(chains.size(), 1u);
    EXPECT_EQ(chains[0].links.size(), 3u);
    EXPECT_DOUBLE_EQ(chains[0].ohm(), 6000.0);
}

TEST(Chains, ResistorsSideBySideAreOneLink) {
    const auto chains = chains_of(three().with("R4", resistor("2k", "C", "B")));
    ASSERT_EQ(chains.size(), 1u);
    EXPECT_DOUBLE_EQ(chains[0].ohm(), 5000.0);
}

TEST(Chains, ABranchEndsThem) {
    EXPECT_EQ(chains_of(three().with("R4", resistor("2k", "C", "E"))).size(), 3u);
}

TEST(Chains, ACapacitorEndsThemOnlyWhereAsked) {
    const Board board = three().with("C1", R"(kind = "ceramic capacitor"
value = "1n"
pins = { 1 = "B", 2 = "D" })");
    EXPECT_EQ(chains_of(board).size(), 1u);
    EXPECT_EQ(chains_of(board, {.pass_inputs = true, .pass_capacitors = false}).size(), 2u);
}

TEST(Chains, ASenseInputDoesNotEndThemButASupplyPinDoes) {
    const auto chip = [](const char* pin) {
        return three().with(
            "U1",
            "kind = \"controller\"\npins = { " + std::string(pin) + " = \"B\", GND = \"D\" }");
    };
    EXPECT_EQ(chains_of(chip("FB")).size(), 1u);
    EXPECT_EQ(chains_of(chip("VCC")).size(), 2u);
}

TEST(Chains, ATestPointDoesNotEndThem) {
    EXPECT_EQ(chains_of(three().with("TP1", R"(kind = "test point"
pins = { 1 = "B" })"))
                  .size(),
              1u);
}

TEST(Chains, AResistorWithoutValueEndsThem) {
    EXPECT_EQ(chains_of(three().with("R2", R"(kind = "resistor"
pins = { 1 = "B", 2 = "C" })"))
                  .size(),
              2u);
}

TEST(Chains, ARingHasNoEndsAndDoesNotHang) {
    EXPECT_TRUE(chains_of(three().with("R3", resistor("3k", "C", "A"))).size() <= 1u);
}

TEST(Chains, BetweenTwoGroupsOnlyThoseThatJoinThemCount) {
    const Board board = three()
                            .with("R5", resistor("12k", "A", "D"))
                            .with("R7", resistor("12k", "A", "D"))
                            .with("R6", R"(kind = "fuse"
pins = { 1 = "A", 2 = "X" })");
    const auto circuit = circuit::build(dossier_of(board), catalogue());
    std::vector<circuit::NetId> keep = {*circuit.net("A"), *circuit.net("B"), *circuit.net("D")};
    std::sort(keep.begin(), keep.end());
    const auto chains = blocks::resistor_chains(circuit, {}, keep);
    std::vector<circuit::PartId> used;
    EXPECT_DOUBLE_EQ(
        blocks::resistance_between(chains, {*circuit.net("A")}, {*circuit.net("D")}, &used),
        6000.0);
    EXPECT_EQ(used.size(), 2u);
    EXPECT_DOUBLE_EQ(blocks::resistance_between(chains, {*circuit.net("B")}, {*circuit.net("D")}),
                     5000.0);
    EXPECT_DOUBLE_EQ(blocks::resistance_between(chains, {*circuit.net("B")}, {*circuit.net("X")}),
                     0.0);
}

}  // namespace
}  // namespace etchback::test
