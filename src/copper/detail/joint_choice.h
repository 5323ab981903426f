// Which joints are closed, so that all continuity checks hold where they can, at the least cost in
// log odds: the likeliest set of joints.
//
// Finding it is a shortest path (for a beep) and a least cut (for none) at once, and with many
// checks as hard as a Steiner multicut. Boards have few checks and few doubtful joints, so a search
// that branches only on joints of violated checks finds the best set at once; where it would take
// too long, the checks are mended one after the other.
#pragma once

#include <cstddef>
#include <vector>

#include "copper/islands.h"

namespace etchback::copper::detail {

// A check between two islands; `check` is its index in the person's list.
struct IslandCheck {
    int a = -1;
    int b = -1;
    bool beeps = true;
    std::size_t check = 0;
};

struct JointChoice {
    std::vector<bool> closed;          // for each joint
    std::vector<std::size_t> forced;   // joints that only checks made what they are, sorted
    std::vector<std::size_t> unheard;  // checks (indices of the person's list) that cannot hold
};

// Joints of the person (`bridge`) are never overruled.
JointChoice choose_joints(const Islands& islands, const std::vector<IslandCheck>& checks);

// The next cheapest way to join two islands, without some joints: what it costs and which open
// joints it closes. No joints: there is none.
struct OtherWay {
    double cost = 0.0;
    std::vector<int> joints;
};
OtherWay cheapest_way(const Islands& islands,
                      const JointChoice& choice,
                      int a,
                      int b,
                      const std::vector<int>& without);

// The price of taking a joint for other than it looks, in nats; infinite for the person's own.
double cost_of_flip(const Joint& joint);

// Taken as joined where nothing else is known.
inline bool looks_closed(const Joint& joint) {
    return joint.joined > 0.5;
}

}  // namespace etchback::copper::detail
