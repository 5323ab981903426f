// Islands and joints once it is chosen which are closed: the nets, the surest tree that holds each
// together, and how sure each joint is after all checks.
#pragma once

#include <map>
#include <vector>

#include "copper/detail/joint_choice.h"
#include "copper/detail/pad_feet.h"
#include "copper/islands.h"

namespace etchback::copper::detail {

class NetGraph {
public:
    NetGraph(const Islands& islands,
             const std::vector<PadFoot>& feet,
             JointChoice choice,
             const std::vector<IslandCheck>& heard);

    const Islands& islands() const { return islands_; }
    const JointChoice& choice() const { return choice_; }
    int net_of(int island) const { return net_of_island_[static_cast<std::size_t>(island)]; }
    const std::vector<int>& net_of_island() const { return net_of_island_; }
    std::size_t nets() const { return islands_of_.size(); }
    const std::vector<int>& islands_of(std::size_t net) const { return islands_of_[net]; }
    const std::vector<std::size_t>& pads_of(std::size_t net) const { return pads_of_[net]; }
    const std::vector<std::size_t>& pads_on(int island) const {
        return pads_on_[static_cast<std::size_t>(island)];
    }
    const std::vector<std::size_t>& joints_of(std::size_t net) const { return joints_of_[net]; }

    // Probability that a joint is closed, given all checks.
    double belief(std::size_t joint) const { return belief_[joint]; }

    // Joints that would be closed if this one were open instead, and the checks still held.
    const std::vector<int>& instead_of(int joint) const;

    // Only checks made the joint what it is.
    bool is_forced(int joint) const;

    // The surest tree of each net: island -> its neighbours over the tree's joints.
    struct Branch {
        int joint = -1;
        int to = -1;
    };
    const std::vector<Branch>& branches(int island) const {
        return tree_[static_cast<std::size_t>(island)];
    }
    // The tree's joints between two islands of one net.
    std::vector<int> path(int a, int b) const;

private:
    void number_nets(const std::vector<PadFoot>& feet);
    void grow_trees();
    void believe_checks(const std::vector<IslandCheck>& heard);
    void believe_forced(const std::vector<IslandCheck>& heard);
    void share_silence(std::size_t forced, const std::vector<IslandCheck>& heard);
    void share_beep(const IslandCheck& check);

    const Islands& islands_;
    JointChoice choice_;
    std::vector<int> net_of_island_;
    std::vector<std::vector<int>> islands_of_;
    std::vector<std::vector<std::size_t>> pads_of_;
    std::vector<std::vector<std::size_t>> pads_on_;
    std::vector<std::vector<std::size_t>> joints_of_;  // with both ends in the net, open or closed
    std::vector<double> belief_;
    std::vector<std::vector<Branch>> tree_;
    std::map<int, std::vector<int>> instead_;
};

}  // namespace etchback::copper::detail
