// Two photos of one board: which way round the second lies.
#pragma once

#include <vector>

#include "copper/eye/detail/scale.h"
#include "copper/eye/detail/side_view.h"
#include "dossier/dossier.h"

namespace etchback::copper::eye::detail {

struct Found {
    std::vector<SideView> views;  // top first
    dossier::Board board;
    Scale scale;
    std::vector<SameSpot> same;  // holes
    double evidence = 0.0;       // for the way round that was chosen
    bool way_guessed = false;    // little tells which way round the bottom lies
};

// How far two ratios of sides are apart, as a factor's logarithm.
double apart(double a, double b);

double turned_aspect(double aspect, int quarter);

// A side of the board that is hardly seen as an edge: parts hide it, or the ground looks like the
// board.
bool outline_doubtful(const SideView& view);
bool outlines_doubtful(const Found& found);

// The quarters by which the second photo may be turned, by the ratio of its sides.
std::vector<int> likely_quarters(const Found& found);

// Turns the second photo the way that both faces agree best, and ties it by holes. Where no way
// stands out, `way_guessed` is set.
void match_second(Found& found, const std::vector<int>& quarters);

// For outlines that agree with nothing that both faces show: searches for a common position by the
// holes in plain board, and lets go of outlines that parts stand over. False, and nothing is
// changed: no position stands out.
bool match_by_plain_holes(Found& found, const std::vector<int>& quarters);

// Looks for the board of both photos by its straight edges, and takes those outlines by which the
// faces agree. False, and nothing is changed: none do.
bool find_outlines_that_agree(Found& found);

}  // namespace etchback::copper::eye::detail
