// The copper of one side as basins of certainty, with the saddles between them.
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <vector>

namespace etchback::copper::eye::detail {

struct BasinLimits {
    int core = 205;        // a level from which copper is sure and wide enough
    int floor = 25;        // below this, nothing joins
    double blur_px = 0.6;  // how far levels are averaged: what is narrower than this is in doubt
    int least_core_px = 20;
    int least_island_px = 4;
};

// The best way from one basin to another: the level of its weakest place.
struct Saddle {
    int a = 0;
    int b = 0;
    int level = 0;       // of the averaged probability, 0 to 255
    bool joined = true;  // copper (at least half) all along
    cv::Point at;
};

// What a basin grew from: a sure core, or a whole piece of copper that has none. Basins are
// numbered cores first, then as their first pixels come, row by row.
struct Seed {
    bool core = false;
    cv::Point first;
};

struct Basins {
    cv::Mat labels;  // CV_32S, -1: no copper
    int count = 0;
    std::vector<Saddle> saddles;  // one for each pair that touches, sorted by a, b
    std::vector<Seed> seeds;      // of each basin
    std::vector<int> before;      // of each basin: which one it was before; -1: it was found anew
    // What they were found from.
    cv::Mat copper;
    cv::Mat walls;
    cv::Mat level;
};

// Below this level of a picture of levels, nothing joins.
int flood_floor(const BasinLimits& limits);

// `copper`: CV_8U, 255 * probability. Pixels of at least 128 are copper; those in doubt are given
// to the basin that reaches them over the better way, so that every seen way between two basins is
// one saddle (a watershed: Vincent and Soille, IEEE Trans. PAMI 13 (1991) 583-598). Copper touches
// copper over sides of pixels, not over corners. Pixels below half get no label. `walls`: CV_8U,
// nothing goes across pixels that are set, which are no copper; may be empty.
//
// `before`: found with the same limits in a picture of the same size, or nothing. Only what hangs
// together with pixels that changed is divided again; it comes to the same, byte by byte. Neither
// `copper` nor `walls` may be written to afterwards.
Basins find_basins(const cv::Mat& copper,
                   const BasinLimits& limits,
                   const cv::Mat& walls = {},
                   const Basins* before = nullptr);

// The same basins once more.
Basins once_more(const Basins& before);

}  // namespace etchback::copper::eye::detail
