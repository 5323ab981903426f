#include "copper/detail/joint_choice.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <optional>
#include <queue>

#include "base/disjoint_sets.h"

namespace etchback::copper::detail {

namespace {

constexpr double never = std::numeric_limits<double>::infinity();
// The search is given up after so many sets; it is then mended greedily.
constexpr int most_sets = 4000;

enum class Fixed : char { free, closed, open };

using State = std::vector<Fixed>;

struct Step {
    int joint = -1;
    int to = -1;
};

class Chooser {
public:
    Chooser(const Islands& islands, std::vector<IslandCheck> checks)
        : joints_(islands.joints), checks_(std::move(checks)), at_(islands.islands.size()) {
        for (std::size_t j = 0; j < joints_.size(); ++j) {
            const Joint& joint = joints_[j];
            at_[static_cast<std::size_t>(joint.a)].push_back({static_cast<int>(j), joint.b});
            at_[static_cast<std::size_t>(joint.b)].push_back({static_cast<int>(j), joint.a});
        }
    }

    JointChoice chosen() {
        drop_impossible();
        std::optional<State> best = searched();
        while (!best && !checks_.empty()) {
            drop_one();
            best = searched();
        }
        JointChoice choice;
        for (std::size_t j = 0; j < joints_.size(); ++j) {
            choice.closed.push_back(closed(*best, static_cast<int>(j)));
            if (choice.closed.back() != looks_closed(joints_[j])) {
                choice.forced.push_back(j);
            }
        }
        std::ranges::sort(unheard_);
        choice.unheard = unheard_;
        return choice;
    }

    OtherWay way(const JointChoice& choice, int a, int b, const std::vector<int>& without) const {
        bool found = false;
        const auto price = [&](int j) {
            if (std::ranges::find(without, j) != without.end()) {
                return never;
            }
            return choice.closed[static_cast<std::size_t>(j)] ? 1e-9 : cost_of_flip(joint(j));
        };
        OtherWay other;
        for (const int j : cheapest_path(a, b, price, found)) {
            if (!choice.closed[static_cast<std::size_t>(j)]) {
                other.cost += price(j);
                other.joints.push_back(j);
            }
        }
        return other;
    }

private:
    const Joint& joint(int j) const { return joints_[static_cast<std::size_t>(j)]; }

    bool closed(const State& state, int j) const {
        const Fixed fixed = state[static_cast<std::size_t>(j)];
        return fixed == Fixed::free ? looks_closed(joint(j)) : fixed == Fixed::closed;
    }

    // What it costs to have a joint closed (open) where the state leaves the choice.
    double cost(const State& state, int j, bool want_closed) const {
        if (closed(state, j) == want_closed) {
            return 0.0;
        }
        return state[static_cast<std::size_t>(j)] == Fixed::free ? cost_of_flip(joint(j)) : never;
    }

    // The cheapest way from a to b: over joints that are closed or may be. Empty and `found`
    // false: there is none.
    std::vector<int> cheapest_path(int a,
                                   int b,
                                   const std::function<double(int)>& price,
                                   bool& found) const {
        std::vector<double> best(at_.size(), never);
        std::vector<Step> from(at_.size());
        using Entry = std::pair<double, int>;
        std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue;
        best[static_cast<std::size_t>(a)] = 0.0;
        queue.emplace(0.0, a);
        while (!queue.empty()) {
            const auto [so_far, at] = queue.top();
            queue.pop();
            if (so_far > best[static_cast<std::size_t>(at)]) {
                continue;
            }
            if (at == b) {
                break;
            }
            for (const Step& step : at_[static_cast<std::size_t>(at)]) {
                const double next = so_far + price(step.joint);
                if (next < best[static_cast<std::size_t>(step.to)]) {
                    best[static_cast<std::size_t>(step.to)] = next;
                    from[static_cast<std::size_t>(step.to)] = {step.joint, at};
                    queue.emplace(next, step.to);
                }
            }
        }
        found = best[static_cast<std::size_t>(b)] < never;
        std::vector<int> path;
        for (int at = b; found && at != a; at = from[static_cast<std::size_t>(at)].to) {
            path.push_back(from[static_cast<std::size_t>(at)].joint);
        }
        std::ranges::reverse(path);
        return path;
    }

    // Over closed joints only, through as few free ones as can be.
    std::vector<int> closed_path(const State& state, int a, int b) const {
        bool found = false;
        return cheapest_path(
            a,
            b,
            [&](int j) {
                if (!closed(state, j)) {
                    return never;
                }
                return cost(state, j, false) < never ? 1.0 : 0.0;
            },
            found);
    }

    std::vector<int> joining_path(const State& state, int a, int b, bool& found) const {
        // The little more for each joint prefers the shorter of two free ways.
        return cheapest_path(
            a, b, [&](int j) { return cost(state, j, true) + 1e-9; }, found);
    }

    base::DisjointSets components(const State& state) const {
        base::DisjointSets sets(at_.size());
        for (std::size_t j = 0; j < joints_.size(); ++j) {
            if (closed(state, static_cast<int>(j))) {
                sets.join(joints_[j].a, joints_[j].b);
            }
        }
        return sets;
    }

    const IslandCheck* first_violated(const State& state) const {
        base::DisjointSets sets = components(state);
        const auto found = std::ranges::find_if(checks_, [&](const IslandCheck& check) {
            return sets.together(check.a, check.b) != check.beeps;
        });
        return found == checks_.end() ? nullptr : &*found;
    }

    // Checks that no choice of joints can satisfy, by themselves.
    void drop_impossible() {
        const State open(joints_.size(), Fixed::free);
        std::erase_if(checks_, [&](const IslandCheck& check) {
            bool possible = check.a != check.b;
            if (check.beeps) {
                possible = true;
                if (check.a != check.b) {
                    joining_path(open, check.a, check.b, possible);
                }
            } else if (possible) {
                base::DisjointSets sets(at_.size());
                for (std::size_t j = 0; j < joints_.size(); ++j) {
                    if (cost(open, static_cast<int>(j), false) == never) {
                        sets.join(joints_[j].a, joints_[j].b);
                    }
                }
                possible = !sets.together(check.a, check.b);
            }
            if (!possible) {
                unheard_.push_back(check.check);
            }
            return !possible;
        });
    }

    // Checks that contradict each other: the last of those that the others do not allow. Silences
    // go before beeps, since a probe that did not touch is the commoner slip.
    void drop_one() {
        for (const bool beeps : {false, true}) {
            for (std::size_t i = checks_.size(); i-- > 0;) {
                if (checks_[i].beeps != beeps) {
                    continue;
                }
                const IslandCheck taken = checks_[i];
                checks_.erase(checks_.begin() + static_cast<long>(i));
                if (searched()) {
                    unheard_.push_back(taken.check);
                    return;
                }
                checks_.insert(checks_.begin() + static_cast<long>(i), taken);
            }
        }
        unheard_.push_back(checks_.back().check);
        checks_.pop_back();
    }

    struct Node {
        double cost = 0.0;
        int order = 0;
        State state;
        bool operator>(const Node& o) const {
            return cost != o.cost ? cost > o.cost : order > o.order;
        }
    };

    // The cheapest state in which all checks hold; none if there is none.
    std::optional<State> searched() const {
        std::priority_queue<Node, std::vector<Node>, std::greater<>> queue;
        int order = 0;
        queue.push({0.0, order++, State(joints_.size(), Fixed::free)});
        while (!queue.empty() && order < most_sets) {
            const Node node = queue.top();
            queue.pop();
            const IslandCheck* violated = first_violated(node.state);
            if (violated == nullptr) {
                return node.state;
            }
            for (Node& next : branches(node, *violated)) {
                next.order = order++;
                queue.push(std::move(next));
            }
        }
        return queue.empty() ? std::nullopt : mended();
    }

    // All ways out of a violated check, so that no state is in two of them.
    std::vector<Node> branches(const Node& node, const IslandCheck& check) const {
        bool found = true;
        const std::vector<int> path = check.beeps
                                          ? joining_path(node.state, check.a, check.b, found)
                                          : closed_path(node.state, check.a, check.b);
        std::vector<Node> all;
        if (!found) {
            return all;
        }
        if (!check.beeps) {  // one of the path's joints is open: the first that is
            State kept = node.state;
            for (const int j : path) {
                const double price = cost(node.state, j, false);
                if (price < never) {
                    State next = kept;
                    next[static_cast<std::size_t>(j)] = Fixed::open;
                    all.push_back({node.cost + price, 0, std::move(next)});
                    kept[static_cast<std::size_t>(j)] = Fixed::closed;
                }
            }
            return all;
        }
        // The whole path is closed, or one of its joints is open: the first that is.
        State kept = node.state;
        double price = node.cost;
        for (const int j : path) {
            if (kept[static_cast<std::size_t>(j)] != Fixed::free) {
                continue;
            }
            const double to_open = cost(kept, j, false);
            if (to_open < never) {
                State other = kept;
                other[static_cast<std::size_t>(j)] = Fixed::open;
                all.push_back({price + to_open, 0, std::move(other)});
            }
            price += cost(kept, j, true);
            kept[static_cast<std::size_t>(j)] = Fixed::closed;
        }
        all.push_back({price, 0, std::move(kept)});
        return all;
    }

    // Mends one violated check after the other, each in the cheapest way.
    std::optional<State> mended() const {
        State state(joints_.size(), Fixed::free);
        for (std::size_t round = 0; round < 4 * checks_.size() + 4; ++round) {
            const IslandCheck* violated = first_violated(state);
            if (violated == nullptr) {
                return state;
            }
            bool found = true;
            const std::vector<int> path = violated->beeps
                                              ? joining_path(state, violated->a, violated->b, found)
                                              : closed_path(state, violated->a, violated->b);
            if (!found || !mend(state, path, violated->beeps)) {
                return std::nullopt;
            }
        }
        return std::nullopt;
    }

    bool mend(State& state, const std::vector<int>& path, bool beeps) const {
        int cheapest = -1;
        for (const int j : path) {
            if (beeps) {
                state[static_cast<std::size_t>(j)] = Fixed::closed;
            } else if (cost(state, j, false) < never &&
                       (cheapest < 0 || cost(state, j, false) < cost(state, cheapest, false))) {
                cheapest = j;
            }
        }
        if (!beeps && cheapest >= 0) {
            state[static_cast<std::size_t>(cheapest)] = Fixed::open;
        }
        return beeps || cheapest >= 0;
    }

    const std::vector<Joint>& joints_;
    std::vector<IslandCheck> checks_;
    std::vector<std::vector<Step>> at_;
    std::vector<std::size_t> unheard_;
};

}  // namespace

double cost_of_flip(const Joint& joint) {
    if (joint.kind == Joint::Kind::bridge) {
        return never;
    }
    // What is seen can be wrong: nothing is surer than one in two thousand.
    constexpr double surest = 0.0005;
    const double p = std::clamp(joint.joined, surest, 1.0 - surest);
    return std::abs(std::log(p / (1.0 - p)));
}

OtherWay cheapest_way(const Islands& islands,
                      const JointChoice& choice,
                      int a,
                      int b,
                      const std::vector<int>& without) {
    return Chooser(islands, {}).way(choice, a, b, without);
}

JointChoice choose_joints(const Islands& islands, const std::vector<IslandCheck>& checks) {
    return Chooser(islands, checks).chosen();
}

}  // namespace etchback::copper::detail
