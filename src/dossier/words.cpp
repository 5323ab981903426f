#include "dossier/words.h"

#include <algorithm>
#include <array>

#include "base/text.h"

namespace etchback::dossier {

namespace {

using base::Unit;

constexpr std::array<QuantityWord, 24> known_quantities = {{
    {"supply voltage", Unit::volt},
    {"supply frequency", Unit::hertz},
    {"supply current", Unit::ampere},
    {"input power", Unit::watt},
    {"apparent power", Unit::volt_ampere},
    {"reactive power", Unit::var},
    {"power factor", Unit::none},
    {"input resistance", Unit::ohm},
    {"inrush current", Unit::ampere},
    {"output voltage", Unit::volt},
    {"output current", Unit::ampere},
    {"output power", Unit::watt},
    {"efficiency", Unit::percent},
    {"protection class", Unit::none},
    {"voltage", Unit::volt},
    {"current", Unit::ampere},
    {"resistance", Unit::ohm},
    {"capacitance", Unit::farad},
    {"inductance", Unit::henry},
    {"frequency", Unit::hertz},
    {"time", Unit::second},
    {"temperature", Unit::celsius},
    {"luminous flux", Unit::lumen},
    {"illuminance", Unit::lux},
}};

constexpr std::array<Basis, 7> all_bases = {Basis::seen,
                                            Basis::marking,
                                            Basis::measured,
                                            Basis::traced,
                                            Basis::told,
                                            Basis::datasheet,
                                            Basis::assumed};

}  // namespace

std::span<const QuantityWord> quantity_words() {
    return known_quantities;
}

base::Unit unit_of(std::string_view quantity) {
    const auto* found = std::ranges::find(known_quantities, quantity, &QuantityWord::word);
    return found == known_quantities.end() ? Unit::none : found->unit;
}

std::span<const std::string> net_roles() {
    static const std::array<std::string, 4> words = {"live", "neutral", "earth", "return"};
    return words;
}

std::span<const std::string> photo_sides() {
    static const std::array<std::string, 4> words = {"top", "bottom", "label", "other"};
    return words;
}

std::span<const std::string> board_sides() {
    static const std::array<std::string, 2> words = {"top", "bottom"};
    return words;
}

std::span<const std::string> photo_contents() {
    static const std::array<std::string, 1> words = {"copper"};
    return words;
}

std::span<const std::string> mask_words() {
    static const std::array<std::string, 6> words = {
        "green", "blue", "red", "white", "black", "none"};
    return words;
}

std::span<const std::string> stroke_words() {
    static const std::array<std::string, 15> words = {"copper",
                                                      "bare copper",
                                                      "masked copper",
                                                      "hidden copper",
                                                      "laminate",
                                                      "no copper",
                                                      "hole",
                                                      "plated hole",
                                                      "legend",
                                                      "body",
                                                      "background",
                                                      "cut",
                                                      "bridge",
                                                      "goes on",
                                                      "stops"};
    return words;
}

std::span<const std::string> supply_words() {
    static const std::array<std::string, 3> words = {"nominal", "low", "high"};
    return words;
}

std::span<const std::string> beginning_words() {
    static const std::array<std::string, 2> words = {"cold", "steady"};
    return words;
}

std::span<const std::string> deed_words() {
    static const std::array<std::string, 4> words = {
        "open load", "short load", "restore load", "scale supply"};
    return words;
}

std::span<const std::string> symbol_words() {
    static const std::array<std::string, 2> words = {"iec", "ansi"};
    return words;
}

std::span<const std::string> paper_words() {
    static const std::array<std::string, 4> words = {"fit", "A4", "A3", "letter"};
    return words;
}

std::span<const std::string> layer_words() {
    static const std::array<std::string, 4> words = {"tolerances", "doubts", "voltages", "blocks"};
    return words;
}

std::span<const std::string> basis_words() {
    static const std::array<std::string, 7> words = {
        "seen", "marking", "measured", "traced", "told", "datasheet", "assumed"};
    return words;
}

std::optional<Basis> basis_named(std::string_view word) {
    for (const Basis basis : all_bases) {
        if (name_of(basis) == word) {
            return basis;
        }
    }
    return std::nullopt;
}

std::span<const std::string> part_facts() {
    static const std::array<std::string, 18> words = {"kind",
                                                      "title",
                                                      "marking",
                                                      "type",
                                                      "value",
                                                      "tolerance",
                                                      "body",
                                                      "rated_voltage",
                                                      "rated_current",
                                                      "rated_power",
                                                      "rated_temperature",
                                                      "properties",
                                                      "pins",
                                                      "windings",
                                                      "leakage",
                                                      "family",
                                                      "thresholds",
                                                      "position"};
    return words;
}

}  // namespace etchback::dossier
