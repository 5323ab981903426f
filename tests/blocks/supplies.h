// Supplies put together at random from known blocks, with the truth: which parts are which block.
#pragma once

#include <set>
#include <string>
#include <vector>

#include "board.h"

namespace etchback::test {

struct KnownBlock {
    std::string pattern;
    std::set<std::string> parts;
    bool operator==(const KnownBlock&) const = default;
};

struct KnownSupply {
    Board board;
    std::vector<KnownBlock> blocks;
};

// Values, variants, part numbers and the order in the file follow the seed.
KnownSupply random_supply(unsigned seed);

}  // namespace etchback::test
