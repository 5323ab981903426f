// Patterns of known groups of parts, as data (data/blocks/*.toml, described in docs/patterns.md).
//
// A pattern is a small circuit: slots for elements (elements.h), joined by nets of its own. Some
// slots may be absent, some may be a plain wire instead, some may occur several times. What is
// found gets roles, figures and words from the same file.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/quantity.h"

namespace etchback::blocks {

// A pin of a slot: names that it may have (one of "1" and "2": either end), and the pattern's net.
struct SlotPin {
    std::vector<std::string> names;
    int net = -1;
};

struct Slot {
    std::string name;                   // in words and formulas: "R"
    std::vector<std::string> kinds;     // kind ids, one of which an element must have ...
    std::vector<std::string> families;  // ... or families
    std::vector<SlotPin> pins;
    std::string role;                   // what the parts are there for: "clamp resistor"
    bool owns = true;                   // false: part of the surroundings, belongs to another block
    bool optional = false;              // the block is the same block without it
    bool several = false;               // optional, and as often as it occurs
    bool or_wire = false;               // a plain wire may be in its place
    std::optional<double> least, most;  // of its value; an unknown value passes
    std::optional<int> usual_series;    // so many in series are usual: fewer is worth a word
    std::string fewer;                  // that word
    std::string if_open, if_shorted;    // a near match: what to say of it; empty: no near match
};

struct PatternNet {
    std::string name;
    std::vector<std::string> is, is_not;  // terms of net_terms.h, all of which must hold
    bool alone = false;                   // nothing but the block's own elements is on it
};

// A number that the block has, by a formula over its slots' values and properties.
struct PatternFigure {
    std::string id, title, symbol, formula;
    base::Unit unit = base::Unit::none;
    std::string source;
    // What a run in time says of the same: "output_current" of the load, "dissipation R" of a
    // slot's parts, "bus_voltage_least p" of a net. Empty: nothing.
    std::string simulated;
    std::string simulated_in = "normal";  // the scenario
    std::string
        simulated_if;  // only where its story has this event of a slot's part: "over_voltage U"
    std::optional<double> within;  // by which share the two may differ
    // It is counted only where this net is ("in is bus"), or is not, what is said; net -1: always.
    int when_net = -1;
    bool when_is = true;
    std::string when;
    bool silent = false;  // only for other figures, not told
    std::string share;    // other blocks know it as "known." and this
};

// A sentence; said where all slots and figures that it names are there.
struct Saying {
    std::string text;
    std::vector<std::string> without;  // and none of these slots
};

// A number that is counted with where the dossier states none.
struct Usual {
    std::string name;  // "D.forward_voltage"
    double value = 0.0;
    std::string source;
};

struct Pattern {
    std::string id, title;
    std::string stage;    // where in the reading from mains to load: one of stages()
    int order = 50;       // within the stage
    int preference = 50;  // of overlapping blocks the one with more keeps its parts
    std::vector<Slot> slots;
    std::vector<PatternNet> nets;
    std::vector<std::pair<int, int>> across_mains;    // nets on different lines of the mains
    std::vector<std::pair<int, int>> across_barrier;  // nets in different galvanic domains
    std::vector<std::pair<int, int>> same_domain;
    std::vector<std::pair<int, int>> may_be_one;  // nets that need not differ
    std::vector<std::string> where;  // conditions over values, as formulas; unknown values pass
    std::vector<Usual> usual;
    std::vector<PatternFigure> figures;
    std::vector<Saying> says;
    std::vector<std::string> cautions;
    std::string source;

    int slot(std::string_view name) const;  // -1: none
    int net(std::string_view name) const;
};

struct Stage {
    std::string id, title;
    std::vector<std::string>
        events;  // keys of a run's story that are told here, whoever they are of
};

struct PatternBook {
    std::vector<Stage> stages;  // in the order of telling
    // Names that makers give to a chip's pin: "sense" -> CS, ISEN ...
    std::vector<std::pair<std::string, std::vector<std::string>>> pin_groups;
    std::vector<Pattern> patterns;  // sorted by id
};

// Reads every *.toml of each folder, in the order of their names; a pattern with the id of an
// earlier one replaces it. Everything wrong is told with its place.
base::Result<PatternBook> load_patterns(const std::vector<std::filesystem::path>& folders);

}  // namespace etchback::blocks
