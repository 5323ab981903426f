// The shortest list of continuity checks that settles the doubts.
#pragma once

#include <vector>

#include "copper/detail/doubts.h"
#include "copper/nets.h"

namespace etchback::copper::detail {

// One check may settle several doubts at once: a beep between two pads says that every joint on the
// way between them is closed. So checks are chosen greedily, each by what it is expected to settle;
// for covering the branches of a tree by ways through it, that is within a few of the least
// number. The order is that of usefulness. What a check that was heard has answered is not asked.
std::vector<Question> ask(const NetGraph& graph,
                          const std::vector<Pad>& pads,
                          const std::vector<PadFoot>& feet,
                          const std::vector<DoubtAt>& doubts,
                          const std::vector<IslandCheck>& heard);

}  // namespace etchback::copper::detail
