// The words that a dossier uses for things with a fixed meaning.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "base/quantity.h"
#include "dossier/dossier.h"

namespace etchback::dossier {

// A quantity that claims and readings speak of, and its unit. Other words are allowed; those have
// the unit that their value is written with.
struct QuantityWord {
    std::string_view word;
    base::Unit unit;
};
std::span<const QuantityWord> quantity_words();

// The unit of a known quantity ("input power": watt); Unit::none for words of the person's own.
base::Unit unit_of(std::string_view quantity);

std::span<const std::string> net_roles();        // live, neutral, earth, return
std::span<const std::string> photo_sides();      // top, bottom, label, other
std::span<const std::string> board_sides();      // top, bottom
std::span<const std::string> photo_contents();   // copper
std::span<const std::string> mask_words();       // green, blue, red, white, black, none
std::span<const std::string> stroke_words();     // copper, laminate, hole, cut, bridge ...
std::span<const std::string> supply_words();     // nominal, low, high
std::span<const std::string> beginning_words();  // cold, steady
std::span<const std::string> deed_words();    // open load, short load, restore load, scale supply
std::span<const std::string> symbol_words();  // iec, ansi
std::span<const std::string> paper_words();   // fit, A4, A3, letter
std::span<const std::string> layer_words();   // tolerances, doubts, voltages, blocks
std::span<const std::string> basis_words();   // seen, marking, measured ...
std::optional<Basis> basis_named(std::string_view word);

// The keys of a part that `known` and `alternatives` may speak of.
std::span<const std::string> part_facts();

}  // namespace etchback::dossier
