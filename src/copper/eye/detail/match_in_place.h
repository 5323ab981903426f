// Do two sides fit each other as their outlines lie?
//
// Where outlines are seen well, the sides lie within half a millimetre of each other already, and
// the only question is which way round. Few open holes answer that: most are filled with solder or
// below a part. So joints count, too: a bright round spot at the same place on both sides, or a
// hole on one side where the other has a joint.
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "copper/eye/detail/spot_grid.h"

namespace etchback::copper::eye::detail {

struct PairInPlace {
    int a = 0;
    int b = 0;
    double sigma_mm = 0.1;
};

struct MatchInPlace {
    std::vector<PairInPlace> pairs;
    // How far the agreement stands out from that of the same sides shifted against each other, in
    // standard deviations.
    double evidence = 0.0;
};

// `a` and `b` hold dark and bright spots.
MatchInPlace match_in_place(const std::vector<SideSpot>& a,
                            const std::vector<SideSpot>& b,
                            cv::Size2d board);

}  // namespace etchback::copper::eye::detail
