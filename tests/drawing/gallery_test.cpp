// The circuits of docs/gallery: drawn without fault, and with how many crossings.
#include "gallery/circuits.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "circuit/domains.h"
#include "drawing/drawing.h"
#include "drawing/figures.h"
#include "drawing/random_circuit.h"
#include "drawing/svg.h"
#include "gallery/fewest_file.h"

namespace etchback::drawing {
namespace {

using drawing_test::part;

const std::filesystem::path& root() {
    static const std::filesystem::path path = ETCHBACK_SOURCE_DIR;
    return path;
}

const std::vector<gallery::Entry>& all() {
    static const std::vector<gallery::Entry> entries = gallery::entries(root());
    return entries;
}

struct Shown {
    Drawing drawing;
    DrawingFigures figures;
};

Shown show(const circuit::Circuit& circuit, Standard standard = Standard::iec) {
    Shown shown;
    shown.drawing = draw(circuit, circuit::domains(circuit), {.standard = standard});
    shown.figures = figures(shown.drawing, circuit);
    return shown;
}

// Each circuit drawn once for all tests.
const std::vector<Shown>& shown() {
    static const std::vector<Shown> drawings = [] {
        std::vector<Shown> result;
        for (const gallery::Entry& entry : all()) {
            result.push_back(show(entry.circuit));
        }
        return result;
    }();
    return drawings;
}

void expect_right(const gallery::Entry& entry, const Shown& one) {
    SCOPED_TRACE(entry.id);
    EXPECT_EQ(one.figures.overlaps, 0)
        << fmt::format("{}", fmt::join(one.figures.overlap_list, "\n"));
    const auto nets = nets_from_svg(to_svg(one.drawing, entry.circuit));
    ASSERT_TRUE(static_cast<bool>(nets));
    EXPECT_EQ(*nets, nets_of(entry.circuit));
}

TEST(Gallery, HoldsFortyCircuitsAndMoreThatAreInOrder) {
    EXPECT_GE(all().size(), 40U);
    for (const gallery::Entry& entry : all()) {
        EXPECT_FALSE(entry.source.empty()) << entry.id << " names no source";
        EXPECT_FALSE(entry.story.empty()) << entry.id;
        EXPECT_EQ(entry.story.find("Source:"), std::string::npos) << entry.id;
    }
}

TEST(Gallery, IsDrawnWithoutOverlapAndReadsBackEqual) {
    for (std::size_t i = 0; i < all().size(); ++i) {
        expect_right(all()[i], shown()[i]);
    }
}

TEST(Gallery, IsDrawnWithoutOverlapInTheOtherMannerOfSymbols) {
    for (const gallery::Entry& entry : all()) {
        expect_right(entry, show(entry.circuit, Standard::ansi));
    }
}

TEST(Gallery, DrawnAgainGivesTheSameBytes) {
    for (std::size_t i = 0; i < all().size(); ++i) {
        const circuit::Circuit& circuit = all()[i].circuit;
        EXPECT_EQ(to_svg(shown()[i].drawing, circuit), to_svg(show(circuit).drawing, circuit))
            << all()[i].id;
    }
}

// ---- crossings
// -----------------------------------------------------------------------------------

std::map<std::string, gallery::Fewest> kept() {
    return gallery::read_fewest(root() / "docs/gallery/fewest.toml");
}

TEST(Gallery, FewestCrossingsAreKnownForEachCircuitAndNoOther) {
    const auto fewest = kept();
    EXPECT_EQ(fewest.size(), all().size());
    for (const gallery::Entry& entry : all()) {
        EXPECT_TRUE(fewest.contains(entry.id)) << entry.id << ": run gallery-search";
    }
}

// A short search finds no fewer than the long one did, whose find is no fewer than it can be.
TEST(Gallery, AShortSearchFindsNoFewerCrossingsThanAreKept) {
    const auto fewest = kept();
    for (const gallery::Entry& entry : all()) {
        const gallery::Fewest found = gallery::fewest_crossings(entry.circuit, 5);
        EXPECT_GE(found.with_signs, fewest.at(entry.id).with_signs) << entry.id;
        EXPECT_GE(found.all_wired, fewest.at(entry.id).all_wired) << entry.id;
    }
}

TEST(Gallery, OnlyItsCircuitsHaveCrossingsByHandAndMoreThanTheFewest) {
    const auto fewest = kept();
    for (const auto& [id, by_hand] : gallery::read_by_hand(root() / "docs/gallery/by_hand.toml")) {
        ASSERT_TRUE(fewest.contains(id)) << id;
        EXPECT_GT(by_hand.crossings, fewest.at(id).with_signs) << id;
        EXPECT_FALSE(by_hand.why.empty()) << id;
    }
}

// Told, not asserted circuit by circuit: which drawings cross more often than they need.
TEST(Gallery, FiveInSixDrawingsCrossNoMoreOftenThanOneByHand) {
    const auto fewest = kept();
    const auto by_hand = gallery::read_by_hand(root() / "docs/gallery/by_hand.toml");
    std::size_t equal = 0;
    std::string more;
    for (std::size_t i = 0; i < all().size(); ++i) {
        const auto shape = by_hand.find(all()[i].id);
        const int needed =
            shape != by_hand.end() ? shape->second.crossings : fewest.at(all()[i].id).with_signs;
        const int ours = shown()[i].figures.crossings;
        equal += ours <= needed ? 1 : 0;
        more +=
            ours > needed ? fmt::format("{} {} instead of {}\n", all()[i].id, ours, needed) : "";
    }
    std::cout << fmt::format(
        "{} of {} have no more crossings than by hand; more:\n{}", equal, all().size(), more);
    EXPECT_GE(6 * equal, 5 * all().size()) << more;
}

// ---- the search on circuits whose answer is known ----------------------------------------------

gallery::Fewest fewest_of(const std::vector<dossier::Part>& parts) {
    return gallery::fewest_crossings(circuit::build(parts, {}, drawing_test::catalogue()), 200);
}

TEST(FewestCrossings, OfThreePartsOnThreeNetsIsOne) {
    // K(3,3), the utilities problem: not planar, and one crossing is enough.
    const gallery::Fewest found =
        fewest_of({part("Q1", "NPN transistor", "", "base=A collector=B emitter=C"),
                   part("Q2", "NPN transistor", "", "base=A collector=B emitter=C"),
                   part("Q3", "NPN transistor", "", "base=A collector=B emitter=C")});
    EXPECT_EQ(found, (gallery::Fewest{1, 1}));
}

TEST(FewestCrossings, OfTwoPartsOnThreeNetsIsNone) {
    EXPECT_EQ(fewest_of({part("Q1", "NPN transistor", "", "base=A collector=B emitter=C"),
                         part("Q2", "NPN transistor", "", "base=A collector=B emitter=C")}),
              (gallery::Fewest{0, 0}));
}

// Between two bridges with two neighbouring ends swapped, the order of pins asks for a crossing
// though the graph itself is planar.
TEST(FewestCrossings, HeedTheOrderInWhichPinsLeaveASymbol) {
    EXPECT_EQ(fewest_of({part("BR1", "bridge rectifier", "", "~1=A ~2=B +=C -=D"),
                         part("BR2", "bridge rectifier", "", "~1=A ~2=B +=C -=D")}),
              (gallery::Fewest{0, 0}));
    const gallery::Fewest swapped =
        fewest_of({part("BR1", "bridge rectifier", "", "~1=A ~2=B +=C -=D"),
                   part("BR2", "bridge rectifier", "", "~1=B ~2=A +=C -=D")});
    EXPECT_EQ(swapped, (gallery::Fewest{1, 1}));
}

TEST(FewestCrossings, WithSignsLeaveOutWhatASupplyFeeds) {
    // K(3,3) again, but one net is a supply's.
    const gallery::Fewest found =
        fewest_of({part("Q1", "NPN transistor", "", "base=A collector=B emitter=C"),
                   part("Q2", "NPN transistor", "", "base=A collector=B emitter=C"),
                   part("Q3", "NPN transistor", "", "base=A collector=B emitter=C"),
                   part("G1", "DC supply", "", "+=B -=D")});
    EXPECT_EQ(found, (gallery::Fewest{0, 1}));
}

}  // namespace
}  // namespace etchback::drawing
