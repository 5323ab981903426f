#include "drawing/symbol.h"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "drawing/sample_parts.h"

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

}  // namespace
}  // namespace etchback::drawing
