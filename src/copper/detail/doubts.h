// What might be wrong in the nets, and what it would change.
#pragma once

#include <vector>

#include "copper/detail/net_graph.h"
#include "copper/nets.h"

namespace etchback::copper::detail {

// A doubt with what questions need: which pads it would join or part.
struct DoubtAt {
    Doubt doubt;
    bool closed = true;  // the nets say: joined here
    bool alone = false;  // closed by a check that may go another way: a beep through it says little
    // Closed: the pads of one net on either side of the doubt. Open: those of two nets.
    std::vector<std::size_t> near;
    std::vector<std::size_t> far;
    int tree_joint = -1;  // closed: the joint of the net's tree
};

// What would change most first.
std::vector<DoubtAt> find_doubts(const NetGraph& graph,
                                 const std::vector<Pad>& pads,
                                 const std::vector<PadFoot>& feet);

// The pad by which a person knows a place: of a part rather than none, given rather than worked
// out, near rather than far.
std::size_t speaking_pad(const std::vector<std::size_t>& among,
                         const std::vector<Pad>& pads,
                         Point near);

}  // namespace etchback::copper::detail
