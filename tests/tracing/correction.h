// An invented board that a person corrects, stroke by stroke.
#pragma once

#include "copper/eye/tracing.h"
#include "tracing/drawing_person.h"
#include "tracing/invented_board.h"
#include "tracing/score.h"

namespace etchback::tracing {

Score score_of(const TracedBoard& found);

struct Corrected {
    Score score;
    TracedBoard found;
    DrawingPerson::Counts counts;
};

// What it comes to when a person corrects what was read first: they start over twice, in another
// order, and keep what mends most. With ETCHBACK_PERSON each stroke is printed, and what is left.
Corrected corrected_by_person(const InventedBoard& board,
                              copper::eye::Tracing& tracing,
                              const TracedBoard& first);

}  // namespace etchback::tracing
