// What a person would like to draw who sees what was read wrongly: each wish is for one stroke.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "tracing/lookout.h"

namespace etchback::tracing {

struct Wish {
    int gain = 0;  // pairs that it should mend
    copper::Side side = copper::Side::top;
    std::string says;
    // copper: the piece of known copper to be followed, the nets on it that are to be one, pins on
    // no copper, and plated holes with the net that each leads to.
    int piece = -1;
    std::vector<int> groups;  // also of a cut: what is to be parted
    std::vector<cv::Point> dark;
    std::vector<std::pair<int, cv::Point>> holes;
    bool needs_holes = false;  // some of these must be told first
    // cut: the true net that is to be parted from all else; -1: all from each other.
    int net = -1;
    // goes on, stops: places to be passed, those that may be, too, and those to be avoided.
    std::vector<cv::Point2d> right;
    std::vector<cv::Point2d> others;
    std::vector<cv::Point2d> wrong;
    // hidden copper: from net to net.
    std::vector<std::vector<cv::Point>> passages;
    // plated hole: places on the board, as they truly are.
    std::vector<copper::Point> told;
};

// All plated holes that they know and that do not join what was read about them, by one stroke,
// also those about which nothing was read: copper can be followed from there. But for those `told`.
Wish wish_holes(const Lookout& view, copper::Side side, const std::vector<copper::Point>& told);

// All places in doubt at which one knows that copper goes on, by one line.
std::optional<Wish> wish_ways(const Lookout& view, copper::Side side);

// All places at which copper was taken for going on and does not, by one line.
std::optional<Wish> wish_stops(const Lookout& view, copper::Side side);

// Along copper that is one, as one knows, but was not read as one, also to holes that lead to
// copper of the other side. `told`: plated holes.
std::vector<Wish> wish_copper(const Lookout& view,
                              copper::Side side,
                              const std::vector<copper::Point>& told);

// Nets that light up on two tracks: each true net in one from all else, and all at once.
std::vector<Wish> wish_cuts(const Lookout& view, copper::Side side);

}  // namespace etchback::tracing
