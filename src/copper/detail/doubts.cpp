#include "copper/detail/doubts.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <queue>
#include <set>
#include <tuple>

namespace etchback::copper::detail {

namespace {

// Less than one in fifty that the nets are wrong at a place is no doubt: it would be drowned by
// what the camera cannot know at all.
constexpr double least_wrong = 0.02;

std::string side_of(const Islands& islands, const Joint& joint) {
    if (joint.kind == Joint::Kind::hole) {
        return "";
    }
    const Side side = islands.islands[static_cast<std::size_t>(joint.a)].side;
    return side == Side::top ? " on the top side" : " on the bottom side";
}

std::string what(const Joint& joint) {
    switch (joint.kind) {
        case Joint::Kind::neck:
            return joint.width_mm > 0.0 ? fmt::format("a neck of {:.2f} mm", joint.width_mm)
                                        : "a narrow neck";
        case Joint::Kind::gap:
            return joint.width_mm > 0.0 ? fmt::format("a gap of {:.2f} mm", joint.width_mm)
                                        : "a hairline gap";
        case Joint::Kind::hidden:
            return "hidden copper";
        case Joint::Kind::hole:
            return joint.width_mm > 0.0 ? fmt::format("a hole of {:.1f} mm", joint.width_mm)
                                        : "a hole";
        case Joint::Kind::bridge:
            return "your own stroke";
        case Joint::Kind::jumper:
            return "a wire link";
    }
    return "";
}

// The reason, which says what it is; else only what it is.
std::string described(const Joint& joint) {
    return joint.why.empty() ? what(joint) : joint.why;
}

class Finder {
public:
    Finder(const NetGraph& graph, const std::vector<Pad>& pads, const std::vector<PadFoot>& feet)
        : graph_(graph), islands_(graph.islands()), pads_(pads), feet_(feet) {}

    std::vector<DoubtAt> found() {
        for (std::size_t net = 0; net < graph_.nets(); ++net) {
            if (graph_.pads_of(net).size() > 1) {
                look_inside(net);
            }
        }
        look_between();
        look_at_pads();
        look_at_lonely_pads();
        look_at_unread_side();
        std::ranges::stable_sort(doubts_, [](const DoubtAt& a, const DoubtAt& b) {
            const double x = a.doubt.wrong * a.doubt.pairs;
            const double y = b.doubt.wrong * b.doubt.pairs;
            return std::tuple(y, b.doubt.wrong, a.doubt.joint) <
                   std::tuple(x, a.doubt.wrong, b.doubt.joint);
        });
        return std::move(doubts_);
    }

private:
    const Joint& joint(std::size_t j) const { return islands_.joints[j]; }

    // Where the joints of a tree part pads from pads, and nothing surer holds them together.
    void look_inside(std::size_t net) {
        const std::vector<int>& members = graph_.islands_of(net);
        // Depth-first numbers: the islands behind a branch are a stretch of them.
        std::map<int, int> enter;
        std::vector<int> order;
        struct Visit {
            int island = -1;
            int joint = -1;
            bool done = false;
        };
        std::vector<Visit> stack = {{members.front(), -1, false}};
        std::map<int, std::pair<int, int>> stretch;  // tree joint -> first and behind the last
        while (!stack.empty()) {
            const Visit visit = stack.back();
            stack.pop_back();
            if (visit.done) {
                stretch[visit.joint].second = static_cast<int>(order.size());
                continue;
            }
            enter[visit.island] = static_cast<int>(order.size());
            if (visit.joint >= 0) {
                stretch[visit.joint].first = static_cast<int>(order.size());
                stack.push_back({visit.island, visit.joint, true});
            }
            order.push_back(visit.island);
            for (const NetGraph::Branch& branch : graph_.branches(visit.island)) {
                if (branch.joint != visit.joint) {
                    stack.push_back({branch.to, branch.joint, false});
                }
            }
        }
        for (const auto& [tree_joint, span] : stretch) {
            if (graph_.belief(static_cast<std::size_t>(tree_joint)) < 1.0 - least_wrong) {
                look_behind(net, tree_joint, enter, span);
            }
        }
    }

    void look_behind(std::size_t net,
                     int tree_joint,
                     const std::map<int, int>& enter,
                     std::pair<int, int> span) {
        const auto inside = [&](int island) {
            const int at = enter.at(island);
            return at >= span.first && at < span.second;
        };
        DoubtAt at;
        at.tree_joint = tree_joint;
        at.alone = graph_.is_forced(tree_joint);
        at.doubt.joint = tree_joint;
        at.doubt.wrong = 1.0;
        for (const std::size_t j : graph_.joints_of(net)) {
            if (inside(joint(j).a) != inside(joint(j).b)) {
                at.doubt.wrong *= 1.0 - graph_.belief(j);
                if (graph_.choice().closed[j]) {
                    at.doubt.joints.push_back(static_cast<int>(j));
                }
            }
        }
        if (at.doubt.wrong < least_wrong) {
            return;
        }
        const std::vector<int>& instead = graph_.instead_of(tree_joint);
        at.doubt.joints.insert(at.doubt.joints.end(), instead.begin(), instead.end());
        for (const std::size_t pad : graph_.pads_of(net)) {
            (inside(feet_[pad].island) ? at.near : at.far).push_back(pad);
        }
        add(std::move(at));
    }

    // Joints that look open and may be closed: from one net with pads to another, perhaps through
    // copper without pads.
    void look_between() {
        struct Hop {
            double apart = 1.0;  // probability that none of the joints is closed
            std::vector<int> joints;
        };
        std::vector<std::map<int, Hop>> hops(graph_.nets());
        for (std::size_t j = 0; j < islands_.joints.size(); ++j) {
            const int a = graph_.net_of(joint(j).a);
            const int b = graph_.net_of(joint(j).b);
            if (a == b || graph_.belief(j) <= 0.0) {
                continue;
            }
            for (const auto& [from, to] : {std::pair{a, b}, std::pair{b, a}}) {
                Hop& hop = hops[static_cast<std::size_t>(from)][to];
                hop.apart *= 1.0 - graph_.belief(j);
                hop.joints.push_back(static_cast<int>(j));
            }
        }
        for (std::size_t net = 0; net < graph_.nets(); ++net) {
            if (!graph_.pads_of(net).empty()) {
                reach_from(static_cast<int>(net), hops);
            }
        }
    }

    template <typename Hops>
    void reach_from(int start, const Hops& hops) {
        std::map<int, double> best = {{start, 1.0}};
        std::map<int, int> from;
        std::priority_queue<std::pair<double, int>> queue;
        queue.emplace(1.0, start);
        std::set<int> done;
        while (!queue.empty()) {
            const auto [chance, net] = queue.top();
            queue.pop();
            if (!done.insert(net).second) {
                continue;
            }
            const bool has_pads = !graph_.pads_of(static_cast<std::size_t>(net)).empty();
            if (net != start && has_pads) {
                if (net > start) {
                    add_between(start, net, chance, from, hops);
                }
                continue;
            }
            for (const auto& [to, hop] : hops[static_cast<std::size_t>(net)]) {
                const double next = chance * (1.0 - hop.apart);
                if (next >= least_wrong && next > best[to]) {
                    best[to] = next;
                    from[to] = net;
                    queue.emplace(next, to);
                }
            }
        }
    }

    template <typename Hops>
    void add_between(
        int start, int end, double chance, const std::map<int, int>& from, const Hops& hops) {
        DoubtAt at;
        at.closed = false;
        at.doubt.wrong = chance;
        double least = 2.0;
        for (int net = end; net != start; net = from.at(net)) {
            const auto& hop = hops[static_cast<std::size_t>(net)].at(from.at(net));
            at.doubt.joints.insert(at.doubt.joints.end(), hop.joints.begin(), hop.joints.end());
            if (1.0 - hop.apart < least) {
                least = 1.0 - hop.apart;
                at.doubt.joint = *std::ranges::max_element(hop.joints, {}, [&](int j) {
                    return graph_.belief(static_cast<std::size_t>(j));
                });
            }
        }
        at.near = graph_.pads_of(static_cast<std::size_t>(start));
        at.far = graph_.pads_of(static_cast<std::size_t>(end));
        add(std::move(at));
    }

    void add(DoubtAt at) {
        Doubt& doubt = at.doubt;
        doubt.pairs = static_cast<int>(at.near.size() * at.far.size());
        if (doubt.pairs == 0) {
            return;
        }
        std::ranges::sort(doubt.joints);
        const Joint& where = joint(static_cast<std::size_t>(doubt.joint));
        doubt.pads = {speaking_pad(at.near, pads_, where.at),
                      speaking_pad(at.far, pads_, where.at)};
        doubt.words = fmt::format("between {} and {}: {} at {}{}",
                                  name_of(pads_[doubt.pads[0]]),
                                  name_of(pads_[doubt.pads[1]]),
                                  described(where),
                                  words_of(where.at),
                                  side_of(islands_, where));
        doubts_.push_back(std::move(at));
    }

    // Pads that lie beside copper.
    void look_at_pads() {
        constexpr double beside_mm = 0.3;
        for (std::size_t pad = 0; pad < pads_.size(); ++pad) {
            const PadFoot& foot = feet_[pad];
            if (foot.island >= 0 && (foot.off_mm <= beside_mm || !pads_[pad].side)) {
                continue;
            }
            DoubtAt at;
            at.doubt.pads = {pad};
            at.near = {pad};
            at.doubt.pairs = static_cast<int>(
                foot.island < 0
                    ? std::max<std::size_t>(1, most_pads())
                    : graph_.pads_of(static_cast<std::size_t>(graph_.net_of(foot.island))).size());
            at.doubt.wrong = foot.island < 0 ? 0.9 : 0.3;
            at.doubt.words = foot.island < 0
                                 ? fmt::format("{} lies on no copper at {}",
                                               name_of(pads_[pad]),
                                               words_of(pads_[pad].at))
                                 : fmt::format("{} lies {:.1f} mm beside the nearest copper at {}",
                                               name_of(pads_[pad]),
                                               foot.off_mm,
                                               words_of(pads_[pad].at));
            doubts_.push_back(std::move(at));
        }
    }

    // Pins that hang on nothing, and no doubt says where they might. Where nearly all others hang
    // together, such a pin is rarely meant: its track was not read.
    void look_at_lonely_pads() {
        constexpr std::size_t least_pads = 10;
        constexpr double rare = 0.5;
        constexpr double told = 0.5;
        constexpr double wrong = 0.5;
        std::vector<std::size_t> lonely;
        for (std::size_t net = 0; net < graph_.nets(); ++net) {
            if (graph_.pads_of(net).size() == 1) {
                lonely.push_back(graph_.pads_of(net).front());
            }
        }
        const auto all = static_cast<double>(pads_.size());
        if (pads_.size() < least_pads || static_cast<double>(lonely.size()) > rare * all) {
            return;
        }
        std::map<std::size_t, double> apart;  // probability that no doubt is right
        for (const DoubtAt& at : doubts_) {
            for (const auto* side : {&at.near, &at.far}) {
                for (const std::size_t pad : *side) {
                    apart.emplace(pad, 1.0).first->second *=
                        at.doubt.joint < 0 ? 0.0 : 1.0 - at.doubt.wrong;
                }
            }
        }
        const auto usual = static_cast<int>(all / static_cast<double>(graph_.nets()));
        for (const std::size_t pad : lonely) {
            const auto known = apart.find(pad);
            if (pads_[pad].part.empty() || (known != apart.end() && 1.0 - known->second >= told)) {
                continue;
            }
            DoubtAt at;
            at.doubt.pads = {pad};
            at.near = {pad};
            at.doubt.pairs = std::max(1, usual);
            at.doubt.wrong = wrong;
            at.doubt.words =
                fmt::format("{} hangs on nothing: no copper is seen to lead away at {}",
                            name_of(pads_[pad]),
                            words_of(pads_[pad].at));
            doubts_.push_back(std::move(at));
        }
    }

    // Whatever is parted may be joined on a side of which nothing was read.
    void look_at_unread_side() {
        constexpr double wrong = 0.5;
        if (!islands_.unread) {
            return;
        }
        DoubtAt at;
        std::size_t nets = 0;
        for (std::size_t net = 0; net < graph_.nets(); ++net) {
            const std::vector<std::size_t>& own = graph_.pads_of(net);
            nets += own.empty() ? 0 : 1;
            at.doubt.pads.insert(at.doubt.pads.end(), own.begin(), own.end());
        }
        if (nets < 2) {
            return;
        }
        at.near = at.doubt.pads;
        at.doubt.pairs = static_cast<int>(nets * (nets - 1) / 2);
        at.doubt.wrong = wrong;
        at.doubt.words = fmt::format(
            "any of the {} nets may be joined on the {} side, for none of its copper was read",
            nets,
            *islands_.unread == Side::top ? "top" : "bottom");
        doubts_.push_back(std::move(at));
    }

    std::size_t most_pads() const {
        return graph_.nets() == 0 ? 0 : graph_.pads_of(0).size();  // the largest net is the first
    }

    const NetGraph& graph_;
    const Islands& islands_;
    const std::vector<Pad>& pads_;
    const std::vector<PadFoot>& feet_;
    std::vector<DoubtAt> doubts_;
};

}  // namespace

std::vector<DoubtAt> find_doubts(const NetGraph& graph,
                                 const std::vector<Pad>& pads,
                                 const std::vector<PadFoot>& feet) {
    return Finder(graph, pads, feet).found();
}

std::size_t speaking_pad(const std::vector<std::size_t>& among,
                         const std::vector<Pad>& pads,
                         Point near) {
    return *std::ranges::min_element(among, {}, [&](std::size_t i) {
        const Pad& pad = pads[i];
        return std::tuple(pad.part.empty(),
                          pad.placed_by_body,
                          std::hypot(pad.at.x_mm - near.x_mm, pad.at.y_mm - near.y_mm),
                          i);
    });
}

}  // namespace etchback::copper::detail
