#include "copper/detail/questions.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <set>

namespace etchback::copper::detail {

namespace {

// Rarer mistakes are not worth a probe.
constexpr double least_asked = 0.05;
// A check that more likely fails than not, only because it asks too much at once, settles nothing.
constexpr double least_chance = 0.5;

double worth(const Doubt& doubt) {
    return doubt.wrong * doubt.pairs;
}

struct Candidate {
    Question question;
    double value = 0.0;
};

class Asker {
public:
    Asker(const NetGraph& graph,
          const std::vector<Pad>& pads,
          const std::vector<PadFoot>& feet,
          const std::vector<DoubtAt>& doubts,
          const std::vector<IslandCheck>& heard)
        : graph_(graph), pads_(pads), feet_(feet), doubts_(doubts), heard_(heard) {
        for (std::size_t i = 0; i < doubts.size(); ++i) {
            const DoubtAt& at = doubts[i];
            if (at.doubt.joint < 0 || at.doubt.wrong < least_asked) {
                continue;
            }
            if (at.alone) {
                alone_.push_back(static_cast<int>(i));
            } else if (at.closed) {
                by_joint_[at.tree_joint] = static_cast<int>(i);
                open_[net_of(at)].insert(static_cast<int>(i));
            } else {
                between_.push_back(static_cast<int>(i));
            }
        }
    }

    std::vector<Question> asked() {
        std::vector<Candidate> all;
        for (const int doubt : between_) {
            all.push_back(silence(doubt));
        }
        for (const int doubt : alone_) {
            all.push_back(beep_alone(doubt));
        }
        for (auto& [net, left] : open_) {
            while (!left.empty()) {
                const Candidate next = beep(net, left);
                for (const int doubt : next.question.settles) {
                    left.erase(doubt);
                }
                all.push_back(next);
            }
        }
        std::erase_if(all, [&](const Candidate& one) { return is_answered(one.question); });
        std::ranges::stable_sort(
            all, [](const Candidate& a, const Candidate& b) { return a.value > b.value; });
        std::vector<Question> questions;
        for (Candidate& one : all) {
            questions.push_back(std::move(one.question));
        }
        return questions;
    }

private:
    int net_of(const DoubtAt& at) const { return graph_.net_of(feet_[at.near.front()].island); }

    const DoubtAt& at(int doubt) const { return doubts_[static_cast<std::size_t>(doubt)]; }

    void finish(Candidate& one) const {
        Question& q = one.question;
        for (const int doubt : q.settles) {
            one.value += worth(at(doubt).doubt);
        }
        q.words = fmt::format("{} to {}: should {}",
                              name_of(pads_[q.a]),
                              name_of(pads_[q.b]),
                              q.expected ? "beep" : "not beep");
    }

    Candidate silence(int doubt) const {
        const Doubt& d = at(doubt).doubt;
        Candidate one;
        one.question = {.a = d.pads[0],
                        .b = d.pads[1],
                        .expected = false,
                        .chance = 1.0 - d.wrong,
                        .settles = {doubt},
                        .words = {}};
        finish(one);
        return one;
    }

    bool is_answered(const Question& q) const {
        const int a = feet_[q.a].island;
        const int b = feet_[q.b].island;
        return std::ranges::any_of(heard_, [&](const IslandCheck& check) {
            return (check.a == a && check.b == b) || (check.a == b && check.b == a);
        });
    }

    Candidate beep_alone(int doubt) const {
        const Doubt& d = at(doubt).doubt;
        Candidate one;
        one.question = {.a = d.pads[0],
                        .b = d.pads[1],
                        .expected = true,
                        .chance = 1.0 - d.wrong,
                        .settles = {doubt},
                        .words = {}};
        finish(one);
        return one;
    }

    // The way through the net's tree, from pad to pad, that settles most.
    Candidate beep(int net, const std::set<int>& left) const {
        Candidate best = along(heaviest_way(net, left), left);
        if (best.question.settles.empty() || best.question.chance < least_chance) {
            const int single = *std::ranges::max_element(
                left, {}, [&](int doubt) { return worth(at(doubt).doubt); });
            const Doubt& d = at(single).doubt;
            best = along({d.pads[0], d.pads[1]}, left);
        }
        finish(best);
        return best;
    }

    struct Way {
        std::size_t a = 0;
        std::size_t b = 0;
    };

    // What a beep between two pads settles.
    Candidate along(Way way, const std::set<int>& left) const {
        Candidate one;
        one.question.a = way.a;
        one.question.b = way.b;
        one.question.expected = true;
        one.question.chance = 1.0;
        for (const int joint : graph_.path(feet_[way.a].island, feet_[way.b].island)) {
            const auto found = by_joint_.find(joint);
            if (found != by_joint_.end() && left.contains(found->second)) {
                one.question.settles.push_back(found->second);
                one.question.chance *= 1.0 - at(found->second).doubt.wrong;
            }
        }
        std::ranges::sort(one.question.settles);
        return one;
    }

    struct Reach {
        double weight = 0.0;
        int island = -1;  // with pads, at the far end
    };

    // The longest way in a tree whose branches weigh what settling them is worth: at each island,
    // its two best arms that end on pads.
    Way heaviest_way(int net, const std::set<int>& left) const {
        const int root = graph_.islands_of(static_cast<std::size_t>(net)).front();
        std::vector<std::pair<int, NetGraph::Branch>> order = {{root, {-1, -1}}};  // to: parent
        for (std::size_t i = 0; i < order.size(); ++i) {
            for (const NetGraph::Branch& branch : graph_.branches(order[i].first)) {
                if (branch.joint != order[i].second.joint) {
                    order.push_back({branch.to, {branch.joint, order[i].first}});
                }
            }
        }
        std::map<int, Reach> arm;
        double best = -1.0;
        std::pair<int, int> ends = {-1, -1};
        for (std::size_t i = order.size(); i-- > 0;) {
            const auto& [island, up] = order[i];
            Reach own = arm.contains(island) ? arm[island] : Reach{};
            if (own.island < 0 && !graph_.pads_on(island).empty()) {
                own = {0.0, island};
            }
            if (own.island < 0 || up.joint < 0) {
                continue;
            }
            const double weight = own.weight + weight_of(up.joint, left);
            Reach& parent = arm[up.to];
            if (parent.island < 0 && !graph_.pads_on(up.to).empty()) {
                parent = {0.0, up.to};
            }
            if (parent.island >= 0 && parent.weight + weight > best) {
                best = parent.weight + weight;
                ends = {parent.island, own.island};
            }
            if (parent.island < 0 || weight > parent.weight) {
                parent = {weight, own.island};
            }
        }
        return {speaking_on(ends.first), speaking_on(ends.second)};
    }

    double weight_of(int joint, const std::set<int>& left) const {
        const auto found = by_joint_.find(joint);
        return found != by_joint_.end() && left.contains(found->second)
                   ? worth(at(found->second).doubt)
                   : 0.0;
    }

    std::size_t speaking_on(int island) const {
        const auto& pads = graph_.pads_on(island);
        return speaking_pad(pads, pads_, pads_[pads.front()].at);
    }

    const NetGraph& graph_;
    const std::vector<Pad>& pads_;
    const std::vector<PadFoot>& feet_;
    const std::vector<DoubtAt>& doubts_;
    std::map<int, int> by_joint_;        // tree joint -> doubt
    std::map<int, std::set<int>> open_;  // net -> doubts inside it that are to be settled
    std::vector<int> between_;
    std::vector<int> alone_;
    const std::vector<IslandCheck>& heard_;
};

}  // namespace

std::vector<Question> ask(const NetGraph& graph,
                          const std::vector<Pad>& pads,
                          const std::vector<PadFoot>& feet,
                          const std::vector<DoubtAt>& doubts,
                          const std::vector<IslandCheck>& heard) {
    return Asker(graph, pads, feet, doubts, heard).asked();
}

}  // namespace etchback::copper::detail
