#include "tracing/score.h"

#include <fmt/format.h>

namespace etchback::tracing {

namespace {

bool same_net(const copper::Nets& nets, std::size_t a, std::size_t b) {
    return nets.net_of_pad[a] >= 0 && nets.net_of_pad[a] == nets.net_of_pad[b];
}

// Islands joined by the joints that are surely closed, or by all that may be.
base::DisjointSets joined(const copper::Islands& islands,
                          const copper::Nets& nets,
                          bool generously) {
    std::set<int> doubted;
    for (const copper::Doubt& doubt : nets.doubts) {
        doubted.insert(doubt.joints.begin(), doubt.joints.end());
    }
    base::DisjointSets sets(islands.islands.size());
    for (std::size_t j = 0; j < islands.joints.size(); ++j) {
        const copper::Joint& joint = islands.joints[j];
        const bool in_one = nets.net_of_island[static_cast<std::size_t>(joint.a)] ==
                            nets.net_of_island[static_cast<std::size_t>(joint.b)];
        // Within a net, joints that look open do not hold it together.
        const bool closed = in_one && joint.joined > 0.5;
        const bool is_doubted = doubted.contains(static_cast<int>(j));
        if (generously ? closed || is_doubted : closed && !is_doubted) {
            sets.join(joint.a, joint.b);
        }
    }
    return sets;
}

}  // namespace

Score& Score::operator+=(const Score& o) {
    pairs += o.pairs;
    wrong += o.wrong;
    in_doubts += o.in_doubts;
    doubts += o.doubts;
    questions += o.questions;
    return *this;
}

Owning::Owning(const copper::Islands& islands,
               const std::vector<copper::Pad>& pads,
               const copper::Nets& nets)
    : feet_(copper::detail::feet_of(islands, pads)),
      surely_(joined(islands, nets, false)),
      perhaps_(joined(islands, nets, true)),
      nets_(nets) {
    for (const copper::Doubt& doubt : nets.doubts) {
        // Of all pads: a side was not read. It joins what is parted, and parts nothing.
        if (doubt.joint < 0 && doubt.pads.size() > 1) {
            parted_.insert(doubt.pads.begin(), doubt.pads.end());
        } else if (doubt.joint < 0) {
            beside_.insert(doubt.pads.begin(), doubt.pads.end());
        }
    }
}

bool Owning::owns(std::size_t a, std::size_t b) {
    if (beside_.contains(a) || beside_.contains(b)) {
        return true;
    }
    const int one = feet_[a].island;
    const int other = feet_[b].island;
    if (one < 0 || other < 0) {
        return false;
    }
    if (!same_net(nets_, a, b) && parted_.contains(a)) {
        return true;
    }
    return same_net(nets_, a, b) ? !surely_.together(one, other) : perhaps_.together(one, other);
}

Score score_of(const copper::Islands& islands,
               const std::vector<copper::Pad>& pads,
               const copper::Nets& nets,
               const std::vector<std::string>& truth) {
    Owning owning(islands, pads, nets);
    Score score;
    score.doubts = nets.doubts.size();
    score.questions = nets.questions.size();
    for (std::size_t a = 0; a < pads.size(); ++a) {
        for (std::size_t b = 0; b < a; ++b) {
            const bool same = same_net(nets, a, b);
            ++score.pairs;
            if (same == (truth[a] == truth[b])) {
                continue;
            }
            ++score.wrong;
            score.in_doubts += owning.owns(a, b) ? 1 : 0;
        }
    }
    return score;
}

std::string wrong_pairs(const std::vector<copper::Pad>& pads,
                        const copper::Nets& nets,
                        const std::vector<std::string>& truth,
                        std::size_t most) {
    std::string text;
    std::size_t told = 0;
    for (std::size_t a = 0; a < pads.size() && told < most; ++a) {
        for (std::size_t b = 0; b < a && told < most; ++b) {
            const bool same = same_net(nets, a, b);
            if (same != (truth[a] == truth[b])) {
                text += fmt::format("{} ({}) and {} ({}) are {}\n",
                                    copper::detail::name_of(pads[a]),
                                    truth[a],
                                    copper::detail::name_of(pads[b]),
                                    truth[b],
                                    same ? "joined" : "parted");
                ++told;
            }
        }
    }
    return text;
}

}  // namespace etchback::tracing
