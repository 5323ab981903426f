// What is really on a board: the measure for whatever is read from its photographs.
#pragma once

#include <filesystem>
#include <opencv2/core/mat.hpp>
#include <string>
#include <vector>

#include "board-photographer/layout.h"
#include "board-photographer/pours.h"

namespace etchback::photographer {

struct TruthHole {
    Point at;
    double diameter_mm = 0.0;  // of a slot: its width
    Polyline slot;             // empty: round
    bool plated = false;       // joins the copper of both sides
    bool open = false;         // one can look through it: no solder, no part, no mask
};

struct TruthPad {
    std::string net;
    std::string part;  // empty: a via or a test point
    std::string pin;
    Point at;
    bool top = false;  // has copper on the top side
    bool bottom = false;
};

struct Truth {
    copper::Raster raster;
    // 255 where there is copper; both seen from the top. Holes are not cut out of pads.
    cv::Mat top;
    cv::Mat bottom;
    cv::Mat board;     // 255 where there is board: outline less cut-outs, slots and screw holes
    cv::Mat body_top;  // 255 below a part, looked at straight from above
    cv::Mat body_bottom;
    std::vector<TruthHole> holes;
    std::vector<TruthPad>
        pads;  // with vias; nets by name, pads without net have names of their own
};

Truth truth_of(const Layout& layout, double px_per_mm = 20.0);

// Copper of one side of the layout, drawn into a raster.
cv::Mat copper_of(const Layout& layout,
                  const std::vector<PouredCopper>& poured,
                  Side side,
                  const copper::Raster& raster,
                  bool soft);

// Outline of a part's body on the board; empty for none.
Polyline body_ring(const Part& part, double grow_mm = 0.0);

std::vector<TruthHole> holes_of(const Layout& layout);

// top.png, bottom.png, board.png, bodies-top.png, bodies-bottom.png, holes.csv and nets.csv.
void write_truth(const Truth& truth, const std::filesystem::path& folder);

}  // namespace etchback::photographer
