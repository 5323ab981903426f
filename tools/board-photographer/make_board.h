// Boards by seed: invented, but laid out as boards are, with nets that are known.
#pragma once

#include <cstdint>
#include <optional>

#include "board-photographer/layout.h"

namespace etchback::photographer {

// What is left open is chosen by the seed.
struct BoardKnobs {
    std::optional<int> sides;  // 1 or 2
    std::optional<int> pads;   // about so many pins of parts
    std::optional<Mask> mask;
};

// The same seed and knobs give the same board. Pads of one net are joined by copper, and no others.
Layout make_board(std::uint64_t seed, const BoardKnobs& knobs = {});

}  // namespace etchback::photographer
