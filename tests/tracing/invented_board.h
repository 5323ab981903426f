// An invented board by seed, photographed from both sides, as a person would write its dossier: two
// photos, the width, every part with its body and pads pointed at; and what is true of it.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "board-photographer/photograph.h"
#include "board-photographer/truth.h"
#include "copper/eye/photo.h"
#include "copper/eye/tracing.h"
#include "copper/trace.h"
#include "dossier/dossier.h"

namespace etchback::tracing {

struct InventedBoard {
    photographer::Layout layout;
    photographer::Truth truth;
    photographer::Shot top{{}, {}, photographer::Camera({}), {}};
    photographer::Shot bottom{{}, {}, photographer::Camera({}), {}};
    double cruelty = 0.0;
    dossier::Dossier dossier;
    std::vector<copper::eye::Photo> photos;

    const photographer::Shot& shot(copper::Side side) const {
        return side == copper::Side::top ? top : bottom;
    }
};

// `size`: of the photos; empty: as the nuisance has it.
InventedBoard invented_board(std::uint64_t seed, cv::Size size);

// The same where the program says that the sides do not lie well on each other, and the person does
// what it asks for: gives one name on both photos to each of some holes that both show, and
// measures where they are on the board.
InventedBoard with_points(const InventedBoard& board);

struct TracedBoard {
    copper::Trace trace;
    std::vector<std::string> nets;  // truly, for each of the trace's pads
    double missed_mm = 0.0;         // how far one place on both photos comes to lie apart, RMS
};

// The photos laid straight and followed without a stroke. Nothing: they could not be laid onto the
// board; `why` says why.
std::optional<copper::eye::Tracing> begun(const InventedBoard& board, std::string& why);

// The rest of the way, as the command goes it.
TracedBoard traced(const InventedBoard& board, const copper::eye::Tracing& tracing);

}  // namespace etchback::tracing
