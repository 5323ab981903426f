#include "copper/detail/net_graph.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <tuple>

#include "base/disjoint_sets.h"

namespace etchback::copper::detail {

namespace {

constexpr double all_but_sure = 0.999;
// What only a check made so: there may have been another way.
constexpr double forced_closed = 0.97;

}  // namespace

NetGraph::NetGraph(const Islands& islands,
                   const std::vector<PadFoot>& feet,
                   JointChoice choice,
                   const std::vector<IslandCheck>& heard)
    : islands_(islands),
      choice_(std::move(choice)),
      pads_on_(islands.islands.size()),
      tree_(islands.islands.size()) {
    for (std::size_t j = 0; j < islands_.joints.size(); ++j) {
        const Joint& joint = islands_.joints[j];
        const bool said = joint.kind == Joint::Kind::bridge;
        const double seen = std::clamp(joint.joined, 1.0 - all_but_sure, all_but_sure);
        belief_.push_back(said ? (looks_closed(joint) ? 1.0 : 0.0) : seen);
    }
    number_nets(feet);
    grow_trees();
    believe_forced(heard);
    believe_checks(heard);
    for (std::vector<Branch>& branches : tree_) {
        branches.clear();
    }
    grow_trees();
}

// Largest first: by pads, then by area.
void NetGraph::number_nets(const std::vector<PadFoot>& feet) {
    const std::size_t count = islands_.islands.size();
    base::DisjointSets sets(count);
    for (std::size_t j = 0; j < islands_.joints.size(); ++j) {
        if (choice_.closed[j]) {
            sets.join(islands_.joints[j].a, islands_.joints[j].b);
        }
    }
    for (std::size_t i = 0; i < feet.size(); ++i) {
        if (feet[i].island >= 0) {
            pads_on_[static_cast<std::size_t>(feet[i].island)].push_back(i);
        }
    }
    struct Size {
        std::size_t pads = 0;
        double area_mm2 = 0.0;
        int root = -1;
    };
    std::map<int, Size> sizes;
    for (std::size_t i = 0; i < count; ++i) {
        Size& size = sizes[sets.find(static_cast<int>(i))];
        size.root = sets.find(static_cast<int>(i));
        size.pads += pads_on_[i].size();
        size.area_mm2 += islands_.islands[i].area_mm2;
    }
    std::vector<Size> order;
    for (const auto& [root, size] : sizes) {
        order.push_back(size);
    }
    std::ranges::stable_sort(order, [](const Size& a, const Size& b) {
        return std::tuple(b.pads, b.area_mm2, a.root) < std::tuple(a.pads, a.area_mm2, b.root);
    });
    std::map<int, int> number;
    for (const Size& size : order) {
        number.emplace(size.root, static_cast<int>(number.size()));
    }
    islands_of_.resize(order.size());
    pads_of_.resize(order.size());
    joints_of_.resize(order.size());
    for (std::size_t i = 0; i < count; ++i) {
        const int net = number.at(sets.find(static_cast<int>(i)));
        net_of_island_.push_back(net);
        islands_of_[static_cast<std::size_t>(net)].push_back(static_cast<int>(i));
        auto& pads = pads_of_[static_cast<std::size_t>(net)];
        pads.insert(pads.end(), pads_on_[i].begin(), pads_on_[i].end());
    }
    for (auto& pads : pads_of_) {
        std::ranges::sort(pads);
    }
    for (std::size_t j = 0; j < islands_.joints.size(); ++j) {
        const int net = net_of(islands_.joints[j].a);
        if (net == net_of(islands_.joints[j].b)) {
            joints_of_[static_cast<std::size_t>(net)].push_back(j);
        }
    }
}

// The tree of the surest joints: what it does not hold together, nothing surer does.
void NetGraph::grow_trees() {
    std::vector<std::size_t> order(islands_.joints.size());
    std::iota(order.begin(), order.end(), 0);
    std::ranges::stable_sort(order,
                             [&](std::size_t a, std::size_t b) { return belief_[a] > belief_[b]; });
    base::DisjointSets sets(islands_.islands.size());
    for (const std::size_t j : order) {
        const Joint& joint = islands_.joints[j];
        if (choice_.closed[j] && sets.join(joint.a, joint.b)) {
            tree_[static_cast<std::size_t>(joint.a)].push_back({static_cast<int>(j), joint.b});
            tree_[static_cast<std::size_t>(joint.b)].push_back({static_cast<int>(j), joint.a});
        }
    }
}

std::vector<int> NetGraph::path(int a, int b) const {
    std::map<int, Branch> from;  // island -> how it was reached
    std::vector<int> queue = {a};
    from[a] = {};
    for (std::size_t i = 0; i < queue.size() && !from.contains(b); ++i) {
        for (const Branch& branch : branches(queue[i])) {
            if (from.emplace(branch.to, Branch{branch.joint, queue[i]}).second) {
                queue.push_back(branch.to);
            }
        }
    }
    std::vector<int> joints;
    for (int at = b; from.contains(at) && from[at].joint >= 0; at = from[at].to) {
        joints.push_back(from[at].joint);
    }
    std::ranges::reverse(joints);
    return joints;
}

void NetGraph::believe_forced(const std::vector<IslandCheck>& heard) {
    for (const std::size_t forced : choice_.forced) {
        if (choice_.closed[forced]) {
            belief_[forced] = forced_closed;
        } else {
            share_silence(forced, heard);
        }
    }
    for (const IslandCheck& check : heard) {
        if (check.beeps) {
            share_beep(check);
        }
    }
}

// A joint that only silence between two pads has opened: another on the way may be the open one
// instead. By how likely each is to be open, the doubt is shared among them.
void NetGraph::share_silence(std::size_t forced, const std::vector<IslandCheck>& heard) {
    const auto odds_open = [&](std::size_t j) { return (1.0 - belief_[j]) / belief_[j]; };
    const Joint& joint = islands_.joints[forced];
    const double own = odds_open(forced);
    belief_[forced] = 1.0 - all_but_sure;
    for (const IslandCheck& check : heard) {
        int a = check.a;
        int b = check.b;
        if (net_of(a) != net_of(joint.a)) {
            std::swap(a, b);
        }
        if (check.beeps || net_of(a) != net_of(joint.a) || net_of(b) != net_of(joint.b)) {
            continue;
        }
        std::vector<int> others = path(a, joint.a);
        const std::vector<int> rest = path(joint.b, b);
        others.insert(others.end(), rest.begin(), rest.end());
        double all = own;
        for (const int other : others) {
            all += odds_open(static_cast<std::size_t>(other));
        }
        for (const int other : others) {
            double& belief = belief_[static_cast<std::size_t>(other)];
            belief = std::min(belief, 1.0 - odds_open(static_cast<std::size_t>(other)) / all);
            instead_[other].push_back(static_cast<int>(forced));
        }
    }
}

// A beep that only joints explain which look open: it may go another way.
void NetGraph::share_beep(const IslandCheck& check) {
    double own_cost = 0.0;
    std::vector<int> own;
    for (const int j : path(check.a, check.b)) {
        if (is_forced(j)) {
            own.push_back(j);
            own_cost += cost_of_flip(islands_.joints[static_cast<std::size_t>(j)]);
        }
    }
    if (own.empty()) {
        return;
    }
    const OtherWay other = cheapest_way(islands_, choice_, check.a, check.b, own);
    if (other.joints.empty()) {
        return;
    }
    const double share = 1.0 / (1.0 + std::exp(other.cost - own_cost));
    for (const int j : own) {
        double& belief = belief_[static_cast<std::size_t>(j)];
        belief = std::min(belief, 1.0 - share);
        instead_[j].insert(instead_[j].end(), other.joints.begin(), other.joints.end());
    }
    for (const int j : other.joints) {
        double& belief = belief_[static_cast<std::size_t>(j)];
        belief = std::max(belief, share);
    }
}

bool NetGraph::is_forced(int joint) const {
    return std::ranges::binary_search(choice_.forced, static_cast<std::size_t>(joint));
}

const std::vector<int>& NetGraph::instead_of(int joint) const {
    static const std::vector<int> none;
    const auto found = instead_.find(joint);
    return found == instead_.end() ? none : found->second;
}

void NetGraph::believe_checks(const std::vector<IslandCheck>& heard) {
    for (const IslandCheck& check : heard) {
        if (check.beeps) {
            for (const int joint : path(check.a, check.b)) {
                double& belief = belief_[static_cast<std::size_t>(joint)];
                belief = is_forced(joint) ? belief : std::max(belief, all_but_sure);
            }
            continue;
        }
        const int one = net_of(check.a);
        const int other = net_of(check.b);
        for (std::size_t j = 0; j < islands_.joints.size(); ++j) {
            const int a = net_of(islands_.joints[j].a);
            const int b = net_of(islands_.joints[j].b);
            const bool between = (a == one && b == other) || (a == other && b == one);
            if (between && !is_forced(static_cast<int>(j))) {
                belief_[j] = std::min(belief_[j], 1.0 - all_but_sure);
            }
        }
    }
}

}  // namespace etchback::copper::detail
