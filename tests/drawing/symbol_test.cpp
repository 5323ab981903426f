#include "drawing/symbol.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "drawing/drawing.h"
#include "drawing/sample_parts.h"
#include "parts/catalogue.h"

namespace etchback::drawing {
namespace {

using samples::part;

constexpr Standard both[] = {Standard::iec, Standard::ansi};

std::vector<Orientation> all_orientations() {
    std::vector<Orientation> all;
    for (int turns = 0; turns < 4; ++turns) {
        all.push_back({turns, false});
        all.push_back({turns, true});
    }
    return all;
}

bool on_grid(Point p) {
    return p.x == std::round(p.x) && p.y == std::round(p.y);
}

bool on_rim(const SymbolPin& pin, const Box& box) {
    constexpr double near = 1e-9;
    switch (pin.facing) {
        case Direction::right:
            return std::abs(pin.at.x - box.right) < near;
        case Direction::down:
            return std::abs(pin.at.y - box.bottom) < near;
        case Direction::left:
            return std::abs(pin.at.x - box.left) < near;
        case Direction::up:
            return std::abs(pin.at.y - box.top) < near;
    }
    return false;
}

Symbol natural(const circuit::Part& p, Standard standard = Standard::iec) {
    return symbol_of(p, standard);
}

Point pin_at(const Symbol& symbol, int pin) {
    for (const SymbolPin& p : symbol.pins) {
        if (p.pin == pin) {
            return p.at;
        }
    }
    ADD_FAILURE() << "no pin " << pin;
    return {};
}

// Pins of a symbol from top to bottom on one side.
std::vector<int> down_the(Direction side, const Symbol& symbol) {
    std::vector<SymbolPin> pins;
    for (const SymbolPin& pin : symbol.pins) {
        if (pin.facing == side) {
            pins.push_back(pin);
        }
    }
    std::sort(pins.begin(), pins.end(), [](const SymbolPin& a, const SymbolPin& b) {
        return a.at.y != b.at.y ? a.at.y < b.at.y : a.at.x < b.at.x;
    });
    std::vector<int> result;
    for (const SymbolPin& pin : pins) {
        result.push_back(pin.pin);
    }
    return result;
}

Box word_box(const Word& word) {
    return text_box(word.text, word.at, word.anchor, word.size);
}

TEST(Symbol, SamplesHoldEverySymbolThatThereIs) {
    std::set<std::string> sampled;
    for (const circuit::Part& p : samples::one_of_each()) {
        sampled.insert(p.kind.symbol);
    }
    const std::vector<std::string> ids = symbol_ids();
    EXPECT_EQ(sampled, std::set<std::string>(ids.begin(), ids.end()));
}

TEST(Symbol, EverySampleGetsItsOwnSymbolAndNoBox) {
    for (const Standard standard : both) {
        for (const circuit::Part& p : samples::one_of_each()) {
            EXPECT_EQ(symbol_of(p, standard).id, p.kind.symbol);
        }
    }
}

TEST(Symbol, EveryPinIsThereOnceOnTheGridAndOnTheRimInEveryOrientation) {
    for (const Standard standard : both) {
        for (const circuit::Part& p : samples::one_of_each()) {
            const Symbol natural = symbol_of(p, standard);
            for (const Orientation& o : all_orientations()) {
                if (natural.upright && o.quarter_turns % 2 == 1) {
                    continue;
                }
                const Symbol symbol = oriented(natural, o);
                std::set<int> pins;
                for (const SymbolPin& pin : symbol.pins) {
                    pins.insert(pin.pin);
                    EXPECT_TRUE(on_grid(pin.at)) << symbol.id;
                    EXPECT_TRUE(on_rim(pin, symbol.box))
                        << symbol.id << " turned " << o.quarter_turns << o.mirrored;
                }
                EXPECT_EQ(pins.size(), p.pins.size()) << symbol.id;
                EXPECT_EQ(symbol.pins.size(), p.pins.size()) << symbol.id;
            }
        }
    }
}

TEST(Symbol, EveryKindOfTheCatalogueIsDrawnAsWhatItIs) {
    const auto catalogue = parts::load_catalogue(std::string(ETCHBACK_SOURCE_DIR) + "/data/parts");
    ASSERT_TRUE(catalogue);
    const std::vector<std::string> ids = symbol_ids();
    for (const parts::Kind& kind : catalogue->kinds()) {
        EXPECT_TRUE(std::binary_search(ids.begin(), ids.end(), kind.symbol))
            << kind.id << " asks for the symbol " << kind.symbol;
        circuit::Part p;
        p.kind = kind;
        for (const parts::PinSpec& pin : kind.pins) {
            p.pins.push_back({pin.name, pin.name, pin.role, pin.side, {0}, {}});
        }
        if (!p.pins.empty()) {
            EXPECT_EQ(symbol_of(p, Standard::iec).id, kind.symbol) << kind.id;
        }
    }
}

TEST(Symbol, APartWhosePinsDoNotFitIsABoxWithAllOfThem) {
    const Symbol symbol = natural(part("R1", "resistor", {"1", "2", "3"}));
    EXPECT_EQ(symbol.id, "box");
    EXPECT_EQ(symbol.pins.size(), 3U);
    EXPECT_EQ(natural(part("Q1", "npn", {"1", "2", "3"})).id, "box");
    EXPECT_EQ(natural(part("X1", "no such symbol", {"1"})).id, "box");
    EXPECT_EQ(natural(part("T1", "transformer", {"1", "2"})).id, "box");
    EXPECT_EQ(natural(part("X1", "box", {})).pins.size(), 0U);
}

TEST(Symbol, TwoPinPartsLieWithTheirPositivePinLeft) {
    EXPECT_EQ(pin_at(natural(part("R1", "resistor", {"1", "2"})), 0), (Point{-3, 0}));
    EXPECT_EQ(pin_at(natural(part("D1", "diode", {"cathode", "anode"})), 1), (Point{-3, 0}));
    EXPECT_EQ(pin_at(natural(part("C1", "polarised_capacitor", {"-", "+"})), 1), (Point{-3, 0}));
    circuit::Part c = part("C1", "polarised_capacitor", {"b", "a"});
    c.pins[1].role = parts::PinRole::positive;
    EXPECT_EQ(pin_at(natural(c), 1), (Point{-3, 0}));
    // A Zener diode's cathode is its positive pin, and still its anode is left.
    circuit::Part z = part("D1", "zener_diode", {"cathode", "anode"});
    z.pins[0].role = parts::PinRole::positive;
    EXPECT_EQ(pin_at(natural(z), 1), (Point{-3, 0}));
}

TEST(Symbol, TransistorsHaveTheMorePositivePinOnTop) {
    EXPECT_EQ(pin_at(natural(part("Q1", "npn", {"base", "collector", "emitter"})), 1),
              (Point{0, -3}));
    EXPECT_EQ(pin_at(natural(part("Q1", "pnp", {"base", "collector", "emitter"})), 2),
              (Point{0, -3}));
    EXPECT_EQ(pin_at(natural(part("Q1", "nmos", {"gate", "drain", "source"})), 1), (Point{0, -3}));
    EXPECT_EQ(pin_at(natural(part("Q1", "pmos", {"gate", "drain", "source"})), 2), (Point{0, -3}));
    EXPECT_EQ(pin_at(natural(part("Q1", "nmos", {"source", "drain", "gate"})), 2), (Point{-3, 0}));
}

TEST(Symbol, BothStandardsHaveTheirPinsInTheSamePlaces) {
    for (const circuit::Part& p : samples::one_of_each()) {
        EXPECT_EQ(symbol_of(p, Standard::iec).pins, symbol_of(p, Standard::ansi).pins)
            << p.kind.symbol;
    }
}

TEST(Symbol, StandardsDifferWhereTheyShould) {
    for (const char* id : {"resistor", "capacitor", "diode", "fuse", "op_amp", "npn", "varistor"}) {
        for (const circuit::Part& p : samples::one_of_each()) {
            if (p.kind.symbol == id) {
                EXPECT_NE(symbol_of(p, Standard::iec).strokes, symbol_of(p, Standard::ansi).strokes)
                    << id;
            }
        }
    }
}

TEST(Symbol, BoxGroupsPinsByRole) {
    circuit::Part u = part("U1", "box", {"VCC", "GND", "OUT", "IN", "A", "B"});
    u.pins[0].role = parts::PinRole::supply;
    u.pins[1].role = parts::PinRole::ground;
    u.pins[2].role = parts::PinRole::output;
    u.pins[3].role = parts::PinRole::input;
    const Symbol symbol = natural(u);
    EXPECT_EQ(down_the(Direction::up, symbol), (std::vector<int>{0}));
    EXPECT_EQ(down_the(Direction::down, symbol), (std::vector<int>{1}));
    EXPECT_EQ(down_the(Direction::left, symbol), (std::vector<int>{3, 4}));
    EXPECT_EQ(down_the(Direction::right, symbol), (std::vector<int>{2, 5}));
}

TEST(Symbol, RegulatorHasItsInputLeft) {
    const Symbol symbol = natural(samples::regulator());
    EXPECT_EQ(down_the(Direction::left, symbol), (std::vector<int>{0}));
    EXPECT_EQ(down_the(Direction::right, symbol), (std::vector<int>{1}));
    EXPECT_EQ(down_the(Direction::down, symbol), (std::vector<int>{2}));
    std::vector<std::string> words;
    for (const Word& word : symbol.words) {
        words.push_back(word.text);
    }
    EXPECT_THAT(words, testing::UnorderedElementsAre("input", "output", "ground", "1", "2", "3"));
}

TEST(Symbol, WordsInABoxNeverCollideHoweverLong) {
    const std::vector<std::string> names = {
        "VCC_SUPPLY", "a", "GROUND_RETURN", "ENABLE/SHUTDOWN", "Ω", "b", "W W W W", "DRAIN"};
    using enum parts::PinRole;
    const parts::PinRole roles[] = {supply, supply, ground, input, input, output, ground, output};
    circuit::Part u = part("U1", "box", names);
    for (std::size_t i = 0; i < u.pins.size(); ++i) {
        u.pins[i].role = roles[i];
        u.pins[i].written = std::to_string(i + 1);
    }
    for (const bool mirrored : {false, true}) {
        const Symbol symbol = oriented(natural(u), {0, mirrored});
        EXPECT_EQ(symbol.words.size(), 16U);
        for (std::size_t i = 0; i < symbol.words.size(); ++i) {
            for (std::size_t j = 0; j < i; ++j) {
                EXPECT_FALSE(word_box(symbol.words[i]).overlaps(word_box(symbol.words[j])))
                    << symbol.words[i].text << " on " << symbol.words[j].text;
            }
        }
    }
}

TEST(Symbol, HeightsOrderPinsWhereTheOrderIsFree) {
    const circuit::Part u = part("U1", "box", {"1", "2", "3", "4"});
    const std::vector<double> heights = {1, 5, 2, 2};
    const Symbol box = symbol_of(u, Standard::iec, heights);
    EXPECT_EQ(down_the(Direction::left, box), (std::vector<int>{1, 0}));
    EXPECT_EQ(down_the(Direction::right, box), (std::vector<int>{2, 3}));
    const circuit::Part j = part("J1", "connector", {"1", "2", "3"});
    const Symbol connector = symbol_of(j, Standard::iec, std::vector<double>{0, 1, 2});
    EXPECT_EQ(down_the(Direction::right, connector), (std::vector<int>{2, 1, 0}));
}

TEST(Symbol, TransformerIsDerivedFromItsWindings) {
    const circuit::Part t = samples::transformer();
    const Symbol symbol = natural(t);
    EXPECT_EQ(symbol.id, "transformer");
    EXPECT_EQ(down_the(Direction::left, symbol), (std::vector<int>{0, 1, 4, 5}));
    EXPECT_EQ(down_the(Direction::right, symbol), (std::vector<int>{2, 3}));
    // The first winding is said to begin at its lower pin; heights turn it over, dot and all.
    const Symbol turned = symbol_of(t, Standard::iec, std::vector<double>{0, 1, 0, 0, 5, 4});
    EXPECT_EQ(down_the(Direction::left, turned), (std::vector<int>{4, 5, 1, 0}));
}

TEST(Symbol, TransformerKeepsTapsAndEmptyPins) {
    circuit::Part t = part("T1", "transformer", {"1", "2", "3", "4", "5", "NC"});
    t.said.windings = {samples::winding("primary", {"1", "2", "3"}),
                       samples::winding("output", {"4", "5"})};
    const Symbol symbol = natural(t);
    EXPECT_EQ(down_the(Direction::left, symbol), (std::vector<int>{0, 1, 2, 5}));
    EXPECT_EQ(down_the(Direction::right, symbol), (std::vector<int>{3, 4}));
}

TEST(Symbol, OneWindingWithATapIsACoilBetweenItsEnds) {
    circuit::Part t = part("L1", "transformer", {"top", "tap", "bottom"});
    t.said.windings = {samples::winding("tank", {"top", "tap", "bottom"})};
    const Symbol symbol = natural(t);
    EXPECT_EQ(symbol.id, "transformer");
    EXPECT_EQ(down_the(Direction::left, symbol), (std::vector<int>{1}));
    EXPECT_EQ(down_the(Direction::up, symbol), (std::vector<int>{0}));
    EXPECT_EQ(down_the(Direction::down, symbol), (std::vector<int>{2}));
    const Symbol turned = symbol_of(t, Standard::iec, std::vector<double>{0, 1, 2});
    EXPECT_EQ(down_the(Direction::up, turned), (std::vector<int>{2}));
    t.pins.push_back(t.pins.front());  // a pin of no winding: still a box
    EXPECT_EQ(natural(t).id, "box");
}

TEST(Symbol, TransformerWithoutWordsHasAWindingForEachSide) {
    circuit::Part t = part("T1", "transformer", {"1", "2", "3", "4"});
    EXPECT_EQ(down_the(Direction::left, natural(t)), (std::vector<int>{0, 1}));
    const std::string sides[] = {"a", "b", "a", "b"};
    for (std::size_t i = 0; i < 4; ++i) {
        t.pins[i].side = sides[i];
    }
    EXPECT_EQ(down_the(Direction::left, natural(t)), (std::vector<int>{0, 2}));
}

TEST(Symbol, OptionalPinsOnNoNetAreNotDrawn) {
    circuit::Part j = part("J1", "mains", {"L", "N", "PE"});
    j.kind.pins[2].optional = true;
    j.pins[0].net = j.pins[1].net = circuit::NetId{0};
    EXPECT_FALSE(is_drawn(j, 2));
    EXPECT_EQ(natural(j).id, "mains");
    EXPECT_EQ(natural(j).pins.size(), 2U);
    j.pins[2].net = circuit::NetId{1};
    EXPECT_EQ(natural(j).pins.size(), 3U);
    // Indices stay those of the part where a pin before is left out.
    circuit::Part k = part("K1", "relay", {"nc", "no", "common", "coil1", "coil2"});
    k.kind.pins[0].optional = true;
    const Symbol relay = natural(k);
    EXPECT_EQ(relay.id, "relay");
    EXPECT_EQ(down_the(Direction::up, relay), (std::vector<int>{3, 1}));
}

TEST(Oriented, FourQuarterTurnsAndTwoMirrorsGiveTheSymbolBack) {
    for (const circuit::Part& p : samples::one_of_each()) {
        const Symbol symbol = natural(p);
        Symbol turned = symbol;
        for (int i = 0; i < 4; ++i) {
            turned = oriented(turned, {1, false});
        }
        EXPECT_EQ(turned.strokes, symbol.strokes) << symbol.id;
        EXPECT_EQ(turned.pins, symbol.pins) << symbol.id;
        const Symbol mirrored = oriented(oriented(symbol, {0, true}), {0, true});
        EXPECT_EQ(mirrored.strokes, symbol.strokes) << symbol.id;
        EXPECT_EQ(mirrored.pins, symbol.pins) << symbol.id;
        for (std::size_t i = 0; i < symbol.words.size(); ++i) {
            EXPECT_EQ(mirrored.words[i].anchor, symbol.words[i].anchor) << symbol.id;
            EXPECT_NEAR(mirrored.words[i].at.x, symbol.words[i].at.x, 1e-9) << symbol.id;
            EXPECT_NEAR(mirrored.words[i].at.y, symbol.words[i].at.y, 1e-9) << symbol.id;
        }
    }
}

TEST(Oriented, AQuarterTurnIsClockwise) {
    const Symbol symbol = oriented(natural(part("R1", "resistor", {"1", "2"})), {1, false});
    EXPECT_EQ(pin_at(symbol, 0), (Point{0, -3}));
    EXPECT_EQ(symbol.pins[0].facing, Direction::up);
    EXPECT_EQ(symbol.box, (Box{-0.6, -3, 0.6, 3}));
    const Symbol mirrored =
        oriented(natural(part("Q1", "npn", {"base", "collector", "emitter"})), {1, true});
    EXPECT_EQ(pin_at(mirrored, 0), (Point{0, -3}));
    EXPECT_EQ(pin_at(mirrored, 1),
              (Point{-3, 0}));  // turned to the right, then mirrored to the left
}

// An inductor's humps bulge up, so its box reaches half a step up and not down; mirrored they still
// do, which they would not if the arcs kept their sense.
TEST(Oriented, ArcsKeepTheirBulgeWhenMirrored) {
    const Symbol symbol = natural(part("L1", "inductor", {"1", "2"}));
    const auto near = [](const Box& a, const Box& b) {
        return std::abs(a.left - b.left) + std::abs(a.top - b.top) + std::abs(a.right - b.right) +
                   std::abs(a.bottom - b.bottom) <
               1e-9;
    };
    EXPECT_TRUE(near(symbol.box, {-3, -0.5, 3, 0}));
    EXPECT_TRUE(near(oriented(symbol, {0, true}).box, {-3, -0.5, 3, 0}));
    EXPECT_TRUE(near(oriented(symbol, {1, false}).box, {0, -3, 0.5, 3}));
    EXPECT_TRUE(near(oriented(symbol, {1, true}).box, {-0.5, -3, 0, 3}));
    EXPECT_TRUE(near(oriented(symbol, {2, false}).box, {-3, 0, 3, 0.5}));
}

TEST(Oriented, WordsStayOffTheStrokesBesideWhichTheyStood) {
    const circuit::Part ntc = part("RT1", "ntc", {"1", "2"});
    for (const Orientation& o : all_orientations()) {
        const Symbol symbol = oriented(natural(ntc), o);
        const bool lying = o.quarter_turns % 2 == 0;
        const Box body = lying ? Box{-1.8, -0.6, 1.8, 0.6} : Box{-0.6, -1.8, 0.6, 1.8};
        EXPECT_FALSE(word_box(symbol.words.at(0)).overlaps(body));
    }
}

TEST(Sign, HoldsItsPlaceOnTheRimOfItsBoxAndItsTextInside) {
    using Kind = NetSign::Kind;
    for (const Kind kind :
         {Kind::mains_return, Kind::isolated_return, Kind::earth, Kind::rail, Kind::flag}) {
        for (const Direction facing :
             {Direction::right, Direction::down, Direction::left, Direction::up}) {
            for (const char* text : {"", "HV+", "a rather long name"}) {
                const Symbol sign = symbol_of_sign(kind, facing, text);
                const Box& box = sign.box;
                const double rim = facing == Direction::right  ? box.left
                                   : facing == Direction::left ? box.right
                                   : facing == Direction::down ? box.top
                                                               : box.bottom;
                EXPECT_NEAR(rim, 0.0, 1e-9);
                const Box across{box.left, box.top, box.right, box.bottom};
                EXPECT_LE(across.left, 0.0);
                EXPECT_GE(across.right, 0.0);
                EXPECT_LE(across.top, 0.0);
                EXPECT_GE(across.bottom, 0.0);
                for (const Word& word : sign.words) {
                    const Box b = word_box(word);
                    EXPECT_GE(b.left, box.left - 1e-9);
                    EXPECT_LE(b.right, box.right + 1e-9);
                    EXPECT_GE(b.top, box.top - 1e-9);
                    EXPECT_LE(b.bottom, box.bottom + 1e-9);
                }
            }
        }
    }
}

}  // namespace
}  // namespace etchback::drawing
