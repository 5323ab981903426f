// What a person asks of a drawing holds in it, on circuits of the gallery, and goes on to hold when
// the circuit changes.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <iostream>
#include <map>

#include "circuit/domains.h"
#include "drawing/drawing.h"
#include "drawing/figures.h"
#include "drawing/random_circuit.h"
#include "drawing/svg.h"
#include "gallery/circuits.h"

namespace etchback::drawing {
namespace {

using circuit::Circuit;

// Every sixth circuit of the gallery.
const std::vector<gallery::Entry>& some() {
    static const std::vector<gallery::Entry> entries = [] {
        std::vector<gallery::Entry> kept;
        const auto all = gallery::entries(ETCHBACK_SOURCE_DIR);
        for (std::size_t i = 0; i < all.size(); i += 6) {
            kept.push_back(all[i]);
        }
        return kept;
    }();
    return entries;
}

Drawing drawn(const Circuit& circuit, const Nudges& nudges = {}) {
    const Drawing drawing = draw(circuit, circuit::domains(circuit), {.nudges = nudges});
    const DrawingFigures f = figures(drawing, circuit);
    EXPECT_EQ(f.overlaps, 0) << fmt::format("{}", fmt::join(f.overlap_list, "\n"));
    const auto nets = nets_from_svg(to_svg(drawing, circuit));
    EXPECT_TRUE(nets && *nets == nets_of(circuit));
    EXPECT_EQ(not_kept(drawing, circuit, nudges), std::vector<std::string>{});
    return drawing;
}

// Parts of two pins that may stand anywhere: neither source nor load, on one side of the isolation.
std::vector<std::string> free_parts(const Circuit& circuit) {
    const circuit::Domains domains = circuit::domains(circuit);
    std::vector<std::string> names;
    for (const circuit::Part& part : circuit.parts) {
        const bool small = part.kind.symbol == "resistor" || part.kind.symbol == "capacitor" ||
                           part.kind.symbol == "diode" || part.kind.symbol == "inductor";
        if (small && part.pins.size() == 2 &&
            domains.of(part.pins[0].net) == domains.of(part.pins[1].net)) {
            names.push_back(part.name);
        }
    }
    return names;
}

// Two of them in one domain, the last that there are.
std::vector<std::string> two_of(const Circuit& circuit) {
    const circuit::Domains domains = circuit::domains(circuit);
    const auto domain = [&](const std::string& name) {
        return domains.of(circuit[*circuit.part(name)].pins[0].net);
    };
    const std::vector<std::string> names = free_parts(circuit);
    for (std::size_t i = names.size(); i-- > 1;) {
        for (std::size_t j = 0; j < i; ++j) {
            if (domain(names[i]) == domain(names[j])) {
                return {names[j], names[i]};
            }
        }
    }
    return {};
}

TEST(Wishes, APartStandsTurnedAsAsked) {
    for (const gallery::Entry& entry : some()) {
        SCOPED_TRACE(entry.id);
        const Drawing plain = drawn(entry.circuit);
        const auto names = free_parts(entry.circuit);
        if (names.empty()) {
            continue;
        }
        const int now = plain.parts[static_cast<std::size_t>(entry.circuit.part(names[0])->index)]
                            .orientation.quarter_turns;
        Nudges nudges;
        nudges.turns = {{names[0], (now + 1) % 4, std::nullopt}};
        drawn(entry.circuit, nudges);
    }
}

TEST(Wishes, APartStandsOnTheOtherSideOfAnother) {
    for (const gallery::Entry& entry : some()) {
        SCOPED_TRACE(entry.id);
        const Drawing plain = drawn(entry.circuit);
        const auto pair = two_of(entry.circuit);
        if (pair.empty()) {
            continue;
        }
        const auto at = [&](const std::string& name) {
            return plain.parts[static_cast<std::size_t>(entry.circuit.part(name)->index)].at;
        };
        Nudges nudges;
        const bool is_left = at(pair[0]).x < at(pair[1]).x;
        nudges.beside = {{pair[0], is_left ? Direction::right : Direction::left, pair[1]}};
        drawn(entry.circuit, nudges);
        const bool is_above = at(pair[0]).y < at(pair[1]).y;
        nudges.beside = {{pair[0], is_above ? Direction::down : Direction::up, pair[1]}};
        drawn(entry.circuit, nudges);
    }
}

TEST(Wishes, APartStandsJustSoFarFromAnother) {
    for (const gallery::Entry& entry : some()) {
        SCOPED_TRACE(entry.id);
        const auto pair = two_of(entry.circuit);
        if (pair.empty()) {
            continue;
        }
        Nudges nudges;
        nudges.ties = {{pair[0], pair[1], {10, -9}}};
        drawn(entry.circuit, nudges);
    }
}

TEST(Wishes, PartsStandAtTheirPlacesAgainstEachOther) {
    for (const gallery::Entry& entry : some()) {
        SCOPED_TRACE(entry.id);
        const auto pair = two_of(entry.circuit);
        if (pair.empty()) {
            continue;
        }
        Nudges nudges;
        nudges.stands = {{pair[0], Point{200, 100}, std::nullopt},
                         {pair[1], Point{212, 106}, std::nullopt}};
        drawn(entry.circuit, nudges);
    }
}

TEST(Wishes, AGroupStandsTogether) {
    for (const gallery::Entry& entry : some()) {
        SCOPED_TRACE(entry.id);
        const auto pair = two_of(entry.circuit);
        if (pair.empty()) {
            continue;
        }
        Nudges nudges;
        nudges.together = {pair};
        drawn(entry.circuit, nudges);
    }
}

TEST(Wishes, HoldWhenThePartsChange) {
    auto parts = drawing_test::random_parts(7, 30);
    const Circuit first = circuit::build(parts, {}, drawing_test::catalogue());
    const auto pair = two_of(first);
    ASSERT_FALSE(pair.empty());
    Nudges nudges;
    nudges.ties = {{pair[0], pair[1], {10, -9}}};
    nudges.turns = {{pair[1], 1, std::nullopt}};
    Nudges next = nudges;
    next.before = stands_of(drawn(first, nudges), first);
    const std::string net = parts.front().pins.front().net;
    parts.push_back(drawing_test::part("R900", "resistor", "1k", "1=" + net + " 2=NEW"));
    parts.push_back(drawing_test::part("R901", "resistor", "1k", "1=NEW 2=" + net));
    const Circuit second = circuit::build(parts, {}, drawing_test::catalogue());
    drawn(second, next);
    drawn(second, nudges);
}

// How many parts have another place against the most of the others, or another orientation.
int moved_between(const Drawing& a, const Circuit& of_a, const Drawing& b, const Circuit& of_b) {
    std::map<std::pair<double, double>, int> shifts;
    int common = 0, stayed = 0;
    for (const PlacedPart& old : a.parts) {
        if (const auto part = of_b.part(of_a[old.part].name)) {
            const PlacedPart& now = b.parts[static_cast<std::size_t>(part->index)];
            ++common;
            if (now.orientation == old.orientation) {
                stayed = std::max(stayed, ++shifts[{now.at.x - old.at.x, now.at.y - old.at.y}]);
            }
        }
    }
    return common - stayed;
}

void expect_right(const Drawing& drawing, const Circuit& circuit, const Nudges& nudges = {}) {
    EXPECT_EQ(figures(drawing, circuit).overlaps, 0);
    const auto nets = nets_from_svg(to_svg(drawing, circuit));
    EXPECT_TRUE(nets && *nets == nets_of(circuit));
    EXPECT_EQ(not_kept(drawing, circuit, nudges), std::vector<std::string>{});
}

TEST(Redrawing, OfTheSameCircuitGivesTheSameDrawing) {
    for (const gallery::Entry& entry : some()) {
        SCOPED_TRACE(entry.id);
        const circuit::Domains domains = circuit::domains(entry.circuit);
        const Drawing before = draw(entry.circuit, domains);
        const Drawing after = redraw(before, entry.circuit, entry.circuit, domains);
        EXPECT_EQ(moved_between(before, entry.circuit, after, entry.circuit), 0);
        EXPECT_EQ(figures(after, entry.circuit).crossings,
                  figures(before, entry.circuit).crossings);
        expect_right(after, entry.circuit);
    }
}

// A person drags one part after another: each stays where it was put, and the rest of the drawing
// stays as it was but for what is in the way.
TEST(Redrawing, LeavesAllButWhatIsInTheWayOfADraggedPart) {
    const Circuit circuit =
        circuit::build(drawing_test::random_parts(11, 40), {}, drawing_test::catalogue());
    const circuit::Domains domains = circuit::domains(circuit);
    Drawing before = drawn(circuit);
    Nudges nudges;
    const std::vector<std::string> names = free_parts(circuit);
    ASSERT_GE(names.size(), 5U);
    for (std::size_t i = 0; i < 5; ++i) {
        const auto part = static_cast<std::size_t>(circuit.part(names[i])->index);
        const Point at = before.parts[part].at;
        nudges.stands.push_back({names[i],
                                 Point{at.x - before.origin.x + 2.0, at.y - before.origin.y + 1.0},
                                 std::nullopt});
        const Drawing after = redraw(before, circuit, circuit, domains, {.nudges = nudges});
        expect_right(after, circuit, nudges);
        EXPECT_LE(moved_between(before, circuit, after, circuit), 5) << names[i];
        before = after;
    }
}

TEST(Redrawing, TurnsAPartAndLeavesTheRest) {
    const Circuit circuit =
        circuit::build(drawing_test::random_parts(11, 40), {}, drawing_test::catalogue());
    const circuit::Domains domains = circuit::domains(circuit);
    const Drawing before = drawn(circuit);
    const std::vector<std::string> names = free_parts(circuit);
    const auto part = static_cast<std::size_t>(circuit.part(names.back())->index);
    Nudges nudges;
    nudges.turns = {
        {names.back(), (before.parts[part].orientation.quarter_turns + 1) % 4, std::nullopt}};
    const Drawing after = redraw(before, circuit, circuit, domains, {.nudges = nudges});
    expect_right(after, circuit, nudges);
    EXPECT_LE(moved_between(before, circuit, after, circuit), 5);
}

// A resistor across two nets of each circuit.
TEST(Redrawing, MovesLittleWhenAPartIsAdded) {
    int moved = 0, parts = 0;
    for (const gallery::Entry& entry : some()) {
        SCOPED_TRACE(entry.id);
        const Drawing before = draw(entry.circuit, circuit::domains(entry.circuit));
        std::vector<dossier::Part> all;
        for (const circuit::Part& part : entry.circuit.parts) {
            all.push_back(part.said);
        }
        const std::vector<std::string> names = free_parts(entry.circuit);
        ASSERT_FALSE(names.empty());
        const circuit::Part& like = entry.circuit[*entry.circuit.part(names.back())];
        all.push_back(drawing_test::part("R900",
                                         "resistor",
                                         "1k",
                                         "1=" + entry.circuit[like.pins[0].net].name +
                                             " 2=" + entry.circuit[like.pins[1].net].name));
        const Circuit more = circuit::build(all, {}, drawing_test::catalogue());
        const Drawing after = redraw(before, entry.circuit, more, circuit::domains(more));
        expect_right(after, more);
        moved += moved_between(before, entry.circuit, after, more);
        parts += static_cast<int>(entry.circuit.parts.size());
    }
    RecordProperty("parts_moved", moved);
    std::cout << moved << " of " << parts << " parts moved where one was added\n";
    EXPECT_LE(6 * moved, parts);
}

TEST(Wishes, ThatContradictTheDrawingAreNamed) {
    const Circuit circuit =
        circuit::build({drawing_test::part("G1", "DC supply", "12 V", "+=VCC -=GND"),
                        drawing_test::part("R1", "resistor", "1k", "1=VCC 2=OUT"),
                        drawing_test::part("R2", "resistor", "1k", "1=OUT 2=GND")},
                       {},
                       drawing_test::catalogue());
    Nudges nudges;
    nudges.stands = {{"R1", Point{10, 10}, std::nullopt}, {"R2", Point{10, 11}, std::nullopt}};
    const Drawing drawing = draw(circuit, circuit::domains(circuit), {.nudges = nudges});
    EXPECT_EQ(figures(drawing, circuit).overlaps, 0);
    EXPECT_EQ(not_kept(drawing, circuit, nudges),
              std::vector<std::string>{"R2 does not stand at [10, 11]"});
}

}  // namespace
}  // namespace etchback::drawing
