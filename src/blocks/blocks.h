// What each group of parts is for: patterns (pattern.h) found in a circuit, with roles, figures and
// sentences.
//
// Parts belong to at most one block. Where blocks overlap, an exact match goes before a near one,
// then the pattern's preference, then the larger block. Parts that no block owns are unexplained:
// homework for whoever reads.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/figure.h"
#include "blocks/pattern.h"
#include "circuit/circuit.h"
#include "circuit/domains.h"

namespace etchback::blocks {

struct Filling {
    std::string slot;
    std::vector<circuit::PartId> parts;  // sorted
    std::string role;
    bool owns = true;
};

// A figure with the span that tolerances of its parts give it: nine in ten items lie between. Parts
// count as evenly spread over their tolerance; values without one do not vary.
struct BlockFigure {
    base::Figure figure;
    double low = 0.0, high = 0.0;
    // What a run in time shows of the same quantity.
    struct Simulated {
        std::string scenario;
        // behaviour::FigureRow::id, to be added up; one that ends with a dot is of any load. Empty:
        // nothing is.
        std::vector<std::string> figures;
        std::optional<double> within;  // by which share it may differ, by experience
        // The run says something of it only where its story has this event, of this part.
        std::string event, event_of;
    };
    Simulated simulated;
};

struct Block {
    std::string pattern, title, stage;
    int order = 0;                  // within the stage
    std::vector<Filling> fillings;  // in the order of the pattern's slots; absent ones left out
    std::vector<std::pair<std::string, circuit::NetId>> nets;  // by the pattern's names
    std::vector<BlockFigure> figures;
    std::vector<std::string> sentences;
    std::vector<std::string> remarks;  // what departs from the usual: near matches, too few parts
    std::vector<std::string> cautions;
    bool exact = true;
    std::string source;

    std::vector<circuit::PartId> parts() const;  // that it owns, sorted
};

struct Role {
    std::string text;  // empty: not explained
    int block = -1;
};

struct Blocks {
    std::vector<Block> blocks;  // in the order of stages
    std::vector<Role> roles;    // by part
    std::vector<circuit::PartId> unexplained;
    std::int64_t steps = 0;  // candidates looked at
};

Blocks find_blocks(const circuit::Circuit& circuit,
                   const circuit::Domains& domains,
                   const dossier::Dossier& dossier,
                   const PatternBook& book);

}  // namespace etchback::blocks
