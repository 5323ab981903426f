// A drawing that is there already: its wires are taken over, parts are moved in it, and only what
// is in their way is laid anew.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <set>

#include "drawing/detail/route_router.h"

namespace etchback::drawing::detail {

namespace {

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

}  // namespace

// The wires of one net as a drawing has them, in the coordinates of the placement. False: they do
// not fit to the parts as they stand.
bool Router::adopt(int net, const RoutedNet& drawn) {
    Track track;
    for (const Segment& s : drawn.segments) {
        const int x0 = static_cast<int>(std::lround(std::min(s.a.x, s.b.x)));
        const int y0 = static_cast<int>(std::lround(std::min(s.a.y, s.b.y)));
        const int x1 = static_cast<int>(std::lround(std::max(s.a.x, s.b.x)));
        const int y1 = static_cast<int>(std::lround(std::max(s.a.y, s.b.y)));
        if (!grid_.inside(x0 - 1, y0 - 1) || !grid_.inside(x1 + 1, y1 + 1)) {
            return false;
        }
        for (int x = x0; x < x1; ++x) {
            track.edges.emplace_back(grid_.node(x, y0), Direction::right);
        }
        for (int y = y0; y < y1; ++y) {
            track.edges.emplace_back(grid_.node(x0, y), Direction::down);
        }
    }
    if (!drawn.signs.empty() && styles_[at(net)] == NetStyle::wired) {
        const bool flags = drawn.signs.front().kind == NetSign::Kind::flag;
        styles_[at(net)] = flags                      ? NetStyle::wired
                           : model_.nets[at(net)].low ? NetStyle::returns
                                                      : NetStyle::rail;
    }
    for (const NetSign& sign : drawn.signs) {
        const auto& offers = offers_for(net);
        const auto offer = std::find_if(offers.begin(), offers.end(), [&](const SignOffer& o) {
            return o.kind == sign.kind && o.facing == sign.facing;
        });
        if (offer == offers.end()) {
            return false;
        }
        track.signs.push_back({grid_.node(static_cast<int>(std::lround(sign.at.x)),
                                          static_cast<int>(std::lround(sign.at.y))),
                               *offer});
    }
    find_pieces(net, track);
    put_back(net, track);
    tracks_[at(net)].cost = price_of({net});
    return true;
}

// Which nodes hang together; those of pins are left out, as where a net grows from its pins.
void Router::find_pieces(int net, Track& track) const {
    std::set<int> pins;
    for (const PinOf& pin : model_.nets[at(net)].pins) {
        pins.insert(pin_node(pin));
    }
    std::vector<std::pair<int, int>> piece_of;  // node and piece, sorted
    for (const auto& [node, d] : track.edges) {
        piece_of.emplace_back(node, -1);
        piece_of.emplace_back(grid_.neighbour(node, d), -1);
    }
    std::sort(piece_of.begin(), piece_of.end());
    piece_of.erase(std::unique(piece_of.begin(), piece_of.end()), piece_of.end());
    const auto find = [&](int node) {
        return std::lower_bound(piece_of.begin(), piece_of.end(), std::pair<int, int>{node, -1});
    };
    std::vector<std::vector<int>> next(piece_of.size());
    for (const auto& [node, d] : track.edges) {
        const auto a = find(node) - piece_of.begin();
        const auto b = find(grid_.neighbour(node, d)) - piece_of.begin();
        next[static_cast<std::size_t>(a)].push_back(static_cast<int>(b));
        next[static_cast<std::size_t>(b)].push_back(static_cast<int>(a));
    }
    std::vector<char> seen(piece_of.size(), 0);
    for (std::size_t i = 0; i < piece_of.size(); ++i) {
        if (seen[i]) {
            continue;
        }
        std::vector<int> open{static_cast<int>(i)}, nodes;
        seen[i] = 1;
        while (!open.empty()) {
            const int k = open.back();
            open.pop_back();
            if (pins.count(piece_of[at(k)].first) == 0) {
                nodes.push_back(piece_of[at(k)].first);
            }
            for (const int n : next[at(k)]) {
                if (!seen[at(n)]) {
                    seen[at(n)] = 1;
                    open.push_back(n);
                }
            }
        }
        const bool has_sign =
            std::any_of(track.signs.begin(), track.signs.end(), [&](const SetSign& s) {
                return std::find(nodes.begin(), nodes.end(), s.node) != nodes.end();
            });
        track.pieces.push_back(std::move(nodes));
        track.has_sign.push_back(has_sign);
    }
}

// The nearest place where a part lies on nothing, at no dearer order than it must; nothing if there
// is none.
std::optional<Router::Stand> Router::free_place(int part) {
    constexpr int farthest = 40;
    const Stand home = stand_of(part);
    const double order = disorder(part);
    for (int reach = 0; reach <= farthest; ++reach) {
        for (int dx = -reach; dx <= reach; ++dx) {
            const int dy = reach - std::abs(dx);
            for (const int sign : {1, -1}) {
                Stand there = home;
                there.at = {home.at.x + dx, home.at.y + sign * dy};
                stand({there});
                const bool free =
                    may_stand_at(there, home) && is_free_for(part) && disorder(part) <= order;
                stand({home});
                if (free) {
                    return there;
                }
            }
        }
    }
    return std::nullopt;
}

// A part that stands astride the isolation goes up or down only.
bool Router::may_stand_at(const Stand& there, const Stand& home) const {
    return model_.parts[at(there.part)].astride < 0 || there.at.x == home.at.x;
}

// Moves parts to where they are asked for, whatever is in the way: what they would lie on makes
// room, and the nets that are touched are laid anew. False if a net could not be wired.
bool Router::settle(const std::vector<Stand>& asked, const std::vector<int>& anew) {
    std::vector<Stand> moved_parts = asked;
    std::vector<Stand> old;
    for (const Stand& s : asked) {
        old.push_back(stand_of(s.part));
    }
    stand(asked);
    if (!make_way(moved_parts, old)) {
        stand(old);
        return false;
    }
    std::vector<int> nets = nets_in_the_way(moved_parts);
    stand(old);
    for (const int net : anew) {
        if (std::find(nets.begin(), nets.end(), net) == nets.end()) {
            nets.push_back(net);
        }
    }
    std::vector<std::vector<PinOf>> lifted;
    for (const int net : nets) {
        const bool whole = std::find(anew.begin(), anew.end(), net) != anew.end();
        if (whole) {
            lift(net);
            tracks_[at(net)] = {};
            lifted.push_back(model_.nets[at(net)].pins);
        } else {
            lifted.push_back(lift_some(net, moved_parts));
        }
    }
    move_parts(moved_parts);
    for (std::size_t i = 0; i < nets.size(); ++i) {
        lay_some(nets[i], lifted[i]);
    }
    for (const int net : nets) {
        improve(net);
    }
    return std::all_of(
        nets.begin(), nets.end(), [&](int net) { return tracks_[at(net)].complete; });
}

// What lies under the parts that have moved goes to the nearest free place; those that nobody holds
// where they are give way themselves. All that moved in the end is in `all`, from where in `old`.
bool Router::make_way(std::vector<Stand>& all, std::vector<Stand>& old) {
    const auto moved_already = [&](int part) {
        return std::any_of(all.begin(), all.end(), [&](const Stand& s) { return s.part == part; });
    };
    for (int round = 0; round < 3; ++round) {
        bool clean = true;
        for (int part = 0; part < static_cast<int>(model_.parts.size()); ++part) {
            const ModelPart& p = model_.parts[at(part)];
            const bool held = p.fixed || p.tie >= 0 || (moved_already(part) && round == 0);
            if (held || is_free_for(part)) {
                continue;
            }
            clean = false;
            const std::optional<Stand> there = free_place(part);
            if (!there) {
                return false;
            }
            if (moved_already(part)) {
                std::find_if(all.begin(), all.end(), [&](const Stand& s) {
                    return s.part == part;
                })->at = there->at;
            } else {
                old.push_back(stand_of(part));
                all.push_back(*there);
            }
            stand({*there});
        }
        if (clean && round > 0) {
            break;
        }
    }
    for (int part = 0; part < static_cast<int>(model_.parts.size()); ++part) {
        if (!is_free_for(part)) {
            return false;
        }
    }
    return true;
}

// As refine(), for some parts alone.
void Router::refine_some(const std::vector<int>& parts, int tries, std::uint64_t seed) {
    Dice dice(seed);
    for (int i = 0; i < tries && !parts.empty(); ++i) {
        const int part = parts[at(dice.below(static_cast<int>(parts.size())))];
        const Stand there = propose(part, dice);
        const Stand now = stand_of(part);
        if (there.variant != now.variant || there.at != now.at) {
            try_stands({there});
        }
    }
}

}  // namespace etchback::drawing::detail
