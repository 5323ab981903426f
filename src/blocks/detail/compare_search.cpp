#include "blocks/detail/compare_search.h"

#include <algorithm>
#include <cstdint>
#include <numeric>

#include "blocks/detail/compare_likeness.h"

namespace etchback::blocks::detail {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// Numbers that look random and are the same everywhere (numerical recipes' linear congruence).
class Dice {
public:
    int below(std::size_t n) {
        state_ = state_ * 6364136223846793005ULL + 1442695040888963407ULL;
        return static_cast<int>((state_ >> 33U) % n);
    }

private:
    std::uint64_t state_ = 2026;
};

// Nets of the matching that something is wrong about; all nets if there are none.
std::vector<int> troubled_nets(const Model& there, const Matching& matching) {
    std::vector<int> nets;
    for (const MovedPin& moved : matching.moved) {
        nets.push_back(there.elements[at(moved.there)].nets[at(moved.pin_there)]);
    }
    for (std::size_t e = 0; e < there.elements.size(); ++e) {
        if (matching.here_of[e] < 0) {
            nets.insert(nets.end(), there.elements[e].nets.begin(), there.elements[e].nets.end());
        }
    }
    std::erase(nets, -1);
    return nets;
}

std::vector<int> disturbed(const Model& there,
                           const Model& here,
                           const Matching& from,
                           Dice& dice) {
    std::vector<int> net_of = from.net_of;
    if (net_of.empty() || here.nets() == 0) {
        return net_of;
    }
    const std::vector<int> troubled = troubled_nets(there, from);
    const int changes = 1 + dice.below(3);
    for (int i = 0; i < changes; ++i) {
        const bool any = troubled.empty() || dice.below(3) == 0;
        const int net = any ? dice.below(net_of.size()) : troubled[at(dice.below(troubled.size()))];
        const int target = dice.below(at(here.nets()) + 1) - 1;
        const int before = net_of[at(net)];
        const auto owner = std::find(net_of.begin(), net_of.end(), target);
        if (target >= 0 && owner != net_of.end()) {
            *owner = before;
        }
        net_of[at(net)] = target;
    }
    return net_of;
}

}  // namespace

Search::Search(const Model& there, const Model& here) : there_(there), here_(here) {
    for (const Element& a : there.elements) {
        std::vector<PairCost>& row = pairs_.emplace_back();
        for (const Element& b : here.elements) {
            row.push_back(pair_cost(a, b));
        }
    }
}

void Search::assign_parts(Matching& matching, const Likeness* likeness) const {
    const std::size_t n = there_.elements.size();
    const std::size_t m = here_.elements.size();
    Table gain(n, std::vector<int>(m, 0));
    Table way(n, std::vector<int>(m, 0));
    std::vector<bool> taken(at(here_.nets()), false);
    for (const int net : matching.net_of) {
        if (net >= 0) {
            taken[at(net)] = true;
        }
    }
    for (std::size_t a = 0; a < n; ++a) {
        for (std::size_t b = 0; b < m; ++b) {
            const PairCost& pair = pairs_[a][b];
            if (!pair.possible) {
                continue;
            }
            const Element& x = there_.elements[a];
            const Element& y = here_.elements[b];
            const int worth = edit * static_cast<int>(x.parts.size() + y.parts.size()) - pair.cost;
            for (std::size_t w = 0; w < pair.ways.size(); ++w) {
                int cost = pair.ways[w].cost;
                for (const auto& [i, j] : pair.ways[w].pins) {
                    const int p = x.nets[at(i)];
                    const int q = y.nets[at(j)];
                    if (p < 0 || q < 0) {
                        cost += p == q ? 0 : edit;
                    } else if (likeness != nullptr) {
                        cost += static_cast<int>(edit * (1.0 - (*likeness)[at(p)][at(q)]));
                    } else if (matching.net_of[at(p)] < 0 && !taken[at(q)]) {
                        cost += edit / 10;  // two nets that are free may become one
                    } else {
                        cost += matching.net_of[at(p)] == q ? 0 : edit;
                    }
                }
                if (worth - cost > gain[a][b]) {
                    gain[a][b] = worth - cost;
                    way[a][b] = static_cast<int>(w);
                }
            }
        }
    }
    matching.here_of = best_assignment(gain, m);
    matching.way_of.assign(n, 0);
    for (std::size_t a = 0; a < n; ++a) {
        if (matching.here_of[a] >= 0) {
            matching.way_of[a] = way[a][at(matching.here_of[a])];
        }
    }
}

void Search::assign_nets(Matching& matching) const {
    Table shared(at(there_.nets()), std::vector<int>(at(here_.nets()), 0));
    for (std::size_t a = 0; a < there_.elements.size(); ++a) {
        if (matching.here_of[a] < 0) {
            continue;
        }
        const Element& x = there_.elements[a];
        const Element& y = here_.elements[at(matching.here_of[a])];
        const PairCost& pair = pairs_[a][at(matching.here_of[a])];
        for (const auto& [i, j] : pair.ways[at(matching.way_of[a])].pins) {
            if (x.nets[at(i)] >= 0 && y.nets[at(j)] >= 0) {
                ++shared[at(x.nets[at(i)])][at(y.nets[at(j)])];
            }
        }
    }
    matching.net_of = best_assignment(shared, at(here_.nets()));
}

void Search::assess(Matching& matching) const {
    matching.cost = 0;
    matching.moved.clear();
    std::vector<bool> used(here_.elements.size(), false);
    for (std::size_t a = 0; a < there_.elements.size(); ++a) {
        const Element& x = there_.elements[a];
        const int b = matching.here_of[a];
        if (b < 0) {
            matching.cost += edit * static_cast<int>(x.parts.size());
            continue;
        }
        used[at(b)] = true;
        const Element& y = here_.elements[at(b)];
        const PairCost& pair = pairs_[a][at(b)];
        const Way& way = pair.ways[at(matching.way_of[a])];
        matching.cost += pair.cost + way.cost;
        for (const auto& [i, j] : way.pins) {
            const int p = x.nets[at(i)];
            const int q = y.nets[at(j)];
            if (p < 0 ? q >= 0 : matching.net_of[at(p)] != q || q < 0) {
                matching.cost += edit;
                matching.moved.push_back({static_cast<int>(a), b, i, j, -1});
            }
        }
    }
    for (std::size_t b = 0; b < used.size(); ++b) {
        matching.cost += used[b] ? 0 : edit * static_cast<int>(here_.elements[b].parts.size());
    }
    matching.groups.clear();
    find_groups(matching, true);
    find_groups(matching, false);
    explain(matching);
}

void Search::find_groups(Matching& matching, bool missing) const {
    const Model& model = missing ? there_ : here_;
    std::vector<bool> matched(model.elements.size(), false);
    std::vector<bool> net_matched(at(model.nets()), false);
    for (std::size_t a = 0; a < matching.here_of.size(); ++a) {
        if (matching.here_of[a] >= 0) {
            matched[missing ? a : at(matching.here_of[a])] = true;
        }
    }
    for (std::size_t n = 0; n < matching.net_of.size(); ++n) {
        if (matching.net_of[n] >= 0) {
            net_matched[missing ? n : at(matching.net_of[n])] = true;
        }
    }
    std::vector<bool> done = matched;
    for (std::size_t e = 0; e < done.size(); ++e) {
        if (done[e]) {
            continue;
        }
        Group group{missing, {static_cast<int>(e)}, {}};
        done[e] = true;
        for (std::size_t k = 0; k < group.elements.size(); ++k) {
            for (const int net : model.elements[at(group.elements[k])].nets) {
                if (net < 0) {
                    continue;
                }
                group.nets.push_back(net);
                for (std::size_t f = 0; f < done.size() && !net_matched[at(net)]; ++f) {
                    const std::vector<int>& nets = model.elements[f].nets;
                    if (!done[f] && std::find(nets.begin(), nets.end(), net) != nets.end()) {
                        done[f] = true;
                        group.elements.push_back(static_cast<int>(f));
                    }
                }
            }
        }
        matching.groups.push_back(std::move(group));
    }
}

// A pin has moved because of a missing group if the group stood at its net and the net is gone, or
// lies on what the group joined it to; because of an added group if that now stands between.
void Search::explain(Matching& matching) const {
    matching.told = matching.cost;
    const auto touches = [](const Group& group, int net) {
        return net >= 0 && std::find(group.nets.begin(), group.nets.end(), net) != group.nets.end();
    };
    for (MovedPin& moved : matching.moved) {
        const int p = there_.elements[at(moved.there)].nets[at(moved.pin_there)];
        const int q = here_.elements[at(moved.here)].nets[at(moved.pin_here)];
        const int image = p < 0 ? -1 : matching.net_of[at(p)];
        for (std::size_t g = 0; g < matching.groups.size() && moved.group < 0; ++g) {
            const Group& group = matching.groups[g];
            const bool joined = std::any_of(group.nets.begin(), group.nets.end(), [&](int net) {
                return net != p && q >= 0 && group.missing && matching.net_of[at(net)] == q;
            });
            const bool explained = group.missing ? touches(group, p) && (image < 0 || joined)
                                                 : touches(group, q) && touches(group, image);
            if (explained) {
                moved.group = static_cast<int>(g);
                matching.told -= edit;
            }
        }
    }
}

Matching Search::settle(std::vector<int> net_of, const Likeness* likeness) {
    ++rounds_;
    Matching best;
    best.cost = best.told = 1 << 30;
    Matching now;
    now.net_of = std::move(net_of);
    for (int i = 0; i < 8; ++i) {
        assign_parts(now, i == 0 ? likeness : nullptr);
        assign_nets(now);
        assess(now);
        if (now.cost >= best.cost) {
            if (now.told < best.told) {
                best = now;
            }
            break;
        }
        best = now;
    }
    return best;
}

Matching Search::best(int rounds, int good_enough) {
    const auto better = [](const Matching& a, const Matching& b) {
        return a.told != b.told ? a.told < b.told : a.cost < b.cost;
    };
    Matching best;
    best.told = best.cost = 1 << 30;
    const Spread spread(there_, here_, pairs_);
    for (const int spreads : {6, 3, 2, 1, 10}) {
        const Likeness likeness = spread.likeness(spreads);
        Matching found = settle({}, &likeness);
        if (better(found, best)) {
            best = std::move(found);
        }
        if (best.told <= good_enough) {
            return best;
        }
    }
    Dice dice;
    Matching from = best;
    for (int round = 0; round < rounds && best.told > good_enough; ++round) {
        if (round % 12 == 0) {
            from = best;  // wander a little, then come back
        }
        Matching found = settle(disturbed(there_, here_, from, dice), nullptr);
        if (better(found, best)) {
            best = found;
        }
        if (found.told <= from.told + edit) {
            from = std::move(found);
        }
    }
    return best;
}

}  // namespace etchback::blocks::detail
